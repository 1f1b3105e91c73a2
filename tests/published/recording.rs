//! Generated audio against the report on two-tone cassette recording in BYTE, February 1976,
//! pp. 72-73: a mark is 8 cycles of 2400 Hz, a space 4 cycles of 1200 Hz, either 1/300 s long; a
//! character is one space, eight data bits with the least significant first, and two or more
//! marks.
//!
//! Everything is measured on the samples.

use pulsewright::settings::{TapeSettings, Wave};
use pulsewright::signal::Recording;
use pulsewright::tape;

const MARK_S: f64 = 1.0 / 2400.0;
const SPACE_S: f64 = 1.0 / 1200.0;

/// Cycles of one kind in a row.
#[derive(Debug, PartialEq)]
struct Run {
    is_mark: bool,
    cycles: usize,
}

/// Rising zero crossings, on the straight line between the samples beside each.
fn rising_crossings_s(recording: &Recording) -> Vec<f64> {
    // A square wave begins high: what comes before it is the low half of a cycle.
    let mut samples = vec![-TapeSettings::default().level_v as f32];
    samples.extend(&*recording.samples());
    let pairs = samples.windows(2).enumerate();
    pairs
        .filter(|(_, pair)| pair[0] <= 0.0 && pair[1] > 0.0)
        .map(|(i, pair)| {
            let (before, behind) = (f64::from(pair[0]), f64::from(pair[1]));
            (i as f64 - 1.0 + before / (before - behind)) / f64::from(recording.rate_hz())
        })
        .collect()
}

/// Counts the cycles of each tone, each of which must have the tone's period to `within_s`.
fn runs(crossings_s: &[f64], within_s: f64) -> Vec<Run> {
    let mut runs: Vec<Run> = Vec::new();
    for pair in crossings_s.windows(2) {
        let period_s = pair[1] - pair[0];
        let is_mark = (period_s - MARK_S).abs() <= within_s;
        assert!(
            is_mark || (period_s - SPACE_S).abs() <= within_s,
            "a cycle of {period_s} s is neither tone"
        );
        match runs.last_mut() {
            Some(run) if run.is_mark == is_mark => run.cycles += 1,
            _ => runs.push(Run { is_mark, cycles: 1 }),
        }
    }
    runs
}

/// The bits, `1` mark and `0` space, that whole bits of cycles stand for.
fn bits(runs: &[Run], mark_cycles: usize, space_cycles: usize) -> String {
    let bits_of = |run: &Run| {
        let (bit, cycles) = if run.is_mark {
            ("1", mark_cycles)
        } else {
            ("0", space_cycles)
        };
        assert_eq!(run.cycles % cycles, 0, "{run:?} is no whole number of bits");
        bit.repeat(run.cycles / cycles)
    };
    runs.iter().map(bits_of).collect()
}

/// A leader of two bits, the bytes, a trailer of one bit and one cycle more, which ends the last
/// cycle of the bit before it.
fn short_tape(bytes: &[u8], change: impl Fn(&mut TapeSettings)) -> Recording {
    let mut settings = TapeSettings::default();
    change(&mut settings);
    settings.leader_s = 2.0 / settings.rate_bd;
    settings.trailer_s = 1.0 / settings.rate_bd + MARK_S;
    tape::record(bytes, &settings)
}

/// The characters of the bytes 4B and FF hexadecimal, written out from the report by hand:
/// 4B is 0100 1011, from the right 1 1 0 1 0 0 1 0.
const LEADER: &str = "11";
const CHARACTER_4B: &str = "0 11010010 11";
const CHARACTER_FF: &str = "0 11111111 11";
const TRAILER: &str = "1";

fn expected() -> String {
    [LEADER, CHARACTER_4B, CHARACTER_FF, TRAILER]
        .concat()
        .replace(' ', "")
}

#[test]
fn a_character_is_laid_out_as_published_at_every_sample_rate() {
    for sample_rate_hz in [22_050, 44_100, 48_000, 96_000, 192_000] {
        let tape = short_tape(&[0x4B, 0xFF], |s| s.sample_rate_hz = sample_rate_hz);
        // At 22.05 kHz the straight line across a change of tone misses the crossing by some
        // microseconds; the periods are 417 us apart.
        let runs = runs(&rising_crossings_s(&tape), 10e-6);
        assert_eq!(bits(&runs, 8, 4), expected(), "{sample_rate_hz} Hz");
    }
}

#[test]
fn a_square_wave_is_laid_out_likewise() {
    let tape = short_tape(&[0x4B, 0xFF], |s| s.wave = Wave::Square);
    assert_eq!(
        bits(&runs(&rising_crossings_s(&tape), 1e-9), 8, 4),
        expected()
    );
}

#[test]
fn a_bit_of_either_tone_lasts_3_333_ms_and_begins_at_a_rising_crossing() {
    let tape = short_tape(&[0x4B], |s| s.sample_rate_hz = 44_100);
    let crossings_s = rising_crossings_s(&tape);
    let mut at = 0;
    for (place, bit) in "11 0 11010010 11".replace(' ', "").chars().enumerate() {
        let begins_s = place as f64 / 300.0;
        assert!((crossings_s[at] - begins_s).abs() < 1e-6, "bit {place}");
        at += if bit == '1' { 8 } else { 4 };
        let bit_s = crossings_s[at] - begins_s;
        assert!((bit_s - 3.333e-3).abs() < 2e-6, "bit {place}: {bit_s} s");
    }
}

/// The faster variant, 1200 Bd: a mark is 2 cycles of 2400 Hz, a space 1 cycle of 1200 Hz
/// (common practice, no source).
#[test]
fn the_faster_variant_has_two_cycles_and_one() {
    let tape = short_tape(&[0x4B, 0xFF], |s| s.rate_bd = 1200.0);
    assert_eq!(
        bits(&runs(&rising_crossings_s(&tape), 2e-6), 2, 1),
        expected()
    );
}
