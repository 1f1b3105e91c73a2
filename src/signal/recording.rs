//! One channel of volts at a fixed rate.

use super::Gap;
use std::sync::Arc;

/// Greatest magnitude in volts that a sample may have. Far outside what any circuit sees; it
/// keeps sums and differences of damaged floating-point files finite.
const LIMIT_V: f32 = 1e6;

/// A recording: samples in volts, all finite, at a rate that is not zero. Times on it count from its
/// first sample.
#[derive(Clone, Debug, PartialEq)]
pub struct Recording {
    samples: Vec<f32>,
    rate_hz: u32,
    begins_at_s: f64,
    gaps: Arc<[Gap]>,
}

impl Recording {
    /// A recording from samples in volts. Samples that are not numbers become 0 V, those beyond
    /// a million volts are cut to it; [`repair`] counts both.
    ///
    /// # Panics
    /// If `rate_hz` is 0: the sources refuse such a file before it gets here.
    pub fn new(mut samples: Vec<f32>, rate_hz: u32) -> Self {
        assert!(rate_hz > 0, "a recording needs a sample rate");
        repair(&mut samples);
        Self {
            samples,
            rate_hz,
            begins_at_s: 0.0,
            gaps: Arc::default(),
        }
    }

    /// The same as a stretch of a longer capture, in which its first sample came at `begins_at_s`.
    pub fn beginning_at(self, begins_at_s: f64) -> Self {
        Self {
            begins_at_s,
            ..self
        }
    }

    /// The same with the places at which samples are missing, in the order of time.
    pub fn with_gaps(self, gaps: impl Into<Arc<[Gap]>>) -> Self {
        Self {
            gaps: gaps.into(),
            ..self
        }
    }

    /// When its first sample came, in seconds of the capture that it is a stretch of; 0 for what
    /// is whole. What people read counts from there.
    pub fn begins_at_s(&self) -> f64 {
        self.begins_at_s
    }

    /// Where samples are missing, in the order of time.
    pub fn gaps(&self) -> &[Gap] {
        &self.gaps
    }

    /// The samples in volts.
    pub fn samples(&self) -> &[f32] {
        &self.samples
    }

    /// Samples a second.
    pub fn rate_hz(&self) -> u32 {
        self.rate_hz
    }

    /// Length in seconds.
    pub fn duration_s(&self) -> f64 {
        self.samples.len() as f64 / f64::from(self.rate_hz)
    }
}

/// Makes voltages of what is none, as [`Recording::new`] does, and counts it.
pub fn repair(samples: &mut [f32]) -> usize {
    let mut repaired = 0;
    for block in samples.chunks_mut(1 << 14) {
        // The comparison is false for what is not a number.
        let fine = |s: &f32| s.abs() <= LIMIT_V;
        // One branch-free pass finds the rare block that needs work.
        if block.iter().fold(true, |all, s| all & fine(s)) {
            continue;
        }
        for sample in block.iter_mut().filter(|s| !fine(s)) {
            let number = if sample.is_nan() { 0.0 } else { *sample };
            *sample = number.clamp(-LIMIT_V, LIMIT_V);
            repaired += 1;
        }
    }
    repaired
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_is_not_a_voltage_is_repaired_and_counted() {
        let wild = vec![0.5, f32::NAN, f32::INFINITY, f32::NEG_INFINITY, -3e38];
        let recording = Recording::new(wild, 8000);
        assert_eq!(recording.samples(), [0.5, 0.0, LIMIT_V, -LIMIT_V, -LIMIT_V]);
        assert_eq!(recording.duration_s(), 5.0 / 8000.0);
    }
}
