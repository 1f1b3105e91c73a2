//! The last minutes of a capture in memory.

use crate::signal::{Gap, Recording};
use std::collections::VecDeque;

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

    /// The last `length_s` seconds, or as much of them as is kept, with what is missing from them
    /// of the `gaps` of the whole stream.
    pub fn last(&self, length_s: f64, gaps: &[Gap]) -> Recording {
        let wanted = (length_s.max(0.0) * f64::from(self.rate_hz)) as usize;
        let count = wanted.min(self.samples.len());
        let skip = self.samples.len() - count;
        let samples = self.samples.range(skip..).copied().collect();
        let from_s = (self.taken - count as u64) as f64 / f64::from(self.rate_hz);
        let gaps = Gap::within(gaps, from_s, f64::INFINITY).iter();
        Recording::new(samples, self.rate_hz)
            .beginning_at(from_s)
            .with_gaps(gaps.map(|gap| gap.moved(-from_s)).collect::<Vec<_>>())
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::signal::Cause;

    #[test]
    fn the_last_samples_are_kept_with_their_place() {
        let mut recent = Recent::new(1.0, 10);
        for i in 0..7u8 {
            recent.push(&[f32::from(i); 3]);
        }
        let gap = |at_s| Gap {
            at_s,
            length_s: 0.5,
            cause: Cause::Program,
        };
        let tail = recent.last(0.4, &[gap(1.6), gap(1.75)]);
        assert_eq!(
            (tail.begins_at_s(), &*tail.samples()),
            (1.7, &[5.0, 6.0, 6.0, 6.0][..])
        );
        let [gap] = tail.gaps() else {
            panic!("{:?}", tail.gaps())
        };
        assert!((gap.at_s - 0.05).abs() < 1e-9);
        let all = recent.last(100.0, &[]);
        assert_eq!((all.begins_at_s(), all.samples().len()), (1.1, 10));
        recent.push(&[9.0; 25]);
        assert_eq!(*recent.last(9.0, &[]).samples(), [9.0; 10]);
        assert_eq!(Recent::new(1.0, 10).last(1.0, &[]).samples().len(), 0);
    }
}
