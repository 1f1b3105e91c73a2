//! What the program plays is what comes out.

use super::card::Card;
use super::listen::{assert_captured, channels, make_tape, short_tape};
use std::fs;
use std::thread::sleep;
use std::time::Duration;

#[test]
fn a_tape_played_by_the_program_comes_back_whole() {
    let card = Card::start();
    let bytes: Vec<u8> = (0..=255).rev().collect();
    let tape = make_tape(&card, "tape.wav", &bytes, &short_tape());
    let args = ["--device", "spk.monitor", "--out", "heard.wav"];
    let mut listening = card.program(&[&["listen", "--bytes", "b"], &args[..]].concat());
    listening.until("Listening to ");
    let ran = card.program(&["play", "tape.wav"]).wait();
    assert_eq!(ran.code, Some(0), "{}", ran.err);
    assert_eq!(ran.err.matches("Caution: loud").count(), 1);
    sleep(Duration::from_millis(400));
    let heard = listening.interrupt();
    assert_eq!(fs::read(card.path("b")).unwrap(), bytes, "{}", heard.err);
    assert_captured(&card.path("heard.wav"), &tape);
}

/// A steady tone of 2400 Hz is the same twenty samples again and again, over every seam.
#[test]
fn a_loop_has_no_seam_and_ends_at_once() {
    let card = Card::start();
    let mut settings = short_tape();
    // A length that is no whole number of cycles is cut to one.
    (settings.leader_s, settings.trailer_s, settings.mark_hz) = (0.3, 0.0, 2400.0);
    let tone = make_tape(&card, "tone.wav", b"", &settings);
    let mut listening = card.program(&["listen", "--device", "spk.monitor", "--out", "heard.wav"]);
    listening.until("Listening to ");
    let mut playing = card.program(&["play", "tone.wav", "--loop", "--level", "0.25"]);
    playing.until("Playing ");
    sleep(Duration::from_secs(2));
    assert_eq!(playing.interrupt().code, Some(0));
    sleep(Duration::from_millis(300));
    listening.interrupt();
    let heard = &channels(&card.path("heard.wav"))[0];
    let from = heard.iter().position(|&s| s != 0).unwrap() + 100;
    let steady = heard[from..].windows(21).take_while(|w| w[0] == w[20]);
    let steady = steady.count();
    assert!(steady > 5 * tone.len(), "steady for {steady} samples");
    let peak = heard.iter().map(|s| s.unsigned_abs()).max().unwrap();
    assert!(peak.abs_diff(8192) <= 1, "{peak}");
    // The fade of 5 ms, and then silence.
    let end = heard.iter().rposition(|&s| s != 0).unwrap();
    let faded = end - (from + steady);
    assert!((150..300).contains(&faded), "{faded} samples");
}

/// Stopped for as long as its samples last, and longer.
#[test]
fn playing_that_is_stopped_and_continued_goes_on_where_it_was() {
    let card = Card::start();
    // No stretch of it is like another.
    let bytes: Vec<u8> = (0..100u32).map(|i| (i * i / 7 + i) as u8).collect();
    let tape = make_tape(&card, "tape.wav", &bytes, &short_tape());
    for (stopped_ms, name) in [(20, "a.wav"), (1000, "b.wav")] {
        let mut listening = card.program(&["listen", "--device", "spk.monitor", "--out", name]);
        listening.until("Listening to ");
        let mut playing = card.program(&["play", "tape.wav"]);
        playing.until("Playing ");
        sleep(Duration::from_secs(1));
        playing.signal("STOP");
        sleep(Duration::from_millis(stopped_ms));
        playing.signal("CONT");
        let ran = playing.wait();
        assert_eq!(ran.code, Some(0), "{stopped_ms} ms: {}", ran.err);
        sleep(Duration::from_millis(400));
        listening.interrupt();
        let heard = &channels(&card.path(name))[0];
        // Up to the last sample of the tape.
        let last = |samples: &[i16]| samples.iter().rposition(|&s| s != 0).unwrap();
        let end = last(&tape);
        let heard = &heard[..=last(heard)];
        assert!(heard.ends_with(&tape[end - 4800..=end]), "{stopped_ms} ms");
    }
}

#[test]
fn what_cannot_be_is_a_sentence() {
    let card = Card::start();
    for (args, code, says) in [
        (&["none.wav"][..], 1, "There is no file 'none.wav'"),
        (
            &["--text", "A", "--device", "gramophone"],
            1,
            "no output device 'gramophone'",
        ),
        (&["--text", "A", "--level", "3"], 1, "choose a lower level"),
        (&["--text", "A", "--level", "0"], 2, "above 0 V"),
        (&[], 2, "FILE"),
    ] {
        let ran = card.program(&[&["play"], args].concat()).wait();
        assert_eq!(ran.code, Some(code), "{args:?}: {}", ran.err);
        assert!(ran.err.contains(says), "{args:?}: {}", ran.err);
    }
}

#[test]
fn a_lost_output_is_said() {
    let card = Card::start();
    let text = "SALTMERE ".repeat(20);
    let mut playing = card.program(&["play", "--text", &text]);
    playing.until("Playing ");
    card.unload("module-null-sink");
    let ran = playing.wait();
    assert_eq!(ran.code, Some(1), "{}", ran.err);
    assert!(ran.err.contains("begin again"), "{}", ran.err);
}
