//! The windowed sinc with which samples become a curve.

use std::f64::consts::PI;

/// Half of the kernel's length in samples, for a band limit of half the sample rate.
pub(super) const HALF_WIDTH: f64 = 32.0;
/// Shape of the Kaiser window. With this length the kernel is flat to 0.45 of the sample rate and
/// lies 90 dB down from 0.55 on (Kaiser's formulas for window design, from memory).
const BETA: f64 = 9.0;

/// The kernel at `x` samples from its middle, for a band limit of `band` times half the sample
/// rate, at most 1; it is 0 beyond `HALF_WIDTH / band`.
pub(super) fn kernel(x: f64, band: f64) -> f64 {
    let x = x * band;
    let edge = x / HALF_WIDTH;
    if edge.abs() >= 1.0 {
        return 0.0;
    }
    band * sinc(x) * bessel_i0(BETA * (1.0 - edge * edge).sqrt()) / bessel_i0(BETA)
}

/// sin(pi x) / (pi x).
fn sinc(x: f64) -> f64 {
    if x == 0.0 {
        1.0
    } else {
        (PI * x).sin() / (PI * x)
    }
}

/// The modified Bessel function of order 0, by its power series.
fn bessel_i0(x: f64) -> f64 {
    let quarter = x * x / 4.0;
    let (mut sum, mut term, mut n) = (1.0, 1.0, 1.0);
    while term > sum * 1e-17 {
        term *= quarter / (n * n);
        sum += term;
        n += 1.0;
    }
    sum
}

#[cfg(test)]
mod tests {
    use super::*;

    /// I0(1) and I0(9): Abramowitz and Stegun, table 9.8 (from memory).
    #[test]
    fn the_bessel_function_has_its_tabled_values() {
        assert!((bessel_i0(1.0) - 1.266_065_877_752_008).abs() < 1e-14);
        assert!((bessel_i0(9.0) / 1_093.588_354_511_374 - 1.0).abs() < 1e-12);
    }

    #[test]
    fn the_kernel_is_one_in_the_middle_and_zero_at_the_other_samples() {
        assert_eq!(kernel(0.0, 1.0), 1.0);
        for n in 1..40 {
            assert!(kernel(f64::from(n), 1.0).abs() < 1e-15);
        }
    }
}
