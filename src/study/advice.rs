//! What a whole reading says of the recording: reasons that lie before the framer.

use super::{between_tones_s, tones};
use crate::settings::Bench;
use crate::signal::{Levels, Traces};
use crate::units::{Unit, show_digits};

/// Both tones must be off by more than this part before a wrong speed is spoken of.
const OFF_SPEED: f64 = 0.02;

/// Sentences on a level that does not reach the squarer, and on a speed that is not the tape
/// maker's; none where there is nothing to say.
pub fn advice(traces: &Traces, levels: &Levels, bench: &Bench) -> Vec<String> {
    let mut said: Vec<String> = low_level(traces, levels, bench).into_iter().collect();
    let between_s = between_tones_s(&bench.tape);
    let found = tones(&traces.squarer, 0..traces.squarer.len(), between_s);
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
    use crate::tape::{Content, make};

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
