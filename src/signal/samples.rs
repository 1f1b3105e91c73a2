//! Samples in volts, in half the memory where they are steps of 16 bits.

use std::borrow::Cow;
use std::collections::TryReserveError;
use std::ops::Range;

/// Steps from 0 V to full scale in samples of 16 bits.
const STEPS: f32 = 32_768.0;
/// Added to a number of far smaller magnitude and taken away again, it leaves the nearest whole
/// number: half of the digits of an `f32` lie below its point then.
const ROUND: f32 = 12_582_912.0;
/// Samples that are handed out at a time: few enough for a processor's cache, and a whole number
/// of the blocks of which peaks are kept.
pub const PIECE: usize = 1 << 14;

/// Samples in volts. Recordings of 16 bits or less are kept as the numbers that they are in their
/// file, and handed out as the same volts, to the last bit, that their file's reader makes of them.
#[derive(Clone, Debug)]
pub struct Samples {
    kept: Kept,
    room: usize,
}

#[derive(Clone, Debug)]
enum Kept {
    /// Any volts.
    Volts(Vec<f32>),
    /// Whole multiples of a step.
    Steps { steps: Vec<i16>, step_v: f32 },
}

impl Samples {
    /// No samples yet, of a source that reaches `full_scale_v`: as long as all of them are whole
    /// steps of 16 bits, they are kept as such.
    pub fn of_full_scale(full_scale_v: f64) -> Self {
        Self {
            kept: Kept::Steps {
                steps: Vec::new(),
                step_v: full_scale_v as f32 / STEPS,
            },
            room: 0,
        }
    }

    /// Makes room for so many samples in all, and no more.
    ///
    /// # Errors
    /// Where there is not so much memory.
    pub fn make_room(&mut self, room: usize) -> Result<(), TryReserveError> {
        let more = room.saturating_sub(self.len());
        self.room = room;
        match &mut self.kept {
            Kept::Volts(volts) => volts.try_reserve_exact(more),
            Kept::Steps { steps, .. } => steps.try_reserve_exact(more),
        }
    }

    /// Adds samples.
    ///
    /// # Errors
    /// Where there is no memory for them.
    pub fn push(&mut self, samples: &[f32]) -> Result<(), TryReserveError> {
        if let Kept::Steps { steps, step_v } = &mut self.kept {
            steps.try_reserve(samples.len())?;
            if push_steps(samples, *step_v, steps) {
                return Ok(());
            }
            self.become_volts()?;
        }
        if let Kept::Volts(volts) = &mut self.kept {
            volts.try_reserve(samples.len())?;
            volts.extend_from_slice(samples);
        }
        Ok(())
    }

    fn become_volts(&mut self) -> Result<(), TryReserveError> {
        if let Kept::Steps { steps, step_v } = &self.kept {
            let mut volts = Vec::new();
            volts.try_reserve_exact(self.room.max(steps.len()))?;
            append(steps, *step_v, &mut volts);
            self.kept = Kept::Volts(volts);
        }
        Ok(())
    }

    /// How many there are.
    pub fn len(&self) -> usize {
        match &self.kept {
            Kept::Volts(volts) => volts.len(),
            Kept::Steps { steps, .. } => steps.len(),
        }
    }

    /// Whether there is none.
    pub fn is_empty(&self) -> bool {
        self.len() == 0
    }

    /// Whether they are kept as steps of 16 bits.
    pub fn is_in_steps(&self) -> bool {
        matches!(self.kept, Kept::Steps { .. })
    }

    /// The sample of this number, where there is one.
    pub fn get(&self, index: usize) -> Option<f32> {
        match &self.kept {
            Kept::Volts(volts) => volts.get(index).copied(),
            Kept::Steps { steps, step_v } => steps.get(index).map(|s| f32::from(*s) * step_v),
        }
    }

    /// Those of a range, as far as there are such: a copy where they are kept as steps.
    pub fn range(&self, range: Range<usize>) -> Cow<'_, [f32]> {
        let range = self.clip(range);
        match &self.kept {
            Kept::Volts(volts) => Cow::Borrowed(&volts[range]),
            Kept::Steps { steps, step_v } => {
                let mut volts = Vec::new();
                append(&steps[range], *step_v, &mut volts);
                Cow::Owned(volts)
            }
        }
    }

    /// Those of a range, piece by piece.
    pub fn pieces(&self, range: Range<usize>) -> Pieces<'_> {
        Pieces {
            samples: self,
            left: self.clip(range),
            block: Vec::new(),
        }
    }

    /// Least and greatest of a range; `None` where there is no sample in it.
    pub fn extent(&self, range: Range<usize>) -> Option<[f32; 2]> {
        let range = self.clip(range);
        if range.is_empty() {
            return None;
        }
        Some(match &self.kept {
            Kept::Volts(volts) => extent_of(&volts[range]),
            // A greater step never stands for a lower voltage.
            Kept::Steps { steps, step_v } => {
                extent(&steps[range], i16::MAX, i16::MIN).map(|s| f32::from(s) * step_v)
            }
        })
    }

    fn clip(&self, range: Range<usize>) -> Range<usize> {
        let end = range.end.min(self.len());
        range.start.min(end)..end
    }
}

impl From<Vec<f32>> for Samples {
    fn from(volts: Vec<f32>) -> Self {
        Self {
            room: volts.len(),
            kept: Kept::Volts(volts),
        }
    }
}

impl Default for Samples {
    fn default() -> Self {
        Vec::new().into()
    }
}

impl PartialEq for Samples {
    /// Whether they are the same volts, however they are kept.
    fn eq(&self, other: &Self) -> bool {
        let (mut a, mut b) = (self.pieces(0..self.len()), other.pieces(0..other.len()));
        loop {
            match (a.read(), b.read()) {
                (None, None) => return true,
                (a, b) if a != b => return false,
                _ => {}
            }
        }
    }
}

/// Samples that are handed out piece by piece.
pub struct Pieces<'a> {
    samples: &'a Samples,
    left: Range<usize>,
    block: Vec<f32>,
}

impl Pieces<'_> {
    /// The next samples in volts, [`PIECE`] of them as long as there are so many.
    pub fn read(&mut self) -> Option<&[f32]> {
        let now = self.left.start..self.left.end.min(self.left.start + PIECE);
        self.left.start = now.end;
        if now.is_empty() {
            return None;
        }
        Some(match &self.samples.kept {
            Kept::Volts(volts) => &volts[now],
            Kept::Steps { steps, step_v } => {
                self.block.clear();
                append(&steps[now], *step_v, &mut self.block);
                &self.block
            }
        })
    }
}

fn append(steps: &[i16], step_v: f32, volts: &mut Vec<f32>) {
    volts.extend(steps.iter().map(|s| f32::from(*s) * step_v));
}

/// Adds the samples as steps, or nothing where any of them is not exactly a step.
fn push_steps(samples: &[f32], step_v: f32, steps: &mut Vec<i16>) -> bool {
    let before = steps.len();
    let per_volt = 1.0 / step_v;
    for block in samples.chunks(PIECE) {
        let from = steps.len();
        // Two loops without a branch, which a processor runs several samples at a time.
        steps.extend(block.iter().map(|v| step_of(v * per_volt)));
        let same = |(v, s): (&f32, &i16)| v.to_bits() == (f32::from(*s) * step_v).to_bits();
        if !block
            .iter()
            .zip(&steps[from..])
            .fold(true, |all, pair| all & same(pair))
        {
            steps.truncate(before);
            return false;
        }
    }
    true
}

/// The nearest whole number, where it has 16 bits.
fn step_of(steps: f32) -> i16 {
    let within = steps.clamp(-STEPS, STEPS);
    ((within + ROUND) - ROUND) as i32 as i16
}

/// Least and greatest of some volts, which are numbers; of none, what any is less and greater than.
pub fn extent_of(volts: &[f32]) -> [f32; 2] {
    extent(volts, f32::INFINITY, f32::NEG_INFINITY)
}

/// Least and greatest of some numbers. Sixteen by sixteen, so that none waits for the one before
/// it.
fn extent<T: Copy + PartialOrd>(numbers: &[T], highest: T, lowest: T) -> [T; 2] {
    let (blocks, rest) = numbers.as_chunks::<16>();
    let (mut least, mut most) = ([highest; 16], [lowest; 16]);
    for block in blocks {
        for (i, &n) in block.iter().enumerate() {
            least[i] = if n < least[i] { n } else { least[i] };
            most[i] = if n > most[i] { n } else { most[i] };
        }
    }
    let all = least.iter().zip(&most).map(|(l, m)| [*l, *m]);
    let rest = rest.iter().map(|n| [*n, *n]);
    all.chain(rest).fold([highest, lowest], |a, b| {
        [
            if b[0] < a[0] { b[0] } else { a[0] },
            if b[1] > a[1] { b[1] } else { a[1] },
        ]
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn kept(full_scale_v: f64, parts: &[&[f32]]) -> Samples {
        let mut samples = Samples::of_full_scale(full_scale_v);
        for part in parts {
            samples.push(part).unwrap();
        }
        samples
    }

    fn bits(volts: &[f32]) -> Vec<u32> {
        volts.iter().map(|v| v.to_bits()).collect()
    }

    /// Every number of 16 and of 8 bits, as the readers make volts of them.
    #[test]
    fn steps_come_back_as_the_same_volts_to_the_last_bit() {
        for full_scale_v in [1.0, 0.7, 0.316, 2.0, 3.3, 10.0, 1e-3] {
            let full_scale = full_scale_v as f32;
            let sixteen = (i16::MIN..=i16::MAX).map(|s| f32::from(s) * (full_scale / 32_768.0));
            let eight = (0..=u8::MAX).map(|b| (f32::from(b) - 128.0) * (full_scale / 128.0));
            let parts = (i16::MIN..=i16::MAX).map(|s| f32::from(s) / 32_768.0 * full_scale);
            let volts: Vec<f32> = sixteen.chain(eight).chain(parts).collect();
            let samples = kept(full_scale_v, &[&volts]);
            assert!(samples.is_in_steps(), "{full_scale_v} V");
            let all = samples.range(0..usize::MAX);
            assert_eq!(bits(&all), bits(&volts), "{full_scale_v} V");
        }
    }

    #[test]
    fn what_is_no_step_is_kept_as_it_is() {
        let steps = [0.5, -1.0, 0.0];
        for other in [1.0, 0.5 / 32_768.0, -0.0, 1e6, -1.001, 1e-30] {
            let samples = kept(1.0, &[&steps, &[0.25, other], &[0.125]]);
            assert!(!samples.is_in_steps(), "{other}");
            let expected = [0.5, -1.0, 0.0, 0.25, other, 0.125];
            assert_eq!(bits(&samples.range(0..9)), bits(&expected));
        }
    }

    #[test]
    fn both_ways_of_keeping_give_the_same() {
        let volts: Vec<f32> = (0..3 * PIECE + 77)
            .map(|i| ((i * 7919) % 65_536) as f32 / 32_768.0 - 1.0)
            .collect();
        let (steps, volts) = (kept(1.0, &[&volts]), Samples::from(volts));
        assert!(steps.is_in_steps() && !volts.is_in_steps());
        assert_eq!(steps, volts);
        for range in [0..0, 0..1, 5..70, 63..64, 100..40_000, 49_000..99_999_999] {
            assert_eq!(steps.range(range.clone()), volts.range(range.clone()));
            assert_eq!(steps.extent(range.clone()), volts.extent(range.clone()));
            let plain = volts.range(range.clone());
            let least = plain.iter().copied().reduce(f32::min);
            assert_eq!(volts.extent(range).map(|e| e[0]), least);
        }
        assert_eq!(steps.get(77), volts.get(77));
        assert_eq!(steps.get(usize::MAX), None);
        assert_ne!(steps, Samples::default());
    }
}
