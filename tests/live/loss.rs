//! Devices that go, servers that die or hang: noticed, said, the capture kept, no hang.

use super::card::{Card, Program, Ran};
use super::listen::{aligned, channels, make_tape};
use pulsewright::settings::TapeSettings;
use std::fs;
use std::thread::sleep;
use std::time::{Duration, Instant};

/// A capture of a tape under way; gives the tape, too.
fn capturing(card: &Card) -> (Program, Vec<i16>) {
    // No stretch of it is like another.
    let bytes: Vec<u8> = (0..600u32).map(|i| (i * i / 7 + i) as u8).collect();
    let settings = TapeSettings {
        leader_s: 0.5,
        ..TapeSettings::default()
    };
    let tape = make_tape(card, "tape.wav", &bytes, &settings);
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

/// What is missing of the tape in `found`, in one piece at the most, in samples.
fn missing(found: &[i16], tape: &[i16]) -> usize {
    let Some(at) = found.iter().zip(tape).position(|(a, b)| a != b) else {
        return 0;
    };
    let probe = &found[at + 4800..][..4800];
    let mut places = tape.windows(probe.len());
    let place = places.position(|w| w == probe).expect("more than one gap");
    place - (at + 4800)
}

/// Disturbs a capture two seconds after the tape begins, in a way that lets it stall once; gives
/// in seconds what is told to be lost, and what is missing of the tape.
fn disturbed(card: &Card, disturb: impl FnOnce(&mut Program)) -> (f64, f64) {
    let (mut listening, tape) = capturing(card);
    let mut player = card.player("tape.wav");
    sleep(Duration::from_secs(2));
    disturb(&mut listening);
    listening.until("resumed: samples come again");
    // A loss is told from lateness after two seconds.
    sleep(Duration::from_secs(4));
    let ran = listening.interrupt();
    let _ = player.kill();
    let _ = player.wait();
    assert_eq!(ran.code, Some(0), "{}", ran.err);
    let captured = &channels(&card.path("heard.wav"))[0];
    let found = aligned(captured, &tape);
    assert!(found.len() > 5 * 48_000, "{} samples", found.len());
    let missing_s = missing(found, &tape) as f64 / 48_000.0;
    let report = fs::read_to_string(card.path("heard.capture.json")).unwrap();
    let report: serde_json::Value = serde_json::from_str(&report).unwrap();
    let gaps = report["gaps"].as_array().unwrap();
    let told_s = gaps.iter().map(|g| g["length_s"].as_f64().unwrap()).sum();
    assert_eq!(report["stalls_at_s"].as_array().unwrap().len(), 1);
    (told_s, missing_s)
}

/// It may keep what is played meanwhile and give it late, or lose it.
#[test]
fn a_server_that_stands_for_two_seconds_is_noticed_and_only_what_is_missing_is_told() {
    let card = Card::start();
    let (told_s, missing_s) = disturbed(&card, |listening| {
        card.signal("STOP");
        let stopped = Instant::now();
        listening.until("stalled: nothing has come for half a second");
        // It was still standing when that was said.
        assert!(stopped.elapsed() < Duration::from_secs(2));
        sleep(Duration::from_secs(2).saturating_sub(stopped.elapsed()));
        card.signal("CONT");
    });
    assert!(
        (told_s - missing_s).abs() < 0.06,
        "{told_s} s told, {missing_s} s missing"
    );
}

/// What is played while a source is suspended is lost.
#[test]
fn what_a_suspended_source_loses_is_told() {
    let card = Card::start();
    let (told_s, missing_s) = disturbed(&card, |listening| {
        card.suspend("deck", true);
        listening.until("stalled: nothing has come for half a second");
        sleep(Duration::from_millis(700));
        card.suspend("deck", false);
    });
    assert!(missing_s > 1.0, "{missing_s} s missing");
    assert!(
        (told_s - missing_s).abs() < 0.06,
        "{told_s} s told, {missing_s} s missing"
    );
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
