//! What is played is captured, sample for sample, and read, byte for byte.

use super::card::Card;
use pulsewright::settings::TapeSettings;
use pulsewright::{export, tape};
use std::fs;
use std::path::Path;
use std::thread::sleep;
use std::time::Duration;

/// A tape of 16-bit samples in `name`, at half of full scale; gives the samples.
pub fn make_tape(card: &Card, name: &str, bytes: &[u8], settings: &TapeSettings) -> Vec<i16> {
    let wav = export::wav(&tape::record(bytes, settings), 1.0).unwrap();
    fs::write(card.path(name), wav).unwrap();
    channels(&card.path(name))[0].clone()
}

/// The samples of a 16-bit file by channels, read by hound.
pub fn channels(path: &Path) -> Vec<Vec<i16>> {
    let mut reader = hound::WavReader::open(path).unwrap();
    let count = usize::from(reader.spec().channels);
    let all: Vec<i16> = reader.samples().map(Result::unwrap).collect();
    (0..count)
        .map(|n| all.iter().skip(n).step_by(count).copied().collect())
        .collect()
}

/// The part of `captured` from the first sample of the tape on: the first that is not silence, in
/// both of them.
pub fn aligned<'a>(captured: &'a [i16], tape: &[i16]) -> &'a [i16] {
    let first = |samples: &[i16]| samples.iter().position(|&s| s != 0).unwrap();
    &captured[first(captured) - first(tape)..]
}

/// Every sample of the tape is in each captured channel, in a row, and behind it is silence.
pub fn assert_captured(path: &Path, tape: &[i16]) {
    for channel in channels(path) {
        let found = aligned(&channel, tape);
        assert!(
            found.len() > tape.len(),
            "{} samples short",
            tape.len() - found.len()
        );
        let differ = found.iter().zip(tape).position(|(a, b)| a != b);
        assert_eq!(differ, None, "of {}", tape.len());
        assert!(found[tape.len()..].iter().all(|&s| s == 0));
    }
}

/// A tape with a short leader.
pub fn short_tape() -> TapeSettings {
    TapeSettings {
        leader_s: 0.5,
        trailer_s: 0.2,
        ..TapeSettings::default()
    }
}

#[test]
fn a_tape_comes_through_the_default_input_whole() {
    let card = Card::start();
    let bytes: Vec<u8> = (0..=255).collect();
    let tape = make_tape(&card, "tape.wav", &bytes, &short_tape());
    let args = ["--out", "heard.wav", "--bytes", "heard.bin"];
    let mut listening = card.program(&[&["listen"], &args[..]].concat());
    listening.until("Listening to ");
    card.play("tape.wav");
    sleep(Duration::from_millis(700));
    let ran = listening.interrupt();
    assert_eq!(ran.code, Some(0), "{}", ran.err);
    assert!(
        ran.err.contains("256 characters: 0 framing errors"),
        "{}",
        ran.err
    );
    assert!(
        ran.err.contains("no loss of 15 ms or more was found"),
        "{}",
        ran.err
    );
    assert!(ran.out.contains("0123456789:;<=>?@ABC"), "{}", ran.out);
    assert_eq!(fs::read(card.path("heard.bin")).unwrap(), bytes);
    assert_captured(&card.path("heard.wav"), &tape);
    let report = fs::read_to_string(card.path("heard.capture.json")).unwrap();
    let report: serde_json::Value = serde_json::from_str(&report).unwrap();
    assert_eq!(report["gaps"], serde_json::json!([]));
    assert_eq!(report["end"]["how"], "stopped");
    assert_eq!(report["encoding"], "16-bit integer");
}

#[test]
fn a_killed_capture_leaves_all_but_the_last_second() {
    let card = Card::start();
    let bytes = [b'K'; 150];
    let tape = make_tape(&card, "tape.wav", &bytes, &TapeSettings::default());
    let mut listening = card.program(&["listen", "--out", "heard.wav"]);
    listening.until("Listening to ");
    let heard_s = std::thread::scope(|scope| {
        scope.spawn(|| card.play("tape.wav"));
        let began = std::time::Instant::now();
        sleep(Duration::from_millis(4700));
        listening.signal("KILL");
        began.elapsed().as_secs_f64()
    });
    assert_eq!(listening.wait().code, None);
    // hound goes by the header, which was written up to a second ago.
    let captured = channels(&card.path("heard.wav"));
    let kept_s = captured[0].len() as f64 / 48_000.0;
    assert!(kept_s > heard_s - 1.3, "{kept_s} s kept of {heard_s} s");
    let found = aligned(&captured[0], &tape);
    assert!(found.len() > 48_000 && tape.starts_with(found));
    assert!(card.path("heard.capture.json").exists());
}

/// Neither standard output nor the file of bytes takes anything.
#[test]
fn a_capture_goes_on_where_its_characters_cannot_be_written() {
    let card = Card::start();
    let tape = make_tape(&card, "tape.wav", b"SALTMERE HARBOUR", &short_tape());
    for (name, redirection) in [
        ("full.wav", "> /dev/full"),
        ("closed.wav", "> >(exec true)"),
        ("bytes.wav", "--bytes /dev/full"),
        ("raw.wav", "--bytes - > /dev/full"),
    ] {
        let mut listening = card.shell("", &format!("listen --out {name} {redirection}"));
        listening.until("Listening to ");
        card.play("tape.wav");
        sleep(Duration::from_millis(700));
        let ran = listening.interrupt();
        assert_captured(&card.path(name), &tape);
        assert!(
            ran.err.contains("16 characters: 0 framing"),
            "{name}: {}",
            ran.err
        );
        // Who closes a pipe has seen enough.
        let code = if name == "closed.wav" { 0 } else { 1 };
        assert_eq!(ran.code, Some(code), "{name}: {}", ran.err);
        let notes = ran
            .err
            .matches("note: standard output takes no more")
            .count();
        assert_eq!(
            notes,
            usize::from(name != "bytes.wav"),
            "{name}: {}",
            ran.err
        );
        if code == 1 {
            assert!(ran.err.contains("No space left on device"), "{}", ran.err);
        }
    }
}

/// From ALSA's device of that name silence comes as fast as it is taken.
#[test]
fn a_source_without_end_ends_when_it_is_asked_to() {
    let card = Card::start();
    for signal in ["INT", "TERM"] {
        let out = format!("{signal}.wav");
        let args = [
            "listen", "--host", "alsa", "--device", "null", "--out", &out,
        ];
        let mut listening = card.program(&args);
        listening.until("Listening to ");
        sleep(Duration::from_millis(500));
        listening.signal(signal);
        let ran = listening.wait();
        assert_eq!(ran.code, Some(0), "{}", ran.err);
    }
}

#[test]
fn a_recording_that_is_deleted_while_it_comes_is_kept_all_the_same() {
    let card = Card::start();
    let tape = make_tape(&card, "tape.wav", b"SALTMERE HARBOUR", &short_tape());
    let mut listening = card.program(&["listen", "--out", "heard.wav"]);
    listening.until("Listening to ");
    sleep(Duration::from_millis(500));
    fs::remove_file(card.path("heard.wav")).unwrap();
    listening.until("note: heard.wav was deleted");
    card.play("tape.wav");
    sleep(Duration::from_millis(500));
    fs::remove_file(card.path("heard.wav")).unwrap();
    let ran = listening.interrupt();
    assert_eq!(ran.code, Some(0), "{}", ran.err);
    assert_captured(&card.path("heard.wav"), &tape);
}

/// JACK's library is loaded by ALSA's device of that name, and ALSA itself tries every device.
#[test]
fn the_libraries_of_the_sound_systems_are_not_heard() {
    let card = Card::start();
    let listed = card.program(&["listen", "--list"]).wait();
    assert_eq!((listed.code, &*listed.err), (Some(0), ""));
    for device in ["jack", "hw:7"] {
        let ran = card
            .program(&["listen", "--host", "alsa", "--device", device])
            .wait();
        assert_eq!(ran.code, Some(1), "{}", ran.err);
        assert_eq!(ran.err.lines().count(), 1, "{}", ran.err);
    }
}

#[test]
fn a_full_disk_is_said_and_what_came_before_is_kept() {
    let card = Card::start();
    // A limit on the size of a file stands for the end of the disk: 300 KiB.
    let limited = card.shell(
        "trap '' XFSZ; ulimit -f 300;",
        "listen --out heard.wav --seconds 9",
    );
    let ran = limited.wait();
    assert_eq!(ran.code, Some(1), "{}", ran.err);
    let says = "heard.wav cannot be written on: File too large. What came before is kept in it.";
    assert!(ran.err.contains(says), "{}", ran.err);
    // Two channels of two bytes, behind a header of 44.
    let frames = channels(&card.path("heard.wav"))[0].len();
    assert_eq!(frames, (300 * 1024 - 44) / 4);
    let report = fs::read_to_string(card.path("heard.capture.json")).unwrap();
    let report: serde_json::Value = serde_json::from_str(&report).unwrap();
    assert_eq!(report["captured_s"], frames as f64 / 48_000.0);
    assert_eq!(report["end"]["how"], "not-kept");
    assert!(ran.err.contains("0 characters: "), "{}", ran.err);
}

#[test]
fn what_cannot_be_is_a_sentence() {
    let card = Card::start();
    fs::write(card.path("there.wav"), "precious").unwrap();
    for (args, code, says) in [
        (
            &["--device", "gramophone"][..],
            1,
            "no input device 'gramophone'",
        ),
        (&["--host", "gramophone"], 1, "no host 'gramophone'"),
        (&["--source-channel", "3"], 1, "2 channels, no channel 3"),
        (&["--out", "there.wav"], 1, "is there already"),
        (&["--out", "-"], 2, "kept in a file"),
        (&["--seconds", "soon"], 2, "soon"),
    ] {
        let mut all = vec!["listen"];
        if !args.contains(&"--out") {
            all.extend(["--out", "new.wav"]);
        }
        all.extend(args);
        let ran = card.program(&all).wait();
        assert_eq!(ran.code, Some(code), "{args:?}: {}", ran.err);
        assert!(ran.err.contains(says), "{args:?}: {}", ran.err);
        assert!(!card.path("new.wav").exists(), "{args:?}");
    }
    assert_eq!(
        fs::read_to_string(card.path("there.wav")).unwrap(),
        "precious"
    );
}

/// The sound, its report and the bytes are three files, whatever they are called.
#[test]
fn results_of_a_capture_never_go_to_one_file() {
    let card = Card::start();
    std::os::unix::fs::symlink("new.wav", card.path("link.bin")).unwrap();
    for bytes in ["new.wav", "./new.wav", "link.bin", "new.capture.json"] {
        let args = ["--out", "new.wav", "--replace", "--bytes", bytes];
        let ran = card.program(&[&["listen"], &args[..]].concat()).wait();
        assert_eq!(ran.code, Some(2), "{bytes}: {}", ran.err);
        assert!(!card.path("new.wav").exists(), "{bytes}");
    }
}

#[test]
fn a_capture_writes_over_another_only_when_that_is_asked_for() {
    let card = Card::start();
    let files = ["heard.wav", "heard.capture.json", "heard.bin"];
    for name in files {
        fs::write(card.path(name), "precious").unwrap();
        let args = ["listen", "--out", "heard.wav", "--bytes", "heard.bin"];
        let args = [&args[..], &["--seconds", "200ms"]].concat();
        let ran = card.program(&args).wait();
        assert_eq!(ran.code, Some(1), "{name}: {}", ran.err);
        assert!(ran.err.contains("is there already"), "{}", ran.err);
        assert_eq!(fs::read(card.path(name)).unwrap(), b"precious");
        // Nor is anything lost where the device does not open.
        let no_device = [&args[..], &["--replace", "--device", "gramophone"]].concat();
        assert_eq!(card.program(&no_device).wait().code, Some(1));
        assert_eq!(fs::read(card.path(name)).unwrap(), b"precious");
        let ran = card.program(&[&args[..], &["--replace"]].concat()).wait();
        assert_eq!(ran.code, Some(0), "{name}: {}", ran.err);
        assert!(channels(&card.path("heard.wav"))[0].len() >= 9600);
        assert_eq!(fs::read(card.path("heard.bin")).unwrap(), b"");
        for name in files {
            fs::remove_file(card.path(name)).unwrap();
        }
    }
}

#[test]
fn devices_are_named() {
    let card = Card::start();
    let ran = card.program(&["listen", "--list"]).wait();
    assert_eq!(ran.code, Some(0));
    let after = |word: &str| ran.out.split_once(word).unwrap().1;
    assert!(ran.out.starts_with("PulseAudio (default)\n"), "{}", ran.out);
    assert!(
        after("  deck").contains("input: 2 channels, 48000 Hz, the default"),
        "{}",
        ran.out
    );
    assert!(after("  spk").contains("output: 2 channels, 48000 Hz, the default"));
}

#[test]
fn one_channel_of_two_is_read_and_both_are_kept() {
    let card = Card::start();
    // The tape is on both channels, so that their difference is silence.
    make_tape(&card, "tape.wav", b"SALTMERE", &short_tape());
    for (channel, characters) in [("2", "8 characters"), ("difference", "0 characters")] {
        let out = format!("{channel}.wav");
        let args = ["--source-channel", channel, "--out", &out];
        let mut listening = card.program(&[&["listen"], &args[..]].concat());
        listening.until("Listening to ");
        card.play("tape.wav");
        sleep(Duration::from_millis(400));
        let ran = listening.interrupt();
        assert!(ran.err.contains(characters), "{}", ran.err);
        assert_eq!(channels(&card.path(&out)).len(), 2);
    }
}
