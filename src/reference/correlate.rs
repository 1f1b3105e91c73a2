//! Both tones correlated with the signal, in quarters of a cycle of mark.

use super::clock::{Clock, half_turn};
use rustfft::num_complex::Complex;

/// Steps of a cycle in which a bit may begin.
pub(super) const QUARTERS: usize = 4;

/// Sums over the window up to each quarter of a cycle.
pub(super) struct Correlations {
    /// Of the signal with mark.
    mark: Vec<Complex<f64>>,
    /// Of the signal with space.
    space: Vec<Complex<f64>>,
    /// Samples from the beginning of the window.
    samples: Vec<f64>,
}

/// The correlations over a bit, in volts of a tone's peak.
#[derive(Clone, Copy, Debug)]
pub(super) struct Bit {
    pub mark: Complex<f64>,
    pub space: Complex<f64>,
    /// The length of the bit in samples.
    pub samples: f64,
}

impl Correlations {
    /// Correlates a window. Each sample is taken to hold until the next, and is divided between two
    /// quarters where it lies in both.
    pub fn of(samples: &[f32], clock: &Clock) -> Self {
        let mut all = Self {
            mark: vec![Complex::default()],
            space: vec![Complex::default()],
            samples: vec![0.0],
        };
        let quarters = QUARTERS as f64;
        let (mut mark, mut space) = (Complex::default(), Complex::default());
        let mut boundary = 1.0;
        for (i, &sample) in samples.iter().enumerate() {
            let (begin, end) = (clock.cycles[i] * quarters, clock.cycles[i + 1] * quarters);
            let sample = f64::from(sample);
            let mut from = begin.max(boundary - 1.0);
            let length = (end - begin).max(1e-9);
            while boundary <= end {
                let part = ((boundary - from) / length).clamp(0.0, 1.0);
                let half = half_turn((from + boundary) / (2.0 * quarters));
                space += half * (sample * part);
                mark += half * half * (sample * part);
                all.mark.push(mark);
                all.space.push(space);
                all.samples
                    .push(i as f64 + ((boundary - begin) / length).clamp(0.0, 1.0));
                from = boundary;
                boundary += 1.0;
            }
            let part = ((end - from) / length).clamp(0.0, 1.0);
            let half = half_turn((from + end) / (2.0 * quarters));
            space += half * (sample * part);
            mark += half * half * (sample * part);
        }
        all
    }

    /// Cycles of mark from which on a bit of `cycles` can be seen, where bits begin `quarter`
    /// quarters after a whole cycle.
    pub fn starts(&self, quarter: usize, cycles: usize) -> usize {
        (self.mark.len() - 1).saturating_sub(quarter + QUARTERS * cycles) / QUARTERS
    }

    /// The correlations over the bit of `cycles` cycles that begins at cycle `start`.
    pub fn bit(&self, start: usize, quarter: usize, cycles: usize) -> Bit {
        let from = QUARTERS * start + quarter;
        let to = from + QUARTERS * cycles;
        let samples = (self.samples[to] - self.samples[from]).max(1e-9);
        let scale = 2.0 / samples;
        Bit {
            mark: (self.mark[to] - self.mark[from]) * scale,
            space: (self.space[to] - self.space[from]) * scale,
            samples,
        }
    }

    /// Where a bit that begins at cycle `start` lies, in samples of the window.
    pub fn sample(&self, start: usize, quarter: usize) -> f64 {
        let at = QUARTERS * start + quarter;
        self.samples[at.min(self.samples.len() - 1)]
    }
}
