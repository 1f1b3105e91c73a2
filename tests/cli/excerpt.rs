//! A picture takes of a recording what it draws, and draws what it would with all of it.

use crate::desk::{Desk, Ran};
use pulsewright::date::today;
use pulsewright::export;
use pulsewright::picture::{LaneChoice, PageSpec, Peaks, Span, Theme, page};
use pulsewright::settings::{Bench, InputSettings};
use pulsewright::signal::{Chain, Recording};
use pulsewright::source::open;
use std::fs::File;
use std::io::Write;
use std::ops::ControlFlow;
use std::process::Command;

/// Seconds before the last block of the tape: more edges than the chain remembers of what it has
/// gone past.
const PAUSE_S: f64 = 40.0;

/// A recording with characters at its beginning and after a long pause of mark, and its path.
fn long(desk: &Desk) -> Recording {
    desk.tape("long.wav", b"TIDE LOG", |s| {
        (s.trailer_s, s.sample_rate_hz) = (PAUSE_S, 22_050);
    });
    let read = |name: &str| {
        let go_on = &mut |_: pulsewright::source::Progress<'_>| ControlFlow::Continue(());
        open(&desk.path(name), &Default::default(), go_on)
            .unwrap()
            .recording
    };
    let mut samples = read("long.wav").samples().into_owned();
    desk.tape("end.wav", b"SALTMERE", |s| s.sample_rate_hz = 22_050);
    samples.extend(&*read("end.wav").samples());
    let recording = Recording::new(samples, 22_050);
    let file = export::wav(&recording, 1.0).unwrap();
    std::fs::write(desk.path("long.wav"), file).unwrap();
    read("long.wav")
}

#[test]
fn it_is_the_picture_that_the_whole_recording_gives() {
    let desk = Desk::new();
    let recording = long(&desk);
    let bit_s = 1.0 / 300.0;
    let filters = InputSettings {
        high_pass_hz: 16.0,
        low_pass_hz: 5000.0,
        ..Default::default()
    };
    for input in [InputSettings::default(), filters] {
        let bench = Bench {
            input,
            ..Default::default()
        };
        let traces = Chain::read(&bench, &recording);
        let first_s = traces.characters[0].at_s - 2.0 * bit_s;
        let last_s = traces.characters.last().unwrap().at_s;
        assert!(last_s > PAUSE_S && traces.squarer.within(0.0, last_s - 12.0).len() > 1 << 16);
        for (from_s, length_s) in [
            (None, None),
            (Some(0.0), Some(0.05)),
            (Some(last_s - 0.1), Some(0.3)),
            (Some(last_s), Some(1e-4)),
            (Some(1.0), Some(1e9)),
        ] {
            let span = Span {
                from_s: from_s.unwrap_or(first_s),
                to_s: (from_s.unwrap_or(first_s) + length_s.unwrap_or(36.0 * bit_s))
                    .min(traces.end_s),
            };
            let list = page(&PageSpec {
                name: "long.wav",
                recording: &recording,
                peaks: &Peaks::default(),
                shaped: None,
                traces: &traces,
                bench: &bench,
                span,
                lanes: LaneChoice::default(),
                marks: [None; 2],
                date: &today(),
                width: 800.0,
                height: 500.0,
            });
            let whole = export::svg(&list, Theme::Light);
            let mut args = vec![
                "picture".into(),
                "long.wav".into(),
                "--out".into(),
                "-".into(),
            ];
            args.extend(["--size".into(), "800x500".into()]);
            let mut give = |name: &str, value: Option<f64>| {
                args.extend(
                    value
                        .map(|v| [format!("--{name}"), v.to_string()])
                        .into_iter()
                        .flatten(),
                );
            };
            give("from", from_s);
            give("span", length_s);
            give(
                "input-high-pass",
                Some(input.high_pass_hz).filter(|hz| *hz > 0.0),
            );
            give(
                "input-low-pass",
                Some(input.low_pass_hz).filter(|hz| *hz > 0.0),
            );
            let args: Vec<&str> = args.iter().map(String::as_str).collect();
            let drawn = desk.run(&args);
            assert_eq!(drawn.code, 0, "{}", drawn.err);
            assert!(drawn.out == whole.as_bytes(), "{args:?}");
        }
    }
}

/// The memory of a run is held down to less than the samples would take.
#[test]
fn its_memory_does_not_grow_with_the_recording() {
    const FRAMES: u32 = 100_000_000;
    const MEMORY_KIB: u32 = 180_000;
    let desk = Desk::new();
    let path = desk.path("hours.wav");
    let mut file = File::create(&path).unwrap();
    // RIFF form 'WAVE' (Microsoft/IBM, 1991): mono, 8 bits, 8 kHz; all after the header is a hole.
    let words = |words: &[u32]| {
        words
            .iter()
            .flat_map(|w| w.to_le_bytes())
            .collect::<Vec<u8>>()
    };
    let format = words(&[16, 1 << 16 | 1, 8000, 8000, 8 << 16 | 1]);
    let head = [
        b"RIFF",
        &words(&[36 + FRAMES])[..],
        b"WAVEfmt ",
        &format,
        b"data",
        &words(&[FRAMES]),
    ];
    file.write_all(&head.concat()).unwrap();
    file.set_len(44 + u64::from(FRAMES)).unwrap();
    drop(file);
    for span in ["1", "100000"] {
        let args = [
            "picture",
            "hours.wav",
            "--from",
            "2:00:00",
            "--span",
            span,
            "--out",
            "-",
        ];
        let program = desk.command(&args);
        let script = format!("ulimit -v {MEMORY_KIB}; exec \"$0\" \"$@\"");
        let output = Command::new("sh")
            .args(["-c", &script])
            .arg(program.get_program())
            .args(program.get_args())
            .current_dir(desk.path(""))
            .output();
        let ran = Ran::of(output.unwrap());
        assert!(ran.text().contains("hours.wav"));
    }
}
