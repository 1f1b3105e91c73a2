//! Fewer samples a second, before anything else is done.

/// Samples in a cycle of mark that are kept at least.
const SAMPLES_A_CYCLE: f64 = 4.2;

/// Takes every `factor`-th value of the signal, averaged with a triangle of twice that length: what
/// would fold back onto the tones is at least 24 dB down, and there is no delay.
pub(super) struct Decimator {
    factor: usize,
    rate_hz: f64,
    weights: Vec<f32>,
    /// The samples from the beginning of the next triangle on.
    tail: Vec<f32>,
}

impl Decimator {
    pub fn new(rate_hz: u32, mark_hz: f64) -> Self {
        let factor = (f64::from(rate_hz) / (SAMPLES_A_CYCLE * mark_hz)) as usize;
        let factor = factor.max(1);
        let weight = |i: usize| {
            let from_middle = (i + 1).abs_diff(factor);
            (factor - from_middle) as f32 / (factor * factor) as f32
        };
        Self {
            factor,
            rate_hz: f64::from(rate_hz) / factor as f64,
            weights: (0..2 * factor - 1).map(weight).collect(),
            // The first triangle has its middle on the first sample.
            tail: vec![0.0; factor - 1],
        }
    }

    /// Samples a second that come out.
    pub fn rate_hz(&self) -> f64 {
        self.rate_hz
    }

    pub fn run(&mut self, samples: &[f32], out: &mut Vec<f32>) {
        self.tail.extend_from_slice(samples);
        let length = self.weights.len();
        let mut at = 0;
        while let Some(under) = self.tail.get(at..at + length) {
            let weighted = under.iter().zip(&self.weights);
            out.push(weighted.map(|(s, w)| s * w).sum());
            at += self.factor;
        }
        self.tail.drain(..at);
    }

    /// Gives the last values, for which silence follows the recording.
    pub fn finish(&mut self, out: &mut Vec<f32>) {
        self.run(&vec![0.0; self.factor - 1], out);
    }
}
