//! A capture of samples that the test itself pushes, in place of a sound card's callback.

use super::samples::{push, tape_bytes};
use pulsewright::live::{Capture, End, Event, Feed, Format, Report, Request, State};
use pulsewright::settings::{Bench, SourceSettings};
use pulsewright::source::{self, Opened, Sample};
use std::ops::ControlFlow;
use std::path::Path;
use std::thread::sleep;
use std::time::{Duration, Instant};

const FORMAT: Format = Format {
    rate_hz: 48_000,
    channels: 1,
    sample: Sample::Integer16,
};

fn begin(folder: &Path) -> (Capture, Feed) {
    let request = Request::new(Bench::default(), folder.join("a.wav"));
    Capture::from_feed(request, "the test", FORMAT, || {}).unwrap()
}

/// Waits for an event that fits, for five seconds at the most.
fn wait_for<T>(capture: &Capture, mut fits: impl FnMut(Event) -> Option<T>) -> T {
    let by = Instant::now() + Duration::from_secs(5);
    loop {
        assert!(Instant::now() < by, "it did not happen");
        let events = capture.wait(Duration::from_millis(50));
        if let Some(found) = events.into_iter().find_map(&mut fits) {
            return found;
        }
    }
}

fn reopened(report: &Report) -> Opened {
    let go_on = &mut |_: source::Progress<'_>| ControlFlow::Continue(());
    source::open(&report.files[0], &SourceSettings::default(), go_on).unwrap()
}

fn kept(report: &Report) -> Vec<f32> {
    reopened(report).recording.samples().to_vec()
}

#[test]
fn characters_levels_and_the_tail_are_those_of_the_samples() {
    let folder = tempfile::tempdir().unwrap();
    let (capture, mut feed) = begin(folder.path());
    assert_eq!(capture.status().state, State::Waiting);
    let bytes = tape_bytes(b"SALTMERE", 48_000);
    push(&mut feed, &bytes, 0.0);
    let mut read = Vec::new();
    wait_for(&capture, |event| {
        if let Event::Characters(characters) = event {
            read.extend(characters.iter().map(|c| c.value));
        }
        (read == b"SALTMERE").then_some(())
    });
    let length_s = bytes.len() as f64 / 96_000.0;
    let by = Instant::now() + Duration::from_secs(5);
    while capture.status().captured_s < length_s && Instant::now() < by {
        sleep(Duration::from_millis(5));
    }
    let status = capture.status();
    assert_eq!((status.characters, status.faulty, status.gaps), (8, 0, 0));
    assert!((status.meter.held_v - 0.5).abs() < 1e-3 && !status.meter.clipping);
    assert_eq!(status.hint, None);
    let (tail, (report, _)) = (capture.tail(0.2), capture.stop());
    assert_eq!(report.end, Some(End::Stopped));
    let kept = kept(&report);
    assert_eq!(kept.len(), bytes.len() / 2);
    let from = (tail.begins_at_s() * 48_000.0).round() as usize;
    assert!(kept[from..] == *tail.samples());
}

#[test]
fn a_stalled_callback_is_noticed_and_nothing_is_lost() {
    let folder = tempfile::tempdir().unwrap();
    let (capture, mut feed) = begin(folder.path());
    let bytes = tape_bytes(b"ONE TWO", 48_000);
    let (first, rest) = bytes.split_at(48_000);
    push(&mut feed, first, 0.0);
    // It would come to light without the wait, too, but not be told apart from a late look.
    let at_s = wait_for(&capture, |event| match event {
        Event::Stalled(at_s) => Some(at_s),
        _ => None,
    });
    assert_eq!(at_s, 0.5);
    assert_eq!(capture.status().state, State::Stalled);
    push(&mut feed, rest, 0.5);
    wait_for(&capture, |event| {
        matches!(event, Event::Resumed(_)).then_some(())
    });
    let (report, _) = capture.stop();
    assert_eq!((report.stalls_at_s, report.gaps), (vec![0.5], vec![]));
    assert_eq!(std::fs::read(&report.files[0]).unwrap()[44..], bytes);
}

/// Half a second is lost behind the first three seconds.
#[test]
fn a_gap_is_marked_while_it_rolls_and_in_the_file() {
    let folder = tempfile::tempdir().unwrap();
    let (capture, mut feed) = begin(folder.path());
    let three_s = [0; 3 * 96_000];
    push(&mut feed, &three_s, 0.0);
    push(&mut feed, &three_s, 3.5);
    let gap = wait_for(&capture, |event| match event {
        Event::Gap(gap) => Some(gap),
        _ => None,
    });
    assert!((gap.at_s - 3.0).abs() < 0.06 && (gap.length_s - 0.5).abs() < 0.01);
    let tail = capture.tail(4.0);
    let [marked] = tail.gaps() else {
        panic!("{:?}", tail.gaps())
    };
    assert!((marked.at_s + tail.begins_at_s() - gap.at_s).abs() < 1e-9);
    let (report, _) = capture.stop();
    let opened = reopened(&report);
    assert_eq!(opened.recording.gaps(), [gap]);
    assert!(opened.about.notes[0].contains("gap, 500 ms lost"));
}

/// Two blocks in a row that each follow a loss, taken out of the ring at once.
#[test]
fn every_gap_is_told_where_several_come_at_once() {
    let folder = tempfile::tempdir().unwrap();
    let (capture, mut feed) = begin(folder.path());
    // A block that is larger than the room is counted as missed.
    let too_much = vec![0; feed.room() + 2];
    for i in 1..=3 {
        feed.push(&[0; 96], i);
        feed.push(&too_much, i);
    }
    feed.push(&[0; 96], 4);
    let (report, last) = capture.stop();
    let told = last.iter().filter(|e| matches!(e, Event::Gap(_))).count();
    assert_eq!((report.gap_count, told), (3, 3));
}

#[test]
fn a_stream_that_fails_or_goes_ends_the_capture_with_its_reason() {
    let folder = tempfile::tempdir().unwrap();
    let ended = |event| match event {
        Event::Ended(report) => report.end,
        _ => None,
    };
    let (capture, mut feed) = begin(folder.path());
    feed.push(&[1; 200], 1);
    feed.fail("the plug was pulled.");
    feed.fail("the plug was pulled a million times.");
    let end = wait_for(&capture, ended);
    assert_eq!(end, End::Lost("the plug was pulled.".into()));
    assert_eq!(kept(&capture.report()).len(), 100);

    let folder = tempfile::tempdir().unwrap();
    let (capture, feed) = begin(folder.path());
    drop(feed);
    let end = wait_for(&capture, ended);
    assert!(end.failure().unwrap().contains("gives no more samples"));
}

#[test]
fn it_ends_at_the_length_that_was_asked_for() {
    let folder = tempfile::tempdir().unwrap();
    let mut request = Request::new(Bench::default(), folder.path().join("a.wav"));
    request.length_s = Some(0.51);
    let (capture, mut feed) = Capture::from_feed(request, "the test", FORMAT, || {}).unwrap();
    push(&mut feed, &[0; 2 * 48_000], 0.0);
    let (report, _) = capture.stop();
    assert_eq!(report.end, Some(End::Complete));
    assert_eq!(report.captured_s, 0.51);
    assert_eq!(kept(&report).len(), 24_480);
}

#[test]
fn other_settings_take_hold_while_it_runs() {
    let folder = tempfile::tempdir().unwrap();
    let (capture, mut feed) = begin(folder.path());
    let bytes = tape_bytes(b"AB", 48_000);
    let length_s = bytes.len() as f64 / 96_000.0;
    let mut next = |bench: &Bench, from_s: f64| {
        capture.set_bench(bench);
        sleep(Duration::from_millis(50));
        let before = capture.status().characters;
        push(&mut feed, &bytes, from_s);
        sleep(Duration::from_millis(100));
        capture.status().characters - before
    };
    let mut deaf = Bench::default();
    deaf.squarer.hysteresis_v = 5.0;
    assert_eq!(next(&deaf, 0.0), 0);
    assert!(
        capture
            .status()
            .hint
            .unwrap()
            .contains("turn the player up")
    );
    assert_eq!(next(&Bench::default(), length_s), 2);
}

/// What makes tapes has nothing to do with what is listened to.
#[test]
fn knobs_of_the_tape_maker_leave_the_reading_alone() {
    let folder = tempfile::tempdir().unwrap();
    let (capture, mut feed) = begin(folder.path());
    let mut bench = Bench::default();
    let mut now_s = 0.0;
    for block in tape_bytes(b"SALTMERE HARBOUR", 48_000).chunks(9600) {
        bench.tape.level_v *= 1.01;
        bench.wear.hum_v += 0.01;
        capture.set_bench(&bench);
        push(&mut feed, block, now_s);
        now_s += 0.1;
        sleep(Duration::from_millis(15));
    }
    let (_, last) = capture.stop();
    let read = last.into_iter().filter_map(|event| match event {
        Event::Characters(characters) => Some(characters),
        _ => None,
    });
    let read: Vec<u8> = read.flatten().map(|c| c.value).collect();
    assert_eq!(read, b"SALTMERE HARBOUR");
}

#[test]
fn the_report_of_another_capture_is_not_written_over() {
    let folder = tempfile::tempdir().unwrap();
    let (capture, _feed) = begin(folder.path());
    let (report, _) = capture.stop();
    let kept = std::fs::read(folder.path().join("a.capture.json")).unwrap();
    // Its report would have the same name.
    let request = Request::new(Bench::default(), folder.path().join("a"));
    let refused = Capture::from_feed(request, "the test", FORMAT, || {}).err();
    assert!(refused.unwrap().contains("a.capture.json"));
    assert!(!folder.path().join("a").exists() && report.files[0].exists());
    let now = std::fs::read(folder.path().join("a.capture.json")).unwrap();
    assert!(now == kept);
}

/// As from ALSA's device 'null', which gives silence as fast as it is taken.
#[test]
fn a_source_that_is_faster_than_time_can_be_stopped() {
    let folder = tempfile::tempdir().unwrap();
    let (capture, mut feed) = begin(folder.path());
    let is_over = std::sync::atomic::AtomicBool::new(false);
    std::thread::scope(|scope| {
        scope.spawn(|| {
            while !is_over.load(std::sync::atomic::Ordering::Relaxed) {
                feed.push(&[0; 4800], 0);
            }
        });
        wait_for(&capture, |event| {
            matches!(event, Event::Gap(_)).then_some(())
        });
        let (report, _) = capture.stop();
        is_over.store(true, std::sync::atomic::Ordering::Relaxed);
        assert_eq!(report.end, Some(End::Stopped));
    });
}

/// Whoever is woken takes the thread of the capture down with it.
#[test]
fn a_capture_that_fails_within_says_so_once() {
    let folder = tempfile::tempdir().unwrap();
    let request = Request::new(Bench::default(), folder.path().join("a.wav"));
    let woken = || panic!("this is part of the test");
    let (capture, mut feed) = Capture::from_feed(request, "the test", FORMAT, woken).unwrap();
    push(&mut feed, &tape_bytes(b"TIDE", 48_000), 0.0);
    let end = wait_for(&capture, |event| match event {
        Event::Ended(report) => report.end,
        _ => None,
    });
    assert!(end.failure().unwrap().contains("has failed"));
    assert_eq!(capture.status().state, State::Ended);
    assert_eq!(capture.poll(), []);
}

/// The greatest sample of 8 bits is 127 / 128 of full scale.
#[test]
fn clipping_is_noticed_whatever_samples_are_made_of() {
    for (sample, cut) in [
        (Sample::Unsigned8, vec![255]),
        (Sample::Integer16, 32_767i16.to_le_bytes().to_vec()),
        (Sample::Float32, 1f32.to_le_bytes().to_vec()),
    ] {
        let folder = tempfile::tempdir().unwrap();
        let request = Request::new(Bench::default(), folder.path().join("a.wav"));
        let format = Format { sample, ..FORMAT };
        let (capture, mut feed) = Capture::from_feed(request, "the test", format, || {}).unwrap();
        feed.push(&cut.repeat(100), 1);
        let by = Instant::now() + Duration::from_secs(5);
        while capture.status().captured_s == 0.0 && Instant::now() < by {
            sleep(Duration::from_millis(5));
        }
        assert_eq!(capture.status().meter.clipped, 100, "{sample:?}");
    }
}
