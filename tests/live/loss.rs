//! Devices that go, servers that die or hang: noticed, said, the capture kept, no hang.

use super::card::{Card, Program, Ran};
use super::listen::{aligned, channels, make_tape};
use pulsewright::settings::TapeSettings;
use std::fs;
use std::thread::sleep;
use std::time::{Duration, Instant};

/// A capture of a tape under way; gives the tape, too.
fn capturing(card: &Card) -> (Program, Vec<i16>) {
    let settings = TapeSettings {
        leader_s: 20.0,
        ..TapeSettings::default()
    };
    let tape = make_tape(card, "tape.wav", b"", &settings);
    let mut listening = card.program(&["listen", "--out", "heard.wav"]);
    listening.until("Listening to ");
    (listening, tape)
}

/// Plays while `act` is done two seconds later.
fn playing(card: &Card, act: impl FnOnce()) {
    let mut player = card.player("tape.wav");
    sleep(Duration::from_secs(2));
    act();
    let _ = player.kill();
    let _ = player.wait();
}

/// What was captured before the loss is there, and what the program says about it.
fn assert_kept(card: &Card, ran: &Ran, tape: &[i16], says: &str) {
    assert_eq!(ran.code, Some(1), "{}", ran.err);
    assert!(ran.err.contains(says), "{}", ran.err);
    let captured = &channels(&card.path("heard.wav"))[0];
    let found = aligned(captured, tape);
    let same = found.iter().zip(tape).take_while(|(a, b)| a == b).count();
    assert!(same > 48_000, "{same} samples of the tape");
    let report = fs::read_to_string(card.path("heard.capture.json")).unwrap();
    let report: serde_json::Value = serde_json::from_str(&report).unwrap();
    assert_eq!(report["end"]["how"], "lost");
    let why = report["end"]["why"].as_str().unwrap();
    assert!(ran.err.contains(why), "{why}");
}

#[test]
fn a_source_that_goes_is_not_replaced_by_another() {
    let card = Card::start();
    let (listening, tape) = capturing(&card);
    playing(&card, || card.unload("module-remap-source"));
    let ran = listening.wait();
    assert_kept(
        &card,
        &ran,
        &tape,
        "is gone, and the sound server would go on with another",
    );
}

#[test]
fn a_server_that_dies_is_noticed() {
    let card = Card::start();
    let (listening, tape) = capturing(&card);
    playing(&card, || card.signal("KILL"));
    let ran = listening.wait();
    assert_kept(&card, &ran, &tape, "egin again.");
}

#[test]
fn a_server_that_stands_for_two_seconds_leaves_a_gap_and_no_more() {
    let card = Card::start();
    let (mut listening, tape) = capturing(&card);
    let mut player = card.player("tape.wav");
    sleep(Duration::from_secs(2));
    card.signal("STOP");
    let stopped = Instant::now();
    listening.until("stalled: nothing has come for half a second");
    // It was still standing when that was said.
    assert!(stopped.elapsed() < Duration::from_secs(2));
    sleep(Duration::from_secs(2).saturating_sub(stopped.elapsed()));
    card.signal("CONT");
    listening.until("resumed: samples come again");
    listening.until("gap: ");
    let _ = player.kill();
    let _ = player.wait();
    let ran = listening.interrupt();
    assert_eq!(ran.code, Some(0), "{}", ran.err);
    let captured = &channels(&card.path("heard.wav"))[0];
    let found = aligned(captured, &tape);
    let same = found.iter().zip(&tape).take_while(|(a, b)| a == b).count();
    assert!(same > 48_000, "{same} samples of the tape");
    let report = fs::read_to_string(card.path("heard.capture.json")).unwrap();
    let report: serde_json::Value = serde_json::from_str(&report).unwrap();
    let gaps = report["gaps"].as_array().unwrap();
    let length_s: f64 = gaps.iter().map(|g| g["length_s"].as_f64().unwrap()).sum();
    assert!((1.5..2.5).contains(&length_s), "{length_s} s");
    assert_eq!(report["stalls_at_s"].as_array().unwrap().len(), 1);
}

#[test]
fn a_server_that_hangs_hangs_nothing_else() {
    let card = Card::start();
    card.signal("STOP");
    for args in [
        &["listen", "--out", "heard.wav"][..],
        &["play", "--text", "A"],
        &["listen", "--host", "pulseaudio", "--out", "heard.wav"],
    ] {
        let ran = card.program(args).wait();
        assert_eq!(ran.code, Some(1), "{args:?}: {}", ran.err);
        assert!(ran.err.contains("pulsewright: "), "{args:?}: {}", ran.err);
    }
    let ran = card.program(&["listen", "--list"]).wait();
    assert_eq!(ran.code, Some(0), "{}", ran.err);
    assert!(ran.out.contains("PulseAudio"), "{}", ran.out);
    assert!(!card.path("heard.wav").exists());
}

/// Nothing for ten seconds ends it.
#[test]
fn a_server_that_hangs_for_good_ends_the_capture() {
    let card = Card::start();
    let (mut listening, _) = capturing(&card);
    sleep(Duration::from_secs(1));
    card.signal("STOP");
    listening.until("stalled");
    let ran = listening.wait();
    assert_eq!(ran.code, Some(1), "{}", ran.err);
    assert!(ran.err.contains("for 10 s"), "{}", ran.err);
    assert!(channels(&card.path("heard.wav"))[0].len() > 24_000);
}
