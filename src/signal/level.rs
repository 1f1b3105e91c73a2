//! How strong a recording is.

/// Level figures of some samples.
#[derive(Clone, Copy, Debug, PartialEq, Default)]
pub struct Levels {
    /// Greatest magnitude in volts.
    pub peak_v: f64,
    /// Root of the mean square in volts.
    pub rms_v: f64,
    /// Mean in volts: the offset.
    pub mean_v: f64,
    /// Samples at full scale that have a neighbour at full scale too.
    pub clipped: usize,
}

impl Levels {
    /// Measures `samples`, of which `full_scale_v` is the greatest that the file can hold.
    pub fn of(samples: &[f32], full_scale_v: f64) -> Self {
        // 16-bit audio reaches full scale less one step.
        let clip_v = (full_scale_v * (1.0 - 1.0 / 16_384.0)) as f32;
        let (mut sum, mut square, mut peak, mut clipped) = (0.0f64, 0.0f64, 0.0f32, 0);
        // Full samples in a row, up to the present one.
        let mut row = 0;
        for block in samples.chunks(256) {
            // Eight running sums a block, which the compiler can keep side by side.
            let (mut s, mut q, mut p) = ([0.0f32; 8], [0.0f32; 8], [0.0f32; 8]);
            let mut take = |i: usize, v: f32| {
                s[i] += v;
                q[i] += v * v;
                p[i] = if v.abs() > p[i] { v.abs() } else { p[i] };
            };
            let (eights, rest) = block.as_chunks::<8>();
            for eight in eights {
                (0..8).for_each(|i| take(i, eight[i]));
            }
            (0..rest.len()).for_each(|i| take(i, rest[i]));
            sum += s.iter().copied().map(f64::from).sum::<f64>();
            square += q.iter().copied().map(f64::from).sum::<f64>();
            let block_peak = p.iter().copied().fold(0.0, f32::max);
            peak = peak.max(block_peak);
            if block_peak >= clip_v {
                for &v in block {
                    row = if v.abs() >= clip_v { row + 1 } else { 0 };
                    clipped += match row {
                        0 | 1 => 0,
                        // The first of them counts too.
                        2 => 2,
                        _ => 1,
                    };
                }
            } else {
                row = 0;
            }
        }
        let n = samples.len().max(1) as f64;
        Self {
            peak_v: f64::from(peak),
            rms_v: (square / n).sqrt(),
            mean_v: sum / n,
            clipped,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A sine of peak A has rms A / sqrt 2.
    #[test]
    fn a_sine_measures_as_it_should() {
        let sine = |i: usize| 0.1 + 0.5 * (i as f64 * std::f64::consts::TAU / 40.0).sin();
        let samples: Vec<f32> = (0..48_000).map(|i| sine(i) as f32).collect();
        let levels = Levels::of(&samples, 1.0);
        assert!((levels.mean_v - 0.1).abs() < 1e-6);
        assert!((levels.peak_v - 0.6).abs() < 1e-6);
        let ac = (levels.rms_v.powi(2) - 0.01).sqrt();
        assert!((ac - 0.5 / 2f64.sqrt()).abs() < 1e-6);
        assert_eq!(levels.clipped, 0);
    }

    #[test]
    fn clipping_is_a_row_of_full_samples() {
        let one = [0.0, 1.0, 0.0, -1.0, 0.0];
        assert_eq!(Levels::of(&one, 1.0).clipped, 0);
        let flat = [0.0, 1.0, 1.0, 1.0, 0.0, -1.0, -1.0];
        assert_eq!(Levels::of(&flat, 1.0).clipped, 5);
        // Rows do not end where a block of the sums does.
        let mut long = vec![0.0; 600];
        long[250..260].fill(1.0);
        assert_eq!(Levels::of(&long, 1.0).clipped, 10);
        assert_eq!(Levels::of(&[], 1.0), Levels::default());
    }
}
