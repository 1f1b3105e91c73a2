//! From stretches of tone to samples.

use super::Stretch;
use crate::settings::{TapeSettings, Wave};
use std::f64::consts::TAU;

/// Makes samples of one stretch of tone after the other, phase-continuous: where a stretch ends
/// between two samples, the next one goes on from there with the phase reached.
///
/// A square wave is the sign of the sine: its edges lie on samples. A band-limited one is the sum
/// of the square's harmonics below half the sample rate. Leaving out the others brings a ripple at
/// its edges, whose peak is the level; the flat parts lie up to 21 % lower.
#[derive(Clone, Debug)]
pub struct ToneMaker {
    rate_hz: f64,
    level_v: f64,
    wave: Wave,
    /// Phase at the beginning of the next stretch, in cycles from a rising zero crossing.
    phase_cycles: f64,
    /// Distance from there to the next sample, in samples. Kept small, so that rounding does not
    /// grow with the length of the tape.
    ahead_samples: f64,
}

impl ToneMaker {
    /// A maker that begins at a rising zero crossing.
    pub fn new(settings: &TapeSettings) -> Self {
        Self {
            rate_hz: f64::from(settings.sample_rate_hz),
            level_v: settings.level_v,
            wave: settings.wave,
            phase_cycles: 0.0,
            ahead_samples: 0.0,
        }
    }

    /// Adds the samples of the next stretch, in volts, to `out`.
    pub fn run(&mut self, stretch: Stretch, out: &mut Vec<f32>) {
        let length_samples = stretch.length_s * self.rate_hz;
        let count = (length_samples - self.ahead_samples).ceil().max(0.0);
        let cycles_per_sample = stretch.tone_hz / self.rate_hz;
        let series = Series::new(cycles_per_sample);
        out.extend((0..count as u64).map(|i| {
            let cycles = self.phase_cycles + (self.ahead_samples + i as f64) * cycles_per_sample;
            self.volts_at(cycles, series) as f32
        }));
        self.ahead_samples += count - length_samples;
        self.phase_cycles = (self.phase_cycles + stretch.tone_hz * stretch.length_s).fract();
    }

    fn volts_at(&self, cycles: f64, series: Series) -> f64 {
        match self.wave {
            Wave::Sine => self.level_v * (cycles.fract() * TAU).sin(),
            Wave::Square => {
                // A sample that meets an edge lies behind it; the slack keeps rounding from
                // deciding that.
                let first_half = (cycles + 1e-9).fract() < 0.5;
                if first_half {
                    self.level_v
                } else {
                    -self.level_v
                }
            }
            Wave::BandLimited => self.level_v * series.at(cycles),
        }
    }
}

/// The Fourier series of a square wave, sin x + sin 3x / 3 + sin 5x / 5 ..., to as many terms as
/// lie below half the sample rate, and at such a scale that its peak is 1.
#[derive(Clone, Copy, Debug)]
struct Series {
    terms: u32,
    scale: f64,
}

impl Series {
    /// The series of a tone of so many cycles a sample; the tone itself is always in it.
    fn new(cycles_per_sample: f64) -> Self {
        let below = 0.5 / cycles_per_sample;
        // The highest, 2 n - 1, must stay below; one that meets half the rate cannot be sampled.
        let terms = ((below + 1.0) / 2.0 - 1e-9).ceil() as u32;
        let mut series = Self {
            terms: terms.saturating_sub(1).max(1),
            scale: 1.0,
        };
        // With n terms the derivative, sin(2 n x) / (2 sin x), is 0 first at x = pi/(2 n): there
        // the ripple is highest.
        series.scale = 1.0 / series.at(0.25 / f64::from(series.terms));
        series
    }

    fn at(self, cycles: f64) -> f64 {
        let x = cycles.fract() * TAU;
        let (mut before, mut sine) = (-x.sin(), x.sin());
        // sin (n + 2) x = 2 cos 2x sin n x - sin (n - 2) x.
        let turn = 2.0 * (2.0 * x).cos();
        let mut sum = 0.0;
        for term in 0..self.terms {
            sum += sine / f64::from(2 * term + 1);
            (before, sine) = (sine, turn * sine - before);
        }
        sum * self.scale
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn maker(sample_rate_hz: u32, wave: Wave) -> ToneMaker {
        ToneMaker::new(&TapeSettings {
            sample_rate_hz,
            wave,
            level_v: 2.0,
            ..Default::default()
        })
    }

    fn made(mut maker: ToneMaker, stretches: &[(f64, f64)]) -> Vec<f32> {
        let mut out = Vec::new();
        for &(tone_hz, length_s) in stretches {
            maker.run(Stretch { tone_hz, length_s }, &mut out);
        }
        out
    }

    /// Where each stretch is a whole number of samples, the phase is known in closed form.
    #[test]
    fn the_phase_goes_on_across_a_change_of_tone() {
        let out = made(maker(8000, Wave::Sine), &[(500.0, 0.0025), (1000.0, 0.001)]);
        assert_eq!(out.len(), 28);
        for (i, &v) in out.iter().enumerate() {
            let cycles = if i < 20 {
                i as f64 / 16.0
            } else {
                1.25 + (i - 20) as f64 / 8.0
            };
            assert!((f64::from(v) - 2.0 * (cycles * TAU).sin()).abs() < 1e-6);
        }
    }

    /// Boundaries between samples: cutting one tone anywhere leaves it as it was.
    #[test]
    fn a_tone_cut_in_pieces_is_the_same_tone() {
        for wave in [Wave::Sine, Wave::Square, Wave::BandLimited] {
            let whole = made(maker(44_100, wave), &[(1234.5, 1.0)]);
            let pieces = made(maker(44_100, wave), &[(1234.5, 1.0 / 997.0); 997]);
            assert_eq!(whole.len(), 44_100);
            // The last sample may fall either side of the end.
            assert!(pieces.len().abs_diff(whole.len()) <= 1);
            for (a, b) in whole.iter().zip(&pieces) {
                assert!((a - b).abs() < 1e-6);
            }
        }
    }

    /// 2400 Hz at 48 kHz: ten samples high, ten low.
    #[test]
    fn a_square_is_the_sign_of_the_sine() {
        let out = made(maker(48_000, Wave::Square), &[(2400.0, 0.1)]);
        for (i, &v) in out.iter().enumerate() {
            assert_eq!(v, if i % 20 < 10 { 2.0 } else { -2.0 });
        }
    }

    /// Term by term, at 48 kHz: 2400 Hz has its harmonics 1, 3, 5, 7 and 9 below 24 kHz.
    #[test]
    fn a_band_limited_square_is_the_sum_of_its_odd_harmonics() {
        let out = made(maker(48_000, Wave::BandLimited), &[(2400.0, 0.01)]);
        for (i, &v) in out.iter().enumerate() {
            let x = i as f64 / 20.0 * TAU;
            let odd = [1.0, 3.0, 5.0, 7.0, 9.0];
            let sum = |x: f64| odd.iter().map(|n| (n * x).sin() / n).sum::<f64>();
            // The peak, on the first of twenty samples, is the level.
            let scale = 2.0 / sum(TAU / 20.0);
            assert!((f64::from(v) - scale * sum(x)).abs() < 1e-6);
        }
        for (tone_hz, count) in [(1200.0, 10), (8000.0, 1), (7999.0, 2), (30_000.0, 1)] {
            assert_eq!(Series::new(tone_hz / 48_000.0).terms, count, "{tone_hz} Hz");
        }
    }

    /// The level is the peak of every wave, whatever the tone.
    #[test]
    fn no_wave_exceeds_its_level() {
        for wave in [Wave::Sine, Wave::Square, Wave::BandLimited] {
            for tone_hz in [300.5, 1200.7, 2400.3, 5000.9, 7001.3, 9000.1] {
                let out = made(maker(44_100, wave), &[(tone_hz, 2.0)]);
                let peak = out.iter().fold(0f32, |peak, v| peak.max(v.abs()));
                assert!((1.99..=2.000_001).contains(&peak), "{tone_hz} Hz: {peak}");
            }
        }
    }

    /// Five minutes of bits that are no whole number of samples does not drift.
    #[test]
    fn boundaries_do_not_drift() {
        let mut maker = maker(44_100, Wave::Sine);
        let mut out = Vec::new();
        let mut samples = 0u64;
        let bits = 1200 * 300;
        for i in 0..bits {
            let tone_hz = if i % 2 == 0 { 2400.0 } else { 1200.0 };
            let length_s = 1.0 / 1200.0;
            maker.run(Stretch { tone_hz, length_s }, &mut out);
            samples += out.len() as u64;
            out.clear();
        }
        assert!(samples.abs_diff(44_100 * 300) <= 1);
        let off_cycles = maker.phase_cycles.min(1.0 - maker.phase_cycles);
        assert!(off_cycles < 1e-6, "{off_cycles}");
        let off_samples = samples as f64 - 44_100.0 * 300.0 - maker.ahead_samples;
        assert!(off_samples.abs() < 1e-6, "{off_samples}");
    }
}
