//! Devices that go, servers that die or hang: noticed, said, the capture kept, no hang.

use super::card::{Card, Program, Ran};
use super::listen::{aligned, channels, make_tape};
use pulsewright::settings::TapeSettings;
use std::fs;
use std::thread::sleep;
use std::time::{Duration, Instant};

/// A capture of a tape under way; gives the tape, too.
fn capturing(card: &Card, out: &str) -> (Program, Vec<i16>) {
    // No stretch of it is like another.
    let bytes: Vec<u8> = (0..600u32).map(|i| (i * i / 7 + i) as u8).collect();
    let settings = TapeSettings {
        leader_s: 0.5,
        ..TapeSettings::default()
    };
    let tape = make_tape(card, "tape.wav", &bytes, &settings);
    let mut listening = card.program(&["listen", "--out", out]);
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
    let report = report(card, "heard.wav");
    assert_eq!(report["end"]["how"], "lost");
    let why = report["end"]["why"].as_str().unwrap();
    assert!(ran.err.contains(why), "{why}");
}

#[test]
fn a_source_that_goes_is_not_replaced_by_another() {
    let card = Card::start();
    let (listening, tape) = capturing(&card, "heard.wav");
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
    let (listening, tape) = capturing(&card, "heard.wav");
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
    let (mut listening, tape) = capturing(card, "heard.wav");
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
    assert_eq!(
        report(card, "heard.wav")["stalls_at_s"]
            .as_array()
            .unwrap()
            .len(),
        1
    );
    told_and_missing(card, "heard.wav", &tape)
}

fn report(card: &Card, name: &str) -> serde_json::Value {
    let path = card.path(name).with_extension("capture.json");
    serde_json::from_str(&fs::read_to_string(path).unwrap()).unwrap()
}

/// What the report of a capture says is lost, and what is missing of the tape, in seconds.
fn told_and_missing(card: &Card, name: &str, tape: &[i16]) -> (f64, f64) {
    let captured = &channels(&card.path(name))[0];
    let missing_s = missing(aligned(captured, tape), tape) as f64 / 48_000.0;
    let report = report(card, name);
    let gaps = report["gaps"].as_array().unwrap();
    let told_s = gaps.iter().map(|g| g["length_s"].as_f64().unwrap()).sum();
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

/// Its connection to the server breaks then, as signal(7) has it for a wait that is interrupted.
#[test]
fn a_capture_that_is_stopped_and_continued_goes_on_and_tells_what_is_missing() {
    let card = Card::start();
    for (stopped_ms, name) in [(20, "a.wav"), (500, "b.wav"), (3000, "c.wav")] {
        let (listening, tape) = capturing(&card, name);
        let mut player = card.player("tape.wav");
        sleep(Duration::from_secs(1));
        listening.signal("STOP");
        sleep(Duration::from_millis(stopped_ms));
        listening.signal("CONT");
        sleep(Duration::from_secs(2));
        let ran = listening.interrupt();
        let _ = player.kill();
        let _ = player.wait();
        assert_eq!(ran.code, Some(0), "{stopped_ms} ms: {}", ran.err);
        let (told_s, missing_s) = told_and_missing(&card, name, &tape);
        assert!(
            (told_s - missing_s).abs() < 0.06,
            "{stopped_ms} ms: {told_s} s told, {missing_s} s missing: {}",
            ran.err
        );
        assert!(missing_s * 1e3 > stopped_ms as f64 - 60.0, "{missing_s} s");
    }
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
    let (mut listening, _) = capturing(&card, "heard.wav");
    sleep(Duration::from_secs(1));
    card.signal("STOP");
    listening.until("stalled");
    let ran = listening.wait();
    assert_eq!(ran.code, Some(1), "{}", ran.err);
    assert!(ran.err.contains("for 10 s"), "{}", ran.err);
    assert!(channels(&card.path("heard.wav"))[0].len() > 24_000);
}
