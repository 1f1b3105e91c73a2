//! What a whole reading says of the recording and of the settings.

mod level;
mod rate;
mod squarer;
mod widths;

pub(super) use rate::off_speed;
pub use widths::short_width_advice;

use super::{between_tones_s, tones};
use crate::settings::Bench;
use crate::signal::{Levels, Traces};

/// Sentences on what hinders the reading, from the source on: level, offset and hum; cycles that
/// the squarer adds or misses; rate and speed; both widths. None where there is nothing to say.
pub fn advice(traces: &Traces, levels: &Levels, bench: &Bench) -> Vec<String> {
    let between_s = between_tones_s(&bench.tape);
    let found = tones(&traces.squarer, 0..traces.squarer.len(), between_s);
    let mut said = Vec::new();
    said.extend(level::advice(traces, levels, bench));
    let cycles = squarer::advice(&found, levels, bench);
    // Cycles too many or too few cut the runs of space into pieces that tell nothing of bits.
    let rate = match (&cycles, said.is_empty()) {
        (None, true) => rate::other_rate(traces, found.split_s, bench),
        _ => None,
    };
    // With another rate there are other widths, and noise hides the tones' lengths.
    let with_widths = cycles.is_none() && rate.is_none();
    said.extend(cycles.into_iter().chain(rate));
    if let (Some(mark_hz), Some(space_hz)) = (found.mark_hz, found.space_hz) {
        said.extend(rate::off_speed(mark_hz, space_hz, bench));
        if with_widths {
            said.extend(widths::advice(&found, bench));
        }
    }
    said
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::settings::WearSettings;
    use crate::signal::Chain;
    use crate::tape::{self, Content, make};

    fn said(bench: &Bench, wear: &WearSettings) -> Vec<String> {
        let tape = make(&Content::bytes(b"SALTMERE"), &bench.tape, wear);
        let levels = Levels::of(tape.recording.samples(), tape.recording.rate_hz(), 1.0);
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
        let levels = Levels::of(tape.samples(), tape.rate_hz(), 1.0);
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
            told.iter().any(|s| s.contains("hysteresis from 10 mV")),
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

    #[test]
    fn widths_that_do_not_part_or_hold_are_named_with_the_right_ones() {
        let said_with = |short_s: f64, long_s: f64| {
            let mut bench = Bench::default();
            (bench.short.width_s, bench.long.width_s) = (short_s, long_s);
            said(&bench, &WearSettings::default()).join(" ")
        };
        let between = "between 417 µs and 833 µs, at best near 589 µs";
        for (short_s, says) in [
            (300e-6, "ends within a cycle of mark"),
            (2e-3, "holds through a cycle of space"),
            (430e-6, "hardly another than a cycle of mark"),
            (800e-6, "hardly another than a cycle of space"),
        ] {
            let told = said_with(short_s, 1.1e-3);
            assert!(told.contains(says) && told.contains(between), "{told}");
        }
        // Late by the width less a cycle: 3.6 ms - 833 us = 2.77 ms, 83 % of a bit of 3.33 ms.
        let told = said_with(589e-6, 3.6e-3);
        assert!(told.contains("2.77 ms late, 83% of a bit"), "{told}");
        let told = said_with(589e-6, 700e-6);
        assert!(
            told.contains("shorter than a cycle of space, 833 µs"),
            "{told}"
        );
    }

    #[test]
    fn hum_is_named_until_a_high_pass_takes_it_away() {
        let wear = WearSettings {
            hum_v: 0.6,
            ..Default::default()
        };
        let mut bench = Bench::default();
        let told = said(&bench, &wear);
        assert!(told.len() == 1 && told[0].contains("mains hum"), "{told:?}");
        bench.input.high_pass_hz = 500.0;
        assert!(said(&bench, &wear).is_empty());
    }

    #[test]
    fn a_hysteresis_that_the_signal_hardly_spans_is_named_and_no_rate() {
        let mut bench = Bench::default();
        (bench.squarer.hysteresis_v, bench.input.low_pass_hz) = (0.4, 3000.0);
        let wear = WearSettings {
            white_noise_db: 12.0,
            hum_v: 0.2,
            ..Default::default()
        };
        let told = said(&bench, &wear).join(" ");
        assert!(told.contains("Lower the hysteresis from 400 mV"), "{told}");
        assert!(!told.contains("preset"), "{told}");
    }

    #[test]
    fn a_reference_beyond_the_signal_is_named() {
        let mut bench = Bench::default();
        bench.squarer.reference_v = 0.6;
        let told = said(&bench, &WearSettings::default());
        assert!(told[0].contains("reference nearer to 0 V"), "{told:?}");
    }
}
