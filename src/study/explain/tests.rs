//! Benches with one thing wrong, and what is said of their characters.

use super::*;
use crate::settings::{StopBits, TapeSettings, Trigger};
use crate::signal::{Chain, Recording};
use crate::tape;

fn recording(bytes: &[u8], change: impl Fn(&mut TapeSettings)) -> Recording {
    let mut settings = TapeSettings {
        leader_s: 0.1,
        trailer_s: 0.1,
        sample_rate_hz: 24_000,
        ..Default::default()
    };
    change(&mut settings);
    tape::record(bytes, &settings)
}

/// Stretches of tone, each of so many hertz and seconds.
fn tones(stretches: &[(f64, f64)]) -> Recording {
    let mut maker = tape::ToneMaker::new(&TapeSettings {
        sample_rate_hz: 192_000,
        ..Default::default()
    });
    let mut samples = Vec::new();
    for &(tone_hz, length_s) in stretches {
        maker.run(tape::Stretch { tone_hz, length_s }, &mut samples);
    }
    Recording::new(samples, 192_000)
}

/// Reads with a changed bench; gives the traces and what is said of the first character.
fn said(recording: &Recording, change: impl Fn(&mut Bench)) -> (Traces, String) {
    let mut bench = Bench::default();
    change(&mut bench);
    let traces = Chain::read(&bench, recording);
    let said = explain(&traces.characters[0], &traces, &bench).join("\n");
    (traces, said)
}

fn has(text: &str, parts: &[&str]) {
    for part in parts {
        assert!(text.contains(part), "'{part}' is not in:\n{text}");
    }
}

/// 1.1 ms less a cycle of 833.3 us: 267 us, 8 % of a bit.
#[test]
fn a_sound_character_has_its_margin_and_its_distortion_and_no_advice() {
    let (traces, text) = said(&recording(b"U", |_| {}), |_| {});
    assert_eq!(traces.bytes(), b"U");
    has(
        &text,
        &[
            "without a fault",
            "end 267 µs late (8% of a bit) and begin on time",
            "transition to mark",
        ],
    );
    assert!(
        !text.contains("too long") && !text.contains("too short"),
        "{text}"
    );
}

/// The margin in the sentence is the one that the framer found.
#[test]
fn the_least_margin_is_that_of_the_framer() {
    let recording = recording(b"SALTMERE", |_| {});
    for long_s in [0.9e-3, 1.1e-3, 1.9e-3, 2.3e-3] {
        let mut bench = Bench::default();
        bench.long.width_s = long_s;
        let traces = Chain::read(&bench, &recording);
        for character in &traces.characters {
            let line = Line::new(character, &traces.long, true);
            let apart = line.nearest().unwrap().apart_s / character.instants.bit_s;
            assert!((apart * 100.0 - character.margin_percent).abs() < 1e-6);
        }
    }
}

#[test]
fn a_long_width_that_is_too_long_is_named_with_the_right_one() {
    let right = |text: &str| {
        has(
            text,
            &[
                "is too long: spaces end late",
                "a little above the longest of these, 833 µs",
            ],
        );
    };
    let (_, text) = said(&recording(b"U", |_| {}), |b| b.long.width_s = 2.3e-3);
    has(
        &text,
        &["without a fault", "end 1.47 ms late (44% of a bit)"],
    );
    right(&text);
    // Over half a bit late: the first mark bit is lost, and the stop bit of 0xFE is mark still.
    let (_, text) = said(&recording(&[0x55], |_| {}), |b| b.long.width_s = 2.8e-3);
    has(&text, &["59% of a bit"]);
    right(&text);
}

/// The leader passes, but the mark behind the start bit is slower and does not.
#[test]
fn a_short_width_that_is_too_short_is_counted() {
    let tape = tones(&[(2400.0, 0.1), (1200.0, 1.0 / 300.0), (2350.0, 0.1)]);
    let (_, text) = said(&tape, |b| b.short.width_s = 420e-6);
    let cycles = "times out in 70 of 70 cycles of mark (425 µs)";
    has(
        &text,
        &[
            "Break",
            cycles,
            "too short",
            "between 425 µs and 830 µs, at best near 594 µs",
        ],
    );
    let (traces, text) = said(&tape, |b| b.short.width_s = 430e-6);
    assert_eq!(traces.bytes(), [0xFF]);
    assert!(!text.contains("too short"), "{text}");
}

/// On a line held down since the leader, the stretch of the break holds nothing but mark.
#[test]
fn where_all_cycles_are_alike_the_conclusion_is_left_open() {
    let leader = recording(b"", |s| s.leader_s = 1.0);
    let (_, text) = said(&leader, |b| b.short.width_s = 400e-6);
    has(
        &text,
        &[
            "Break",
            "are alike, 417 µs",
            "400 µs wide",
            "If they are mark",
        ],
    );
}

/// Cycles of space of 800 and of 833 us, and a width between them.
#[test]
fn a_short_width_that_swallows_space_is_counted() {
    let tape = tones(&[
        (2400.0, 0.1),
        (1200.0, 0.01),
        (1250.0, 0.008),
        (1200.0, 0.01),
        (2400.0, 0.1),
    ]);
    let (_, text) = said(&tape, |b| b.short.width_s = 815e-6);
    let cycles = "does not time out in 10 of 34 cycles of space (833 µs)";
    has(&text, &[cycles, "too long", "between 417 µs and 800 µs"]);
}

#[test]
fn a_long_width_below_a_cycle_of_space_is_counted() {
    let (_, text) = said(&recording(b"\0", |_| {}), |b| b.long.width_s = 700e-6);
    has(
        &text,
        &[
            "700 µs wide, releases within",
            "cycles of space (833 µs)",
            "over 833 µs",
        ],
    );
    assert!(!text.contains("Counted from"), "{text}");
}

#[test]
fn with_a_trigger_on_both_edges_half_cycles_count() {
    let change = |b: &mut Bench| {
        (b.short.trigger, b.short.width_s) = (Trigger::Both, 295e-6);
        b.long.width_s = 1.5e-3;
    };
    let (traces, text) = said(&recording(b"U", |_| {}), change);
    assert_eq!(traces.bytes(), b"U");
    has(
        &text,
        &[
            "without a fault",
            "a little above the longest of these, 417 µs",
        ],
    );
    assert!(!text.contains("tones"), "{text}");
}

#[test]
fn another_rate_is_told_from_another_width() {
    let slow = recording(b"U", |s| {
        (s.rate_bd, s.mark_hz, s.space_hz) = (291.0, 2328.0, 1164.0);
    });
    let (_, text) = said(&slow, |_| {});
    has(
        &text,
        &[
            "3.1% longer than the framer's",
            "has 291 Bd",
            "expects 300 Bd",
        ],
    );
    assert!(!text.contains("too long"), "{text}");
}

#[test]
fn what_was_expected_and_what_was_seen() {
    let (_, text) = said(&recording(b"A", |_| {}), |b| b.framer.parity = Parity::Odd);
    assert!(text.contains("without a fault"), "{text}");
    let even = recording(b"A", |s| s.parity = Parity::Even);
    let (_, text) = said(&even, |b| b.framer.parity = Parity::Odd);
    has(
        &text,
        &[
            "with odd parity and 2 ones",
            "should be mark, and was space",
        ],
    );
    let (_, text) = said(&even, |b| b.framer.parity = Parity::Mark);
    has(
        &text,
        &["parity bit set to mark", "should be mark, and was space"],
    );
    // Eight bits and even parity, read without parity: the parity bit is where stop should be.
    let (_, text) = said(&even, |b| b.framer.stop_bits = StopBits::Two);
    has(
        &text,
        &["Framing error: the stop bit should be mark, and was space"],
    );
    let (_, text) = said(&recording(&[0], |_| {}), |b| b.framer.data_bits = 7);
    has(
        &text,
        &[
            "Break: every bit",
            "stayed at space for",
            "a whole character takes 30 ms",
        ],
    );
}

/// Traces that do not hold the character at all, as a caller may mix up.
#[test]
fn empty_traces_say_what_little_there_is() {
    let character = super::super::made::character(1.0, 0x41);
    let said = explain(&character, &Traces::default(), &Bench::default());
    assert_eq!(said, ["It was received without a fault."]);
}
