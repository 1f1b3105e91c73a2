//! Cycles that the squarer makes of noise, and cycles that it misses.

use crate::settings::Bench;
use crate::signal::Levels;
use crate::study::Tones;
use crate::units::{Unit, show_digits};

/// Of the cycles, more than this part must be too short or too long before it is spoken of.
const MANY: f64 = 0.01;

/// What it means that many cycles are shorter or longer than those of both tones.
pub(super) fn advice(tones: &Tones, levels: &Levels, bench: &Bench) -> Option<String> {
    let all = (tones.mark_cycles + tones.space_cycles).max(1) as f64;
    let percent = |count: usize| show_digits(count as f64 / all * 100.0, Unit::Percent, 2);
    let volts = |v| show_digits(v, Unit::Volts, 2);
    let hysteresis_v = bench.squarer.hysteresis_v;
    // A quarter of the swing between the tones' peaks: common practice, no source.
    let safe_v = levels.tone_peak_v() * bench.input.gain / 2.0;
    if tones.short_cycles as f64 > MANY * all {
        let mut ways = Vec::new();
        if hysteresis_v < safe_v {
            ways.push(format!(
                "raise the hysteresis from {} towards {}",
                volts(hysteresis_v),
                volts(safe_v)
            ));
        }
        if bench.input.low_pass_hz == 0.0 {
            ways.push("set the low-pass of the input network near 3 kHz".into());
        }
        return Some(format!(
            "{} of the squarer's cycles are too short for either tone: noise reaches its levels.{}",
            percent(tones.short_cycles),
            match ways.len() {
                0 => String::new(),
                _ => format!(" As a first step, {}.", ways.join(", or ")),
            }
        ));
    }
    (tones.long_cycles as f64 > MANY * all).then(|| {
        format!(
            "{} of the squarer's cycles are longer than those of both tones: the signal does not \
             always reach both of its levels. Lower the hysteresis from {}, or raise the gain.",
            percent(tones.long_cycles),
            volts(hysteresis_v)
        )
    })
}
