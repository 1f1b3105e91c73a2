//! How strong a recording is.

use super::Recording;

/// The part of full scale that every sample format of 16 bits or more reaches.
const FULL: f64 = 1.0 - 1.0 / 16_384.0;
/// Stretches a second whose means tell what is slow: whole cycles of 1200 and 2400 Hz fit into each
/// and leave nothing, of mains hum 90 per cent are left.
const STRETCHES: u32 = 200;

/// Level figures of some samples.
#[derive(Clone, Copy, Debug, PartialEq, Default)]
pub struct Levels {
    /// Greatest magnitude in volts.
    pub peak_v: f64,
    /// Root of the mean square in volts.
    pub rms_v: f64,
    /// Mean in volts: the offset.
    pub mean_v: f64,
    /// Root mean square of what is slower than the tones, the offset left out, in volts: the
    /// means of stretches of 5 ms.
    pub slow_v: f64,
    /// Samples at full scale.
    pub clipped: usize,
}

impl Levels {
    /// Measures `samples` at `rate_hz`, in which magnitudes from `clip_v` volts on count as full
    /// scale.
    pub fn of(samples: &[f32], rate_hz: u32, clip_v: f64) -> Self {
        let mut sum = LevelSum::new(rate_hz, clip_v);
        sum.add(samples);
        sum.levels()
    }

    /// The same of a recording.
    pub fn of_recording(recording: &Recording, clip_v: f64) -> Self {
        let mut sum = LevelSum::new(recording.rate_hz(), clip_v);
        let mut samples = recording.all();
        while let Some(piece) = samples.read() {
            sum.add(piece);
        }
        sum.levels()
    }

    /// The peak of a steady tone of the power that is left without the offset and what is slow.
    pub fn tone_peak_v(&self) -> f64 {
        let slow_v2 = self.mean_v * self.mean_v + self.slow_v * self.slow_v;
        (2.0 * (self.rms_v * self.rms_v - slow_v2).max(0.0)).sqrt()
    }

    /// The magnitude that counts as full scale in samples of 16 bits or more, which reach full
    /// scale less one step.
    pub fn clip_v(full_scale_v: f64) -> f64 {
        full_scale_v * FULL
    }
}

/// Level figures of samples that come piece by piece.
#[derive(Clone, Debug)]
pub struct LevelSum {
    clip_v: f32,
    count: u64,
    sum_v: f64,
    square_v2: f64,
    peak_v: f32,
    clipped: usize,
    /// Samples in a stretch.
    stretch: usize,
    /// Of the present stretch.
    stretch_count: usize,
    stretch_sum_v: f64,
    /// Of the whole stretches.
    slow: Slow,
}

/// Sums over the means of stretches.
#[derive(Clone, Copy, Debug, Default)]
struct Slow {
    count: u64,
    sum_v: f64,
    square_v2: f64,
}

impl LevelSum {
    /// Nothing measured yet of samples at `rate_hz`; magnitudes from `clip_v` volts on count as
    /// full scale.
    pub fn new(rate_hz: u32, clip_v: f64) -> Self {
        Self {
            clip_v: clip_v as f32,
            count: 0,
            sum_v: 0.0,
            square_v2: 0.0,
            peak_v: 0.0,
            clipped: 0,
            stretch: (rate_hz / STRETCHES).max(1) as usize,
            stretch_count: 0,
            stretch_sum_v: 0.0,
            slow: Slow::default(),
        }
    }

    /// Takes the next samples.
    pub fn add(&mut self, samples: &[f32]) {
        self.count += samples.len() as u64;
        let mut left = samples;
        while !left.is_empty() {
            let room = self.stretch - self.stretch_count;
            let (block, rest) = left.split_at(room.min(left.len()));
            left = rest;
            let peak_v = self.sum_up(block);
            if peak_v >= self.clip_v {
                let clip_v = self.clip_v;
                self.clipped += block.iter().filter(|v| v.abs() >= clip_v).count();
            }
            self.peak_v = self.peak_v.max(peak_v);
        }
    }

    /// The figures so far.
    pub fn levels(&self) -> Levels {
        let n = self.count.max(1) as f64;
        Levels {
            peak_v: f64::from(self.peak_v),
            rms_v: (self.square_v2 / n).sqrt(),
            mean_v: self.sum_v / n,
            slow_v: self.slow.deviation_v(),
            clipped: self.clipped,
        }
    }

    /// Adds to the sums and gives the greatest magnitude.
    fn sum_up(&mut self, block: &[f32]) -> f32 {
        // Eight running sums, which the compiler can keep side by side.
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
        let sum_v = s.iter().copied().map(f64::from).sum::<f64>();
        self.sum_v += sum_v;
        self.stretch_sum_v += sum_v;
        self.stretch_count += block.len();
        if self.stretch_count == self.stretch {
            self.slow.add(self.stretch_sum_v / self.stretch as f64);
            (self.stretch_sum_v, self.stretch_count) = (0.0, 0);
        }
        self.square_v2 += q.iter().copied().map(f64::from).sum::<f64>();
        p.iter().copied().fold(0.0, f32::max)
    }
}

impl Slow {
    fn add(&mut self, mean_v: f64) {
        self.count += 1;
        self.sum_v += mean_v;
        self.square_v2 += mean_v * mean_v;
    }

    /// Root mean square of what differs from the mean of all.
    fn deviation_v(&self) -> f64 {
        let n = self.count.max(1) as f64;
        let mean_v = self.sum_v / n;
        (self.square_v2 / n - mean_v * mean_v).max(0.0).sqrt()
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
        let levels = Levels::of(&samples, 48_000, 1.0);
        assert!((levels.mean_v - 0.1).abs() < 1e-6);
        assert!((levels.peak_v - 0.6).abs() < 1e-6);
        let ac = (levels.rms_v.powi(2) - 0.01).sqrt();
        assert!((ac - 0.5 / 2f64.sqrt()).abs() < 1e-6);
        assert_eq!(levels.clipped, 0);
    }

    /// The mean of a sine over a time T is the sine's own value in the middle times
    /// sin(pi f T) / (pi f T).
    #[test]
    fn hum_is_slow_and_the_tones_are_not() {
        let sine = |i: usize, hz: f64| (i as f64 * std::f64::consts::TAU * hz / 48_000.0).sin();
        let slow_v = |hz: f64| {
            let samples: Vec<f32> = (0..96_000)
                .map(|i| (0.3 + 0.4 * sine(i, hz)) as f32)
                .collect();
            Levels::of(&samples, 48_000, 1.0).slow_v
        };
        for hz in [1200.0, 2400.0] {
            assert!(slow_v(hz) < 1e-6);
        }
        for hz in [50.0, 60.0] {
            let x = std::f64::consts::PI * hz / f64::from(STRETCHES);
            let left_v = 0.4 / 2f64.sqrt() * x.sin() / x;
            assert!((slow_v(hz) - left_v).abs() < 1e-3, "{hz}");
        }
    }

    #[test]
    fn every_sample_at_full_scale_counts() {
        let clip_v = Levels::clip_v(1.0);
        let one = [0.0, 1.0, 0.0, -1.0, 0.999];
        assert_eq!(Levels::of(&one, 8000, clip_v).clipped, 2);
        let flat = [0.0, 1.0, 1.0, 1.0, 0.0, -1.0, -32_767.0 / 32_768.0];
        assert_eq!(Levels::of(&flat, 8000, clip_v).clipped, 5);
        assert_eq!(Levels::of(&[], 8000, clip_v), Levels::default());
    }

    #[test]
    fn pieces_of_any_length_give_the_same_count() {
        let mut long = vec![0.0; 600];
        long[250..260].fill(1.0);
        for piece in [1, 7, 239, 240, 256, 600] {
            let mut sum = LevelSum::new(48_000, 1.0);
            long.chunks(piece).for_each(|p| sum.add(p));
            assert_eq!(sum.levels().clipped, 10, "{piece}");
        }
    }
}
