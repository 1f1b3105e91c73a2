//! The course of a whole capture, however long, in bounded memory.

use std::ops::Range;

/// Stretches at the most: more than a screen has columns.
const MOST: usize = 8192;
/// Samples in a stretch at first.
const FIRST: u64 = 256;

/// Least and greatest sample of every stretch of a capture. Where the stretches become too many,
/// two and two are joined.
#[derive(Clone, Debug, PartialEq)]
pub struct Outline {
    stretches: Vec<[f32; 2]>,
    /// Samples in each stretch; the last one may hold fewer.
    each: u64,
    samples: u64,
}

impl Default for Outline {
    fn default() -> Self {
        Self {
            stretches: Vec::new(),
            each: FIRST,
            samples: 0,
        }
    }
}

impl Outline {
    /// Takes the next samples.
    pub(super) fn push(&mut self, mut samples: &[f32]) {
        while !samples.is_empty() {
            let open = (self.samples % self.each) as usize;
            if open == 0 {
                self.make_room();
                self.stretches.push([f32::INFINITY, f32::NEG_INFINITY]);
            }
            let room = (self.each - self.samples % self.each) as usize;
            let (now, rest) = samples.split_at(room.min(samples.len()));
            if let Some(last) = self.stretches.last_mut() {
                *last = now.iter().fold(*last, |l, &v| join(l, [v, v]));
            }
            self.samples += now.len() as u64;
            samples = rest;
        }
    }

    fn make_room(&mut self) {
        if self.stretches.len() == MOST {
            let pairs = self.stretches.as_chunks::<2>().0.iter();
            self.stretches = pairs.map(|&[a, b]| join(a, b)).collect();
            self.each *= 2;
        }
    }

    /// How many samples there are.
    pub fn samples(&self) -> usize {
        self.samples as usize
    }

    /// Least and greatest of these samples and of those in the same stretches; none where the range
    /// is empty.
    pub fn extent(&self, range: Range<usize>) -> Option<[f32; 2]> {
        let each = self.each as usize;
        let to = range.end.div_ceil(each).min(self.stretches.len());
        let from = range.start / each;
        let stretches = self.stretches.get(from..to)?.iter().copied();
        stretches.reduce(join).filter(|_| range.start < range.end)
    }
}

fn join(a: [f32; 2], b: [f32; 2]) -> [f32; 2] {
    [a[0].min(b[0]), a[1].max(b[1])]
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Blocks of any length, of more samples than there are stretches for at first.
    #[test]
    fn every_sample_is_in_the_outline_and_memory_is_bounded() {
        let count = 5 * MOST * FIRST as usize / 2;
        let all: Vec<f32> = (0..count).map(|i| (i as f32 * 0.37).sin()).collect();
        let mut outline = Outline::default();
        let mut rest = all.as_slice();
        for length in (1..).map(|n| n * 7919 % 10_007) {
            let (now, later) = rest.split_at(length.min(rest.len()));
            outline.push(now);
            rest = later;
            if rest.is_empty() {
                break;
            }
        }
        assert_eq!(outline.samples(), count);
        assert!(outline.stretches.len() <= MOST);
        let each = outline.each as usize;
        assert_eq!(each, 4 * FIRST as usize);
        for range in [0..count, each..3 * each, count - each - 1..count] {
            let whole = range.start / each * each..range.end.div_ceil(each) * each;
            let wanted = all[whole.start..whole.end.min(count)]
                .iter()
                .map(|&v| [v, v])
                .reduce(join);
            assert_eq!(outline.extent(range), wanted);
        }
        assert_eq!(outline.extent(5..5), None);
        assert_eq!(outline.extent(count + each..count + 2 * each), None);
        assert_eq!(Outline::default().extent(0..1), None);
    }
}
