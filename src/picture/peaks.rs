//! Least and greatest sample of any stretch, at a cost that does not grow with its length.

use crate::signal::{Samples, extent_of};
use std::ops::Range;

/// Samples in a block of the finest level.
const FINE: usize = 64;
/// Blocks of one level in a block of the next.
const FAN: usize = 8;

/// Least and greatest samples of blocks, blocks of blocks, and so on.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Peaks {
    levels: Vec<Vec<[f32; 2]>>,
}

/// Blocks in a range whose ends may be as coarse as a block.
const PARTS: usize = 32;

/// What the least and greatest of nothing are.
const NOTHING: [f32; 2] = [f32::INFINITY, f32::NEG_INFINITY];

fn join(a: [f32; 2], b: [f32; 2]) -> [f32; 2] {
    [a[0].min(b[0]), a[1].max(b[1])]
}

impl Peaks {
    /// The peaks of all `samples`.
    pub fn of(samples: &Samples) -> Self {
        let mut peaks = Self::default();
        let blocks = 0..samples.len() / FINE;
        let extent = |i: usize| samples.extent(i * FINE..(i + 1) * FINE).unwrap_or(NOTHING);
        peaks.levels.push(blocks.map(extent).collect());
        peaks.build();
        peaks
    }

    /// Builds the levels above the finest from what is new in it.
    fn build(&mut self) {
        let mut below = 0;
        while self.levels[below].len() >= FAN {
            self.level(below + 1);
            let (low, high) = self.levels.split_at_mut(below + 1);
            let done = high[0].len() * FAN;
            let fresh = low[below][done..].chunks_exact(FAN);
            high[0].extend(fresh.map(|blocks| blocks.iter().copied().fold(NOTHING, join)));
            below += 1;
        }
    }

    /// Least and greatest of all blocks that touch the range: no samples are needed, and the
    /// ends are as coarse as a block.
    pub fn coarse_extent(&self, range: Range<usize>) -> Option<[f32; 2]> {
        let blocks = self.levels.first().map_or(0, Vec::len) * FINE;
        let to = range.end.next_multiple_of(FINE).min(blocks);
        let from = range.start / FINE * FINE;
        (from < to).then(|| self.extent_at(0, FINE, from..to, &Samples::default()))
    }

    /// Takes further samples, whose number is a multiple of a block's but for the last call.
    fn push(&mut self, samples: &[f32]) {
        self.level(0);
        self.levels[0].extend(samples.chunks(FINE).map(extent_of));
        self.build();
    }

    fn level(&mut self, index: usize) {
        if self.levels.len() <= index {
            self.levels.resize(index + 1, Vec::new());
        }
    }

    /// Least and greatest of `samples[range]`, where `samples` are those that were taken, or
    /// more; `None` where the range is empty.
    pub fn extent(&self, samples: &Samples, range: Range<usize>) -> Option<[f32; 2]> {
        let range = range.start..range.end.min(samples.len());
        if range.is_empty() {
            return None;
        }
        Some(self.extent_at(0, FINE, range, samples))
    }

    /// The same as [`Peaks::extent`], but the ends of a long range are as coarse as a
    /// thirty-second of it: no samples are fetched for them.
    pub fn extent_about(&self, samples: &Samples, range: Range<usize>) -> Option<[f32; 2]> {
        let range = range.start..range.end.min(samples.len());
        let (mut level, mut size) = (0, FINE);
        while level + 1 < self.levels.len() && size * FAN * PARTS <= range.len() {
            (level, size) = (level + 1, size * FAN);
        }
        let blocks = self.levels.get(level).map_or(&[][..], Vec::as_slice);
        match blocks.get(range.start / size..range.end.div_ceil(size)) {
            Some(blocks) if size * PARTS <= range.len() => {
                Some(blocks.iter().copied().fold(NOTHING, join))
            }
            _ => self.extent(samples, range),
        }
    }

    /// The extent of a range of samples from blocks of `size` samples at `level` and above, and
    /// from what lies below for the ends.
    fn extent_at(
        &self,
        level: usize,
        size: usize,
        range: Range<usize>,
        samples: &Samples,
    ) -> [f32; 2] {
        let from = range.start.div_ceil(size);
        let to = (range.end / size).min(self.levels.get(level).map_or(0, Vec::len));
        if from >= to {
            return self.ends(level, range, samples);
        }
        let (head, tail) = (range.start..from * size, to * size..range.end);
        let inner = if to - from >= 2 * FAN && self.levels.len() > level + 1 {
            self.extent_at(level + 1, size * FAN, from * size..to * size, samples)
        } else {
            self.levels[level][from..to]
                .iter()
                .copied()
                .fold(NOTHING, join)
        };
        join(
            inner,
            join(
                self.ends(level, head, samples),
                self.ends(level, tail, samples),
            ),
        )
    }

    /// The extent of a range that holds no whole block of `level`.
    fn ends(&self, level: usize, range: Range<usize>, samples: &Samples) -> [f32; 2] {
        if range.is_empty() {
            return NOTHING;
        }
        match level {
            0 => samples.extent(range).unwrap_or(NOTHING),
            _ => {
                let below = level - 1;
                let size = FINE * FAN.pow(below as u32);
                let from = range.start.div_ceil(size);
                let to = (range.end / size).min(self.levels[below].len());
                if from >= to {
                    return self.ends(below, range, samples);
                }
                let inner = self.levels[below][from..to]
                    .iter()
                    .copied()
                    .fold(NOTHING, join);
                let head = self.ends(below, range.start..from * size, samples);
                join(
                    inner,
                    join(head, self.ends(below, to * size..range.end, samples)),
                )
            }
        }
    }
}

/// Peaks of samples that come piece by piece.
#[derive(Debug, Default)]
pub struct PeakSum {
    peaks: Peaks,
    /// What has not filled a block yet.
    rest: Vec<f32>,
}

impl PeakSum {
    /// Takes the next samples.
    pub fn add(&mut self, samples: &[f32]) {
        self.rest.extend_from_slice(samples);
        let whole = self.rest.len() / FINE * FINE;
        self.peaks.push(&self.rest[..whole]);
        self.rest.drain(..whole);
    }

    /// The peaks of all that came.
    pub fn finish(mut self) -> Peaks {
        self.peaks.push(&self.rest);
        self.peaks
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Against the plain search, on every kind of range, made whole and piece by piece.
    #[test]
    fn it_finds_what_a_plain_search_finds() {
        let n = 20_000;
        let mut seed = 1u32;
        let samples: Vec<f32> = (0..n)
            .map(|_| {
                seed = seed.wrapping_mul(1_664_525).wrapping_add(1_013_904_223);
                (seed >> 8) as f32 / (1 << 24) as f32 - 0.5
            })
            .collect();
        let mut pieces = PeakSum::default();
        samples.chunks(777).for_each(|p| pieces.add(p));
        let pieces = pieces.finish();
        let plain = samples.clone();
        let samples = Samples::from(samples);
        let peaks = Peaks::of(&samples);
        for start in [0, 1, 63, 64, 65, 511, 512, 4096, 9999] {
            for length in [0, 1, 2, 63, 64, 65, 128, 600, 5000, 10_000, 20_000] {
                let range = start..start + length;
                let plain = plain.get(start..(start + length).min(n)).unwrap_or(&[]);
                let expected = (!plain.is_empty()).then(|| extent_of(plain));
                assert_eq!(peaks.extent(&samples, range.clone()), expected, "{range:?}");
                assert_eq!(pieces.extent(&samples, range.clone()), expected);
                assert_eq!(Peaks::default().extent(&samples, range), expected);
            }
        }
    }

    #[test]
    fn about_a_range_no_peak_is_lost_and_none_comes_from_afar() {
        let mut samples = vec![0.0; 300_000];
        samples[123_456] = 1.0;
        let samples = Samples::from(samples);
        let peaks = Peaks::of(&samples);
        let about = |range| peaks.extent_about(&samples, range);
        for length in [1, 100, 2_048, 20_000, 100_000] {
            let inside = about(123_457 - length..123_457);
            assert_eq!(inside, Some([if length > 1 { 0.0 } else { 1.0 }, 1.0]));
            let afar = 123_457 + length / PARTS;
            assert_eq!(about(afar..afar + length), Some([0.0; 2]), "{length}");
        }
        assert_eq!(about(300_000..400_000), None);
    }

    #[test]
    fn without_samples_it_is_as_coarse_as_a_block() {
        let samples: Vec<f32> = (0..1000).map(|i| i as f32).collect();
        let mut sum = PeakSum::default();
        samples.chunks(150).for_each(|p| sum.add(p));
        let peaks = sum.finish();
        assert_eq!(peaks.coarse_extent(70..80), Some([64.0, 127.0]));
        assert_eq!(peaks.coarse_extent(0..1000), Some([0.0, 999.0]));
        assert_eq!(peaks.coarse_extent(2000..3000), None);
    }
}
