//! What a whole reading says of the recording: reasons that lie before the framer.

use super::{Tones, between_tones_s, tape_bit_s, tones};
use crate::settings::{Bench, PRESETS};
use crate::signal::{Levels, Traces};
use crate::units::{Unit, show_digits};

/// Both tones must be off by more than this part before a wrong speed is spoken of.
const OFF_SPEED: f64 = 0.02;

/// A rate is another one from this factor on.
const OTHER_RATE: f64 = 1.5;
/// The rate of a preset is meant where a bit is as long as its own to this part.
const SAME_RATE: f64 = 0.2;
/// Of the characters, more than this part must have faults before another rate is spoken of.
const FAULTY: f64 = 0.1;
/// Of the cycles, more than this part must be too short before noise is spoken of.
const NOISY: f64 = 0.01;

/// Sentences on a level that does not reach the squarer, on bits that are not as long as the
/// framer's, on noise that reaches the squarer's levels, and on a speed that is not the tape
/// maker's; none where there is nothing to say.
pub fn advice(traces: &Traces, levels: &Levels, bench: &Bench) -> Vec<String> {
    let mut said: Vec<String> = low_level(traces, levels, bench).into_iter().collect();
    let between_s = between_tones_s(&bench.tape);
    let found = tones(&traces.squarer, 0..traces.squarer.len(), between_s);
    // Noise cuts the runs into pieces that tell nothing of bits.
    said.extend(noise(&found, bench).or_else(|| other_rate(traces, found.split_s, bench)));
    if let (Some(mark_hz), Some(space_hz)) = (found.mark_hz, found.space_hz) {
        said.extend(off_speed(mark_hz, space_hz, bench));
    }
    said
}

fn low_level(traces: &Traces, levels: &Levels, bench: &Bench) -> Option<String> {
    let squarer = &bench.squarer;
    let peak_v = levels.peak_v * bench.input.gain;
    let needed_v = squarer.reference_v.abs() + squarer.hysteresis_v / 2.0;
    let volts = |v| show_digits(v, Unit::Volts, 3);
    (traces.squarer.is_empty() && peak_v > 0.0 && peak_v <= needed_v).then(|| {
        format!(
            "The signal's peak of {} does not reach the squarer's level of {}: raise the gain or \
             lower the hysteresis.",
            volts(peak_v),
            volts(needed_v)
        )
    })
}

/// What it means that bits on the tape last much longer or shorter than the framer's.
fn other_rate(traces: &Traces, split_s: f64, bench: &Bench) -> Option<String> {
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

/// What it means that many cycles are too short for either tone.
fn noise(tones: &Tones, bench: &Bench) -> Option<String> {
    let part = tones.short_cycles as f64 / (tones.mark_cycles + tones.space_cycles).max(1) as f64;
    (part > NOISY).then(|| {
        format!(
            "{} of the squarer's cycles are too short for either tone: noise reaches its levels. \
             Raise the hysteresis above {}, or let less through above the tones with the low-pass.",
            show_digits(part * 100.0, Unit::Percent, 2),
            show_digits(bench.squarer.hysteresis_v, Unit::Volts, 3)
        )
    })
}

/// What it means that both tones are off by the same part.
pub(super) fn off_speed(mark_hz: f64, space_hz: f64, bench: &Bench) -> Option<String> {
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
            "Both tones are {} {way} (mark {}, space {}): the tape seems to run {pace}, and its \
             rate would then be {}.",
            show_digits((speed - 1.0).abs() * 100.0, Unit::Percent, 2),
            hertz(mark_hz),
            hertz(space_hz),
            show_digits(expected_bd, Unit::Baud, 4)
        )
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::settings::WearSettings;
    use crate::signal::Chain;
    use crate::tape::{self, Content, make};

    fn said(bench: &Bench, wear: &WearSettings) -> Vec<String> {
        let tape = make(&Content::bytes(b"SALTMERE"), &bench.tape, wear);
        let levels = Levels::of(tape.recording.samples(), 1.0);
        advice(&Chain::read(bench, &tape.recording), &levels, bench)
    }

    #[test]
    fn a_clean_tape_needs_no_advice() {
        assert!(said(&Bench::default(), &WearSettings::default()).is_empty());
    }

    #[test]
    fn a_slow_tape_is_named_with_its_rate() {
        let wear = WearSettings {
            speed_percent: -6.0,
            ..Default::default()
        };
        let mut bench = Bench::default();
        let told = said(&bench, &wear);
        assert!(
            told[0].contains("6% low") && told[0].contains("282 Bd"),
            "{told:?}"
        );
        bench.framer.rate_bd = 282.0;
        assert!(said(&bench, &wear).is_empty());
    }

    #[test]
    fn bits_of_another_length_are_named_with_their_preset() {
        let bench = Bench::default();
        let mut recorded = bench;
        recorded.tape.rate_bd = 1200.0;
        let tape = tape::record(b"SALTMERE 06:40 3.2 M", &recorded.tape);
        let levels = Levels::of(tape.samples(), 1.0);
        let told = advice(&Chain::read(&bench, &tape), &levels, &bench);
        for says in ["last 830 µs", "1200 Bd", "300 Bd", "preset 1200bd"] {
            assert!(told[0].contains(says), "{told:?}");
        }
    }

    #[test]
    fn noise_that_reaches_the_squarer_is_named() {
        let mut bench = Bench::default();
        bench.squarer.hysteresis_v = 0.01;
        let wear = WearSettings {
            white_noise_db: 12.0,
            ..Default::default()
        };
        let told = said(&bench, &wear);
        assert!(
            told.iter().any(|s| s.contains("hysteresis above 10 mV")),
            "{told:?}"
        );
    }

    #[test]
    fn a_level_below_the_squarer_is_named() {
        let mut bench = Bench::default();
        bench.tape.level_v = 0.02;
        let told = said(&bench, &WearSettings::default());
        assert!(
            told[0].contains("20 mV") && told[0].contains("25 mV"),
            "{told:?}"
        );
    }
}
