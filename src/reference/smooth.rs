//! Smoothing that looks to both sides in time, at a cost that does not depend on its width.

use rustfft::num_complex::Complex;
use std::ops::{Add, Mul, Sub};

/// What can be smoothed.
pub(super) trait Value:
    Copy + Default + Add<Output = Self> + Sub<Output = Self> + Mul<f64, Output = Self>
{
}
impl Value for f64 {}
impl Value for Complex<f64> {}

/// Smooths with nearly a Gaussian of this standard deviation in places: three running means, one
/// after another (central limit theorem). At the ends the mean is over what there is.
pub(super) fn smooth<T: Value>(values: &mut [T], deviation: f64) {
    // A running mean over w places has a variance of (w^2 - 1) / 12.
    let width = (4.0 * deviation * deviation + 1.0).sqrt();
    let half = ((width - 1.0) / 2.0).round() as usize;
    if half == 0 {
        return;
    }
    for _ in 0..3 {
        running_mean(values, half);
    }
}

fn running_mean<T: Value>(values: &mut [T], half: usize) {
    let n = values.len();
    let mut sums = Vec::with_capacity(n + 1);
    let mut sum = T::default();
    sums.push(sum);
    for &value in values.iter() {
        sum = sum + value;
        sums.push(sum);
    }
    for (i, value) in values.iter_mut().enumerate() {
        let (from, to) = (i.saturating_sub(half), (i + half + 1).min(n));
        *value = (sums[to] - sums[from]) * (1.0 / (to - from) as f64);
    }
}
