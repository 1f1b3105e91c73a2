//! What lies between the player and the squarer: RC coupling, RC band limit, gain, sense.

use super::Recording;
use crate::settings::{InputSettings, Sense};
use std::ops::Range;

/// Added to every sample in a filter, in volts: so little that no output shows it, and enough to
/// keep a capacitor that discharges through silence above the numbers with which processors are
/// slow.
const AWAKE_V: f64 = 1e-200;

/// The input network. Samples in, samples out, as many.
#[derive(Clone, Debug)]
pub struct InputNetwork {
    high_pass: Option<RcLowPass>,
    low_pass: Option<RcLowPass>,
    gain: f64,
}

/// A first-order RC low-pass whose input runs in straight lines between the samples: the exact
/// response of the circuit to such an input (first-order-hold equivalent).
///
/// With `k = T / RC` and `a = exp(-k)`: `y' = a y + (1 - (1-a)/k) x' + ((1-a)/k - a) x`. Before
/// the first sample the input is 0 and the capacitor empty.
#[derive(Clone, Copy, Debug)]
struct RcLowPass {
    a: f64,
    b_now: f64,
    b_before: f64,
    x: f64,
    y: f64,
}

impl RcLowPass {
    /// With the corner at `corner_hz` = 1/(2 pi RC); `None` where the corner is 0 (off).
    fn new(corner_hz: f64, rate_hz: u32) -> Option<Self> {
        (corner_hz > 0.0).then(|| {
            let k = std::f64::consts::TAU * corner_hz / f64::from(rate_hz);
            let a = (-k).exp();
            let mean = -(-k).exp_m1() / k;
            Self {
                a,
                b_now: 1.0 - mean,
                b_before: mean - a,
                x: 0.0,
                y: 0.0,
            }
        })
    }

    fn step(&mut self, x: f64) -> f64 {
        self.y = self.a * self.y + (self.b_now * x + self.b_before * self.x + AWAKE_V);
        self.x = x;
        self.y
    }

    /// What a coupling with this corner lets pass: its capacitor holds the low-passed input, the
    /// rest appears behind it.
    fn rest(&mut self, x: f64) -> f64 {
        x - self.step(x)
    }
}

impl InputNetwork {
    /// An input network at rest, for samples at `rate_hz`.
    pub fn new(settings: &InputSettings, rate_hz: u32) -> Self {
        let sign = if settings.sense == Sense::Inverted {
            -1.0
        } else {
            1.0
        };
        Self {
            high_pass: RcLowPass::new(settings.high_pass_hz, rate_hz),
            low_pass: RcLowPass::new(settings.low_pass_hz, rate_hz),
            gain: sign * settings.gain,
        }
    }

    /// Whether the output equals the input, so that the stage can be passed over.
    pub fn is_transparent(&self) -> bool {
        self.high_pass.is_none() && self.low_pass.is_none() && self.gain == 1.0
    }

    /// What comes out for the samples of a range of a recording, whose end may lie behind the
    /// last one. It starts twelve time constants earlier, by when what came before has faded below
    /// a hundred-thousandth.
    pub fn stretch(
        settings: &InputSettings,
        recording: &Recording,
        range: Range<usize>,
    ) -> Vec<f32> {
        let (all, rate_hz) = (recording.samples(), recording.rate_hz());
        let end = range.end.min(all.len());
        let start = range.start.min(end);
        let slowest_s = [settings.high_pass_hz, settings.low_pass_hz]
            .into_iter()
            .filter(|f| *f > 0.0)
            .map(|f| 1.0 / (std::f64::consts::TAU * f))
            .fold(0.0, f64::max);
        let lead = (12.0 * slowest_s * f64::from(rate_hz)).ceil() as usize;
        let mut network = Self::new(settings, rate_hz);
        let mut out = Vec::new();
        network.run(&all[start.saturating_sub(lead)..start], &mut out);
        network.run(&all[start..end], &mut out);
        out
    }

    /// Replaces the content of `out` by what comes out for `samples`.
    pub fn run(&mut self, samples: &[f32], out: &mut Vec<f32>) {
        let gain = self.gain;
        // Copies of the filters' states, which the compiler can keep in registers over the loop.
        let (mut high_pass, mut low_pass) = (self.high_pass, self.low_pass);
        match (&mut high_pass, &mut low_pass) {
            (None, None) => fill(out, samples, |x| x * gain),
            (Some(hp), None) => fill(out, samples, |x| hp.rest(x) * gain),
            (None, Some(lp)) => fill(out, samples, |x| lp.step(x) * gain),
            (Some(hp), Some(lp)) => fill(out, samples, |x| lp.step(hp.rest(x)) * gain),
        }
        (self.high_pass, self.low_pass) = (high_pass, low_pass);
    }
}

fn fill(out: &mut Vec<f32>, samples: &[f32], mut step: impl FnMut(f64) -> f64) {
    out.resize(samples.len(), 0.0);
    for (y, &x) in out.iter_mut().zip(samples) {
        *y = step(f64::from(x)) as f32;
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A stretch is what the whole recording gives there, once what came before has faded.
    #[test]
    fn a_stretch_is_a_piece_of_the_whole() {
        let settings = InputSettings {
            high_pass_hz: 300.0,
            low_pass_hz: 3000.0,
            ..InputSettings::default()
        };
        let samples: Vec<f32> = (0..9000).map(|i| (i as f32 * 0.3).sin()).collect();
        let whole = run(&settings, &samples);
        let recording = Recording::new(samples, 48_000);
        for range in [0..5, 4000..4100, 8990..9005, 9010..9020] {
            let stretch = InputNetwork::stretch(&settings, &recording, range.clone());
            let expected = &whole[range.start.min(9000)..range.end.min(9000)];
            assert_eq!(stretch.len(), expected.len());
            for (a, b) in stretch.iter().zip(expected) {
                assert!((a - b).abs() < 1e-5, "{a} {b} {range:?}");
            }
        }
    }

    fn run(settings: &InputSettings, samples: &[f32]) -> Vec<f32> {
        let mut out = Vec::new();
        InputNetwork::new(settings, 48_000).run(samples, &mut out);
        out
    }

    #[test]
    fn off_it_is_transparent() {
        let network = InputNetwork::new(&InputSettings::default(), 48_000);
        assert!(network.is_transparent());
        assert_eq!(run(&InputSettings::default(), &[0.1, -0.2]), [0.1, -0.2]);
    }

    /// A steady input charges an RC low-pass as 1 - exp(-t/RC) (charging law). The input steps
    /// within the first sample interval, so the answer lags by part of a sample.
    #[test]
    fn a_step_charges_by_the_law() {
        let settings = InputSettings {
            low_pass_hz: 100.0,
            ..Default::default()
        };
        let out = run(&settings, &[1.0; 480]);
        let rc = 1.0 / (std::f64::consts::TAU * 100.0);
        for (i, y) in out.iter().enumerate().skip(1) {
            let t = (i as f64 + 0.5) / 48_000.0;
            let expected = 1.0 - (-t / rc).exp();
            assert!((f64::from(*y) - expected).abs() < 1e-4, "sample {i}");
        }
    }

    /// IEEE 754 calls what lies below the smallest number with all its digits subnormal.
    #[test]
    fn silence_leaves_no_subnormal_charge() {
        let settings = InputSettings {
            high_pass_hz: 5000.0,
            low_pass_hz: 5000.0,
            ..Default::default()
        };
        let mut network = InputNetwork::new(&settings, 48_000);
        let mut out = Vec::new();
        network.run(&[1.0], &mut out);
        network.run(&[0.0; 10_000], &mut out);
        assert_eq!(out[9_999], 0.0);
        for filter in [network.high_pass, network.low_pass] {
            assert!(filter.unwrap().y.is_normal());
        }
    }

    #[test]
    fn coupling_takes_an_offset_away_and_inversion_turns_over() {
        let settings = InputSettings {
            high_pass_hz: 100.0,
            sense: Sense::Inverted,
            gain: 2.0,
            ..Default::default()
        };
        let out = run(&settings, &[0.5; 4800]);
        assert!(out[0] < -0.9 && out[4799].abs() < 1e-6);
    }
}
