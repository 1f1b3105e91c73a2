//! The signal's level, and what is slow beneath it.

use crate::settings::Bench;
use crate::signal::{Levels, Traces};
use crate::units::{Unit, show_digits};

/// Hum is spoken of where it has this part of the tones' root mean square. Our own choice.
const HUM: f64 = 0.3;
/// A high-pass from this corner on takes mains hum away, in hertz. Common practice, no source.
const AGAINST_HUM_HZ: f64 = 150.0;

/// A level that does not reach the squarer, or hum beside the tones.
pub(super) fn advice(traces: &Traces, levels: &Levels, bench: &Bench) -> Option<String> {
    if traces.squarer.is_empty() {
        return low(levels, bench);
    }
    let tone_v = levels.tone_peak_v() / std::f64::consts::SQRT_2;
    let hums = levels.slow_v > HUM * tone_v && bench.input.high_pass_hz < AGAINST_HUM_HZ;
    hums.then(|| {
        format!(
            "Beneath the tones lies something slow, like mains hum: {} beside {} of tones, both \
             rms. Set the high-pass of the input network near 500 Hz.",
            show_digits(levels.slow_v, Unit::Volts, 2),
            show_digits(tone_v, Unit::Volts, 2)
        )
    })
}

fn low(levels: &Levels, bench: &Bench) -> Option<String> {
    let squarer = &bench.squarer;
    let peak_v = levels.peak_v * bench.input.gain;
    let half_v = squarer.hysteresis_v / 2.0;
    let needed_v = squarer.reference_v.abs() + half_v;
    (peak_v > 0.0 && peak_v <= needed_v).then(|| {
        let what = if half_v < peak_v {
            "bring the reference nearer to 0 V"
        } else {
            "raise the gain or lower the hysteresis"
        };
        format!(
            "The signal's peak of {} does not reach the squarer's level of {}: {what}.",
            show_digits(peak_v, Unit::Volts, 3),
            show_digits(needed_v, Unit::Volts, 3)
        )
    })
}
