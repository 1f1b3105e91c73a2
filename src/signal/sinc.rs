//! The windowed sinc with which samples become a curve.

use std::f64::consts::PI;

/// A sinc under a Kaiser window (Kaiser's formulas for window design, from memory).
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Sinc {
    half_width: f64,
    beta: f64,
    /// I0(beta), which makes the middle of the window 1.
    middle: f64,
}

impl Sinc {
    /// A sinc that is 0 from `half_width` samples on, under a window of shape `beta`.
    pub fn new(half_width: f64, beta: f64) -> Self {
        Self {
            half_width,
            beta,
            middle: bessel_i0(beta),
        }
    }

    /// The sinc at `x` samples from its middle, for a band limit of `band` times half the sample
    /// rate, at most 1; it is 0 beyond the half width over `band`.
    pub fn at(&self, x: f64, band: f64) -> f64 {
        let x = x * band;
        let edge = x / self.half_width;
        if edge.abs() >= 1.0 {
            return 0.0;
        }
        band * sinc(x) * bessel_i0(self.beta * (1.0 - edge * edge).sqrt()) / self.middle
    }
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
    fn it_is_one_in_the_middle_and_zero_at_the_other_samples() {
        let sinc = Sinc::new(32.0, 9.0);
        assert_eq!(sinc.at(0.0, 1.0), 1.0);
        for n in 1..40 {
            assert!(sinc.at(f64::from(n), 1.0).abs() < 1e-15);
        }
    }
}
