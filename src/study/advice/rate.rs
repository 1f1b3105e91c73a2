//! The rate of the bits, and the speed of the tape.

use crate::settings::{Bench, PRESETS};
use crate::signal::Traces;
use crate::study::tape_bit_s;
use crate::units::{Unit, show_digits};

/// Both tones must be off by more than this part before a wrong speed is spoken of.
const OFF_SPEED: f64 = 0.02;
/// A rate is another one from this factor on.
const OTHER_RATE: f64 = 1.5;
/// The rate of a preset is meant where a bit is as long as its own to this part.
const SAME_RATE: f64 = 0.2;
/// Of the characters, more than this part must have faults before another rate is spoken of.
const FAULTY: f64 = 0.1;

/// What it means that bits on the tape last much longer or shorter than the framer's.
pub(super) fn other_rate(traces: &Traces, split_s: f64, bench: &Bench) -> Option<String> {
    let faulty = traces.faulty.len() as f64 > FAULTY * traces.characters.len() as f64;
    let bit_s = tape_bit_s(&traces.squarer, split_s).filter(|_| faulty)?;
    let factor = 1.0 / (bit_s * bench.framer.rate_bd);
    if (1.0 / OTHER_RATE..OTHER_RATE).contains(&factor) {
        return None;
    }
    let preset = PRESETS.iter().find(|preset| {
        let mut other = *bench;
        preset.apply(&mut other);
        (bit_s * other.framer.rate_bd - 1.0).abs() < SAME_RATE
    });
    let baud = |bd| show_digits(bd, Unit::Baud, 3);
    Some(format!(
        "Bits on the tape seem to last {}, as at {}, but the framer is set to {}: {}.",
        show_digits(bit_s, Unit::Seconds, 3),
        baud(1.0 / bit_s),
        baud(bench.framer.rate_bd),
        preset.map_or("set its rate, and the long width below a bit".into(), |p| {
            format!("try the preset {}", p.name)
        })
    ))
}

/// What it means that both tones are off by the same part.
pub(in crate::study) fn off_speed(mark_hz: f64, space_hz: f64, bench: &Bench) -> Option<String> {
    let (mark, space) = (mark_hz / bench.tape.mark_hz, space_hz / bench.tape.space_hz);
    let alike = (mark / space - 1.0).abs() < OFF_SPEED;
    let speed = (mark + space) / 2.0;
    let expected_bd = bench.tape.rate_bd * speed;
    let told = (bench.framer.rate_bd / expected_bd - 1.0).abs() < OFF_SPEED;
    ((speed - 1.0).abs() > OFF_SPEED && alike && !told).then(|| {
        let (way, pace) = if speed < 1.0 {
            ("low", "slow")
        } else {
            ("high", "fast")
        };
        let hertz = |hz| show_digits(hz, Unit::Hertz, 4);
        format!(
            "Both tones are {} {way} (mark {}, space {}): the tape seems to run {pace}. Its \
             rate would then be {}: set the framer's to that.",
            show_digits((speed - 1.0).abs() * 100.0, Unit::Percent, 2),
            hertz(mark_hz),
            hertz(space_hz),
            show_digits(expected_bd, Unit::Baud, 4)
        )
    })
}
