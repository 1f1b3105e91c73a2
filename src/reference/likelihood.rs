//! From correlations to how much more likely mark is than space.

use super::correlate::Correlations;
use super::smooth::smooth;
use rustfft::num_complex::Complex;

/// Smoothing of the levels of both tones, in bits.
const LEVEL_BITS: f64 = 60.0;

/// The least noise that is believed, as a part of the tone's power.
const QUIETEST: f64 = 1e-4;

/// Where in a cycle bits begin, and which way space swings.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub(super) struct Alignment {
    /// Quarters of a cycle of mark after a whole one.
    pub quarter: usize,
    /// Whether space swings the other way.
    pub turned: bool,
}

impl Alignment {
    /// Which way space swings in a bit that begins at this cycle, 1 or -1.
    pub fn swing(self, start: usize) -> f64 {
        if (start % 2 == 1) == self.turned {
            1.0
        } else {
            -1.0
        }
    }
}

/// How much better mark fits than space, for a bit that begins at each cycle.
pub(super) struct Likelihood {
    /// In volts squared; positive for mark.
    pub better_v2: Vec<f64>,
    /// What noise there is across the tones, in volts squared.
    pub noise_v2: Vec<f64>,
}

impl Likelihood {
    /// Natural logarithms of how much more likely mark is than space, with this noise.
    pub fn ratios(&self, noise_v2: &[f64]) -> Vec<f64> {
        let each = self.better_v2.iter().zip(noise_v2);
        each.map(|(better, noise)| better / noise).collect()
    }
}

/// The ratios for a bit of `cycles` cycles, bits beginning as `alignment` says.
pub(super) fn likelihood(
    correlations: &Correlations,
    space_phase: f64,
    alignment: Alignment,
    cycles: usize,
) -> Likelihood {
    let count = correlations.starts(alignment.quarter, cycles);
    let turn = Complex::from_polar(1.0, -space_phase);
    let (mut mark, mut space, mut across) = (Vec::new(), Vec::new(), Vec::new());
    let (mut weight_mark, mut weight_space) = (Vec::new(), Vec::new());
    for start in 0..count {
        let bit = correlations.bit(start, alignment.quarter, cycles);
        let swing = alignment.swing(start);
        let s = bit.space * turn * swing;
        let (m2, s2) = (bit.mark.norm_sqr(), s.norm_sqr());
        let share = m2 * m2 / (m2 * m2 + s2 * s2).max(f64::MIN_POSITIVE);
        mark.push(bit.mark.re);
        space.push(s.re);
        across.push(share * bit.mark.im * bit.mark.im + (1.0 - share) * s.im * s.im);
        weight_mark.push(share);
        weight_space.push(1.0 - share);
    }
    let wide = LEVEL_BITS * cycles as f64;
    let level = |values: &[f64], weights: &[f64]| {
        let mut sums: Vec<f64> = values
            .iter()
            .zip(weights)
            .map(|(v, w)| v.abs() * w)
            .collect();
        let mut weights = weights.to_vec();
        smooth(&mut sums, wide);
        smooth(&mut weights, wide);
        sums.iter()
            .zip(&weights)
            .map(|(s, w)| if *w > 1e-3 { s / w } else { f64::NAN })
            .collect::<Vec<f64>>()
    };
    let (levels_mark, levels_space) = (level(&mark, &weight_mark), level(&space, &weight_space));
    smooth(&mut across, wide);
    let either = |a: f64, b: f64| if a.is_nan() { b } else { a };
    let levels = levels_mark.iter().zip(&levels_space);
    let levels: Vec<(f64, f64)> = levels
        .map(|(m, s)| (either(*m, *s), either(*s, *m)))
        .collect();
    let better =
        |(i, (a, b)): (usize, &(f64, f64))| a * mark[i] - b * space[i] - (a * a - b * b) / 2.0;
    let noise = |(across, (a, _)): (&f64, &(f64, f64))| across.max(QUIETEST * a * a).max(1e-30);
    Likelihood {
        better_v2: levels.iter().enumerate().map(better).collect(),
        noise_v2: across.iter().zip(&levels).map(noise).collect(),
    }
}
