//! Saturation of the tape.

/// Bends the curve from recorded to played-back level: v = L tanh(g x / L) / tanh(g), with the
/// peak level L and the drive g as a ratio. The hyperbolic tangent stands for a tape's soft limit
/// (common practice, no source); it is odd, so it makes odd harmonics alone, and the peak level
/// stays where it is.
pub(super) fn saturate(samples: &mut [f32], level_v: f64, drive_db: f64) {
    if drive_db == f64::NEG_INFINITY {
        return;
    }
    let drive = 10f64.powf(drive_db / 20.0);
    let scale = level_v / drive.tanh();
    for sample in samples {
        *sample = (scale * (drive * f64::from(*sample) / level_v).tanh()) as f32;
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_peak_stays_and_what_lies_below_is_raised() {
        let mut samples = [0.0, 0.25, -0.25, 0.5, -0.5];
        saturate(&mut samples, 0.5, 6.0206);
        let raised = 0.5 * 1f64.tanh() / 2f64.tanh();
        let wanted = [0.0, raised, -raised, 0.5, -0.5];
        for (v, wanted) in samples.iter().zip(wanted) {
            assert!((f64::from(*v) - wanted).abs() < 1e-5, "{samples:?}");
        }
    }
}
