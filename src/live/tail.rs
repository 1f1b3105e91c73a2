//! The last minutes of a capture in memory.

use crate::signal::Recording;
use std::collections::VecDeque;

/// The last samples of a stream, and where they lie in it.
#[derive(Clone, Debug, PartialEq)]
pub struct Tail {
    /// When the first of them was captured, in seconds from the beginning of the capture.
    pub from_s: f64,
    /// The samples.
    pub recording: Recording,
}

/// Keeps the last samples, and forgets the rest.
pub(super) struct Recent {
    samples: VecDeque<f32>,
    most: usize,
    /// Samples since the beginning.
    taken: u64,
    rate_hz: u32,
}

impl Recent {
    pub fn new(keep_s: f64, rate_hz: u32) -> Self {
        Self {
            samples: VecDeque::new(),
            most: ((keep_s * f64::from(rate_hz)) as usize).max(1),
            taken: 0,
            rate_hz,
        }
    }

    pub fn push(&mut self, samples: &[f32]) {
        self.taken += samples.len() as u64;
        let samples = &samples[samples.len().saturating_sub(self.most)..];
        let over = (self.samples.len() + samples.len()).saturating_sub(self.most);
        self.samples.drain(..over);
        self.samples.extend(samples);
    }

    /// The last `length_s` seconds, or as much of them as is kept.
    pub fn last(&self, length_s: f64) -> Tail {
        let wanted = (length_s.max(0.0) * f64::from(self.rate_hz)) as usize;
        let count = wanted.min(self.samples.len());
        let skip = self.samples.len() - count;
        let samples = self.samples.range(skip..).copied().collect();
        Tail {
            from_s: (self.taken - count as u64) as f64 / f64::from(self.rate_hz),
            recording: Recording::new(samples, self.rate_hz),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_last_samples_are_kept_with_their_place() {
        let mut recent = Recent::new(1.0, 10);
        for i in 0..7u8 {
            recent.push(&[f32::from(i); 3]);
        }
        let tail = recent.last(0.4);
        assert_eq!(
            (tail.from_s, tail.recording.samples()),
            (1.7, &[5.0, 6.0, 6.0, 6.0][..])
        );
        let all = recent.last(100.0);
        assert_eq!((all.from_s, all.recording.samples().len()), (1.1, 10));
        recent.push(&[9.0; 25]);
        assert_eq!(recent.last(9.0).recording.samples(), [9.0; 10]);
        assert_eq!(Recent::new(1.0, 10).last(1.0).recording.samples().len(), 0);
    }
}
