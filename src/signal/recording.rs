//! One channel of volts at a fixed rate.

use super::{Gap, Pieces, Samples};
use std::borrow::Cow;
use std::ops::Range;
use std::sync::Arc;

/// Greatest magnitude in volts that a sample may have. Far outside what any circuit sees; it
/// keeps sums and differences of damaged floating-point files finite.
const LIMIT_V: f32 = 1e6;

/// A recording: samples in volts, all finite, at a rate that is not zero. Times on it count from its
/// first sample.
///
/// Where only a part of it is to be drawn, only the samples of that part need be kept; they have
/// the numbers that they have in the whole.
#[derive(Clone, Debug, PartialEq)]
pub struct Recording {
    samples: Samples,
    /// The number of the first sample that is kept.
    first: usize,
    /// How many samples there are, kept or not.
    len: usize,
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
        repair(&mut samples);
        Self::of(samples.into(), rate_hz)
    }

    /// A recording from samples that have been repaired.
    ///
    /// # Panics
    /// As [`Recording::new`].
    pub fn of(samples: Samples, rate_hz: u32) -> Self {
        let len = samples.len();
        Self::part(samples, 0, len, rate_hz)
    }

    /// A recording of `len` samples of which only some are kept, `first` being the number of the
    /// first of them.
    ///
    /// # Panics
    /// As [`Recording::new`].
    pub fn part(samples: Samples, first: usize, len: usize, rate_hz: u32) -> Self {
        assert!(rate_hz > 0, "a recording needs a sample rate");
        Self {
            samples,
            first,
            len,
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

    /// How many samples there are.
    pub fn len(&self) -> usize {
        self.len
    }

    /// Whether there is none.
    pub fn is_empty(&self) -> bool {
        self.len == 0
    }

    /// The number of the first sample that is kept, 0 for a whole recording, and all that are.
    pub fn kept(&self) -> (usize, &Samples) {
        (self.first, &self.samples)
    }

    /// The samples that are kept, in volts: a copy of all of them where they are kept as steps of
    /// 16 bits. What may be long is better taken piece by piece.
    pub fn samples(&self) -> Cow<'_, [f32]> {
        self.samples.range(0..self.samples.len())
    }

    /// The sample of this number, where it is kept.
    pub fn at(&self, number: usize) -> Option<f32> {
        self.samples.get(number.checked_sub(self.first)?)
    }

    /// The samples with these numbers in volts, as far as they are kept.
    pub fn stretch(&self, numbers: Range<usize>) -> Cow<'_, [f32]> {
        self.samples.range(self.own(numbers))
    }

    /// The samples with these numbers in volts, as far as they are kept, piece by piece.
    pub fn pieces(&self, numbers: Range<usize>) -> Pieces<'_> {
        self.samples.pieces(self.own(numbers))
    }

    /// All that are kept, piece by piece.
    pub fn all(&self) -> Pieces<'_> {
        self.samples.pieces(0..self.samples.len())
    }

    /// From numbers on the recording to numbers of what is kept.
    fn own(&self, numbers: Range<usize>) -> Range<usize> {
        numbers.start.saturating_sub(self.first)..numbers.end.saturating_sub(self.first)
    }

    /// Samples a second.
    pub fn rate_hz(&self) -> u32 {
        self.rate_hz
    }

    /// Length in seconds.
    pub fn duration_s(&self) -> f64 {
        self.len as f64 / f64::from(self.rate_hz)
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
        assert_eq!(
            *recording.samples(),
            [0.5, 0.0, LIMIT_V, -LIMIT_V, -LIMIT_V]
        );
        assert_eq!(recording.duration_s(), 5.0 / 8000.0);
    }
}
