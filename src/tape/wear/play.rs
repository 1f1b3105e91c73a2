//! Plays samples at a speed that varies.

use super::Motion;
use super::{HALF_WIDTH, curve_through_samples};
use crate::tape::{PIECE, Watch};

/// Kernels tabled between two samples; between two of those the weights run straight, which is
/// right to 1 part in 200 000.
const PHASES: usize = 512;

/// The samples of the tape as they come at the head. What would lie beyond half the sample rate at
/// the greatest speed is left out.
pub(super) fn play(
    samples: &[f32],
    rate_hz: f64,
    motion: &Motion,
    watch: &mut Watch<'_>,
) -> Vec<f32> {
    let count = motion.played_count(samples.len(), rate_hz);
    let curve = Curve::new(samples, 1.0 / motion.greatest().max(1.0));
    let at = |i: usize| motion.tape_s(i as f64 / rate_hz) * rate_hz;
    let mut played = Vec::with_capacity(count);
    while played.len() < count {
        watch("playing", played.len() as f64 / count as f64);
        let piece = played.len()..(played.len() + PIECE).min(count);
        played.extend(piece.map(|i| curve.at(at(i)) as f32));
    }
    played
}

/// The curve that goes through samples.
struct Curve<'a> {
    samples: &'a [f32],
    /// Weights a kernel.
    taps: usize,
    /// `PHASES + 1` kernels, each a little further between two samples.
    weights: Vec<f64>,
}

impl<'a> Curve<'a> {
    fn new(samples: &'a [f32], band: f64) -> Self {
        let half = (HALF_WIDTH / band).ceil() as usize;
        let taps = 2 * half;
        let sinc = curve_through_samples();
        let mut weights = Vec::with_capacity((PHASES + 1) * taps);
        for phase in 0..=PHASES {
            let part = phase as f64 / PHASES as f64;
            let from = weights.len();
            weights.extend((0..taps).map(|i| sinc.at(i as f64 - (half - 1) as f64 - part, band)));
            // A constant stays what it is.
            let sum: f64 = weights[from..].iter().sum();
            weights[from..].iter_mut().for_each(|w| *w /= sum);
        }
        Self {
            samples,
            taps,
            weights,
        }
    }

    /// The curve at a place counted in samples; outside of the samples it comes from 0 V.
    fn at(&self, place: f64) -> f64 {
        let whole = place.floor();
        let phase = (place - whole) * PHASES as f64;
        let row = (phase as usize).min(PHASES - 1);
        let part = phase - row as f64;
        let first = whole as i64 - (self.taps / 2 - 1) as i64;
        let (near, next) = self.weights[row * self.taps..][..2 * self.taps].split_at(self.taps);
        let end = self.samples.len() as i64;
        let from = first.clamp(0, end);
        let to = (first + self.taps as i64).clamp(from, end);
        let skip = (from - first) as usize;
        let (mut a, mut b) = (0.0, 0.0);
        let seen = &self.samples[from as usize..to as usize];
        let weights = near.iter().zip(next).skip(skip);
        for (&v, (&w, &x)) in seen.iter().zip(weights) {
            a += w * f64::from(v);
            b += x * f64::from(v);
        }
        a + (b - a) * part
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::f64::consts::TAU;

    /// Between the samples of a sine lies the sine.
    #[test]
    fn a_sine_goes_on_between_its_samples() {
        for cycles_per_sample in [0.025, 0.05, 0.2, 0.4] {
            let sine = |x: f64| (TAU * cycles_per_sample * x).sin();
            let samples: Vec<_> = (0..200).map(|i| sine(f64::from(i)) as f32).collect();
            let curve = Curve::new(&samples, 1.0);
            for i in 0..4000 {
                let place = 80.0 + f64::from(i) * 0.01;
                let off = (curve.at(place) - sine(place)).abs();
                assert!(off < 1e-4, "{cycles_per_sample}: {off} at {place}");
            }
        }
    }

    #[test]
    fn there_is_nothing_outside_and_no_panic() {
        let curve = Curve::new(&[1.0, 1.0], 0.5);
        for place in [-1e9, -100.0, 100.0, 1e9] {
            assert_eq!(curve.at(place), 0.0);
        }
        assert_eq!(Curve::new(&[], 1.0).at(0.5), 0.0);
    }
}
