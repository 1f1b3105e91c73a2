//! An hour of samples at a blow: the memory that a capture takes does not grow with its length. A
//! test program of its own, as what it measures is the memory of the whole program.
#![cfg(feature = "live")]

#[path = "live/samples.rs"]
mod samples;

use pulsewright::live::{Capture, End, Event, Format, Request};
use pulsewright::settings::Bench;
use pulsewright::source::Sample;
use samples::{push, tape_bytes};

/// Low, so that an hour is soon over; both tones still lie well below half of it.
const FORMAT: Format = Format {
    rate_hz: 8000,
    channels: 1,
    sample: Sample::Integer16,
};

/// Resident memory of this process in KiB (proc(5), VmRSS).
fn resident_kib() -> i64 {
    let status = std::fs::read_to_string("/proc/self/status").unwrap();
    let line = status
        .lines()
        .find_map(|l| l.strip_prefix("VmRSS:"))
        .unwrap();
    line.trim().trim_end_matches("kB").trim().parse().unwrap()
}

#[test]
fn memory_stays_flat_over_an_hour() {
    let folder = tempfile::tempdir().unwrap();
    let mut request = Request::new(Bench::default(), folder.path().join("hour.wav"));
    request.memory_s = 60.0;
    let (capture, mut feed) = Capture::from_feed(request, "the test", FORMAT, || {}).unwrap();
    let text = "SALTMERE 06:40  3.2 M\r\n".repeat(8);
    let minute = tape_bytes(text.as_bytes(), FORMAT.rate_hz);
    let minute_s = minute.len() as f64 / 2.0 / f64::from(FORMAT.rate_hz);
    let rounds = (3600.0 / minute_s).ceil() as usize;
    let mut characters = 0;
    let mut count = |events: Vec<Event>| {
        for event in events {
            if let Event::Characters(some) = event {
                characters += some.len();
            }
        }
    };
    let mut resident = Vec::new();
    for _ in 0..rounds {
        push(&mut feed, &minute, 0.0);
        count(capture.poll());
        resident.push(resident_kib());
    }
    let (report, last) = capture.stop();
    count(last);
    assert_eq!(report.end, Some(End::Stopped));
    assert!(report.captured_s >= 3600.0);
    assert_eq!(characters, rounds * text.len());
    // A quarter in, everything that is kept has been filled.
    let (early, late) = (resident[rounds / 4], resident[rounds - 1]);
    assert!(
        late - early < 4096,
        "{early} KiB at a quarter, {late} KiB at the end"
    );
}
