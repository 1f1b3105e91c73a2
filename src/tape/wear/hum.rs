//! Mains hum.

use crate::settings::WearSettings;
use crate::tape::Random;
use std::f64::consts::TAU;

/// Adds a sine that begins at a random phase.
pub(super) fn add(samples: &mut [f32], rate_hz: f64, wear: &WearSettings) {
    if wear.hum_v == 0.0 {
        return;
    }
    let phase = Random::new(wear.seed, "hum").uniform();
    let cycles_per_sample = wear.hum_hz / rate_hz;
    for (i, sample) in samples.iter_mut().enumerate() {
        let cycles = (phase + i as f64 * cycles_per_sample).fract();
        *sample += (wear.hum_v * (TAU * cycles).sin()) as f32;
    }
}
