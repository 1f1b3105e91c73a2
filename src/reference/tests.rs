//! The reference against theory, wear, and what is no tape.

use super::{Demodulator, Format};
use crate::settings::{Sense, TapeSettings, WearSettings};
use crate::signal::Recording;
use crate::tape::{Content, Extent, Pattern, Random, Tape, make};

/// Random bytes on a tape at 11 025 Hz, without pauses.
fn tape(
    count: usize,
    change: impl Fn(&mut TapeSettings),
    wear: impl Fn(&mut WearSettings),
) -> Tape {
    let mut settings = TapeSettings {
        sample_rate_hz: 11_025,
        leader_s: 1.0,
        trailer_s: 0.5,
        ..TapeSettings::default()
    };
    change(&mut settings);
    let mut worn = WearSettings::default();
    wear(&mut worn);
    let content = Content::pattern(Pattern::Random, Extent::Count(count), 0, &settings);
    make(&content.expect("it can be made"), &settings, &worn)
}

/// How many characters of a tape are read right, within half a bit of where they are.
fn right(tape: &Tape, format: Format) -> usize {
    let read = Demodulator::read(format, &tape.recording);
    let near_s = 0.5 / format.rate_bd;
    let characters = tape.truth.characters.iter();
    characters
        .filter(|c| {
            read.iter()
                .any(|r| (r.at_s - c.at_s).abs() < near_s && r.value == c.value)
        })
        .count()
}

#[test]
fn a_clean_tape_is_read_whole_and_in_time() {
    let tape = tape(40, |_| {}, |_| {});
    let read = Demodulator::read(Format::default(), &tape.recording);
    assert_eq!(read.len(), 40);
    for (r, c) in read.iter().zip(&tape.truth.characters) {
        assert_eq!(r.value, c.value);
        // A sixteenth of a bit is half a cycle of mark; what is left is the clock's own error.
        assert!((r.at_s - c.at_s).abs() < 20e-6, "{} {}", r.at_s, c.at_s);
        assert!(r.confidence > 0.999);
    }
}

#[test]
fn speed_flutter_sense_and_the_faster_variant_are_read() {
    let all = |count, change: &dyn Fn(&mut TapeSettings), wear: &dyn Fn(&mut WearSettings)| {
        let tape = tape(count, change, wear);
        let format = Format {
            rate_bd: tape.truth.tape.rate_bd,
            ..Format::default()
        };
        assert_eq!(right(&tape, format), count);
    };
    for speed_percent in [-30.0, 30.0] {
        all(25, &|_| {}, &|w| {
            (w.speed_percent, w.white_noise_db) = (speed_percent, 20.0);
        });
    }
    all(25, &|_| {}, &|w| {
        (w.flutter_percent, w.flutter_hz, w.white_noise_db) = (1.0, 9.0, 16.0);
    });
    all(25, &|_| {}, &|w| w.sense = Sense::Inverted);
    all(60, &|t| t.rate_bd = 1200.0, &|w| w.white_noise_db = 20.0);
}

/// Coherent theory: a bit is wrong with Q(sqrt(Eb/N0)) (Proakis, Digital Communications; Sklar,
/// Digital Communications; from memory). At 11 dB Q = 1.9e-4, so that of 250 characters of nine
/// bits that matter 0.43 are expected wrong; at 0.6 dB less, 0.9. The non-coherent formula of the
/// same books, exp(-Eb/2N0)/2 = 9.2e-4, gives 2.1. More than four wrong in 250 are unlikely
/// (below 1 %, Poisson) of anything within 0.6 dB of the coherent curve.
#[test]
fn noise_costs_little_more_than_coherent_theory_says() {
    let (rate_hz, rate_bd, eb_n0_db) = (11_025.0f64, 300.0, 11.0);
    // Eb/N0 is the ratio of the powers times the bandwidth, half the sample rate, over the rate.
    let snr_db = eb_n0_db - 10.0 * (rate_hz / 2.0 / rate_bd).log10();
    let tape = tape(250, |_| {}, |w| w.white_noise_db = snr_db);
    let right = right(&tape, Format::default());
    assert!(right >= 246, "{right} of 250");
}

#[test]
fn noise_and_silence_hold_no_character() {
    let mut random = Random::new(1, "noise");
    let noise = (0..20 * 11_025).map(|_| random.normal() as f32 * 0.2);
    for samples in [noise.collect(), vec![0.0; 20 * 11_025], Vec::new()] {
        let read = Demodulator::read(Format::default(), &Recording::new(samples, 11_025));
        assert!(read.is_empty(), "{read:?}");
    }
}

#[test]
fn pieces_of_any_length_give_the_same_characters() {
    let tape = tape(30, |_| {}, |w| w.white_noise_db = 10.0);
    let whole = Demodulator::read(Format::default(), &tape.recording);
    let mut pieces = Demodulator::new(Format::default(), tape.recording.rate_hz());
    for piece in tape.recording.samples().chunks(977) {
        pieces.push(piece);
    }
    assert_eq!(pieces.finish(), whole);
}
