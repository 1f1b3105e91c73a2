//! The samples of a stretch of a recording, or their peaks where they are many.

use crate::picture::{PeakSum, Peaks};
use crate::settings::Bench;
use crate::signal::{InputNetwork, Samples};
use std::ops::{ControlFlow, Range};

/// Samples of a stretch that are kept as such, at the most; of a longer one, peaks are. There are
/// hundreds to the finest column of a picture then.
const MOST_SAMPLES: usize = 1 << 22;

/// Keeps what comes of a stretch.
pub(super) struct Kept {
    /// The numbers of the samples that are to be seen.
    shown: Range<usize>,
    /// Of those and the ones of which the input network makes what is to be seen.
    needed: Range<usize>,
    /// Those that are needed, as long as they are not too many.
    samples: Samples,
    peaks: Option<Box<Sums>>,
    network: Option<InputNetwork>,
}

/// What is kept of a stretch.
pub(super) struct Done {
    /// The number of the first sample that is kept, or of the first that the peaks are of.
    pub first: usize,
    pub samples: Samples,
    pub peaks: Peaks,
    pub shaped: Option<Peaks>,
}

/// Peaks of samples as recorded, and as they come out of the input network.
struct Sums {
    recorded: PeakSum,
    shaped: Option<(InputNetwork, PeakSum)>,
    /// Samples that are still to come out of the network before the first that is to be seen.
    lead: usize,
    block: Vec<f32>,
}

impl Kept {
    /// Nothing yet of the samples with these numbers.
    pub fn new(bench: &Bench, rate_hz: u32, shown: Range<usize>) -> Self {
        let is_wire = InputNetwork::is_wire(&bench.input);
        Self {
            needed: match is_wire {
                true => shown.clone(),
                false => InputNetwork::needed(&bench.input, rate_hz, shown.clone()),
            },
            shown,
            samples: Samples::of_full_scale(bench.source.full_scale_v),
            peaks: None,
            network: (!is_wire).then(|| InputNetwork::new(&bench.input, rate_hz)),
        }
    }

    /// Takes the next samples of the recording, the first of which has this number. Breaks where
    /// there is no memory for them.
    pub fn add(&mut self, number: usize, samples: &[f32]) -> ControlFlow<()> {
        let own = |n: usize| n.clamp(number, number + samples.len()) - number;
        let (needed, shown) = (&self.needed, &self.shown);
        let part = &samples[own(needed.start)..own(needed.end)];
        if let Some(sums) = &mut self.peaks {
            sums.add(part, &samples[own(shown.start)..own(shown.end)]);
            return ControlFlow::Continue(());
        }
        if self.samples.push(part).is_err() {
            return ControlFlow::Break(());
        }
        let lead = self.shown.start - self.needed.start;
        if self.samples.len().saturating_sub(lead) > MOST_SAMPLES {
            self.sum_up(lead);
        }
        ControlFlow::Continue(())
    }

    /// From samples to peaks.
    fn sum_up(&mut self, lead: usize) {
        let network = self.network.take();
        let mut sums = Box::new(Sums {
            recorded: PeakSum::default(),
            shaped: network.map(|network| (network, PeakSum::default())),
            lead,
            block: Vec::new(),
        });
        let samples = std::mem::take(&mut self.samples);
        let mut seen = 0;
        let mut pieces = samples.pieces(0..samples.len());
        while let Some(piece) = pieces.read() {
            sums.add(piece, &piece[lead.saturating_sub(seen).min(piece.len())..]);
            seen += piece.len();
        }
        self.peaks = Some(sums);
    }

    /// What is kept at the end.
    pub fn finish(self) -> Done {
        match self.peaks {
            None => Done {
                first: self.needed.start,
                samples: self.samples,
                peaks: Peaks::default(),
                shaped: None,
            },
            Some(sums) => {
                let first = self.shown.start;
                let (peaks, shaped) = sums.finish();
                Done {
                    first,
                    samples: Samples::default(),
                    peaks,
                    shaped,
                }
            }
        }
    }
}

impl Sums {
    /// Takes samples that are needed, and those of them that are to be seen.
    fn add(&mut self, needed: &[f32], shown: &[f32]) {
        self.recorded.add(shown);
        if let Some((network, sum)) = &mut self.shaped {
            network.run(needed, &mut self.block);
            sum_after(&mut self.lead, &self.block, sum);
        }
    }

    fn finish(mut self) -> (Peaks, Option<Peaks>) {
        let shaped = self.shaped.map(|(mut network, mut sum)| {
            network.finish(&mut self.block);
            sum_after(&mut self.lead, &self.block, &mut sum);
            sum.finish()
        });
        (self.recorded.finish(), shaped)
    }
}

/// Adds what comes after the first `lead` samples.
fn sum_after(lead: &mut usize, samples: &[f32], sum: &mut PeakSum) {
    let skip = samples.len().min(*lead);
    *lead -= skip;
    sum.add(&samples[skip..]);
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::settings::InputSettings;
    use crate::signal::{Recording, extent_of};

    fn samples(count: usize) -> Vec<f32> {
        let at = |i: usize| ((i as f64 * 0.01).sin() * (i as f64 * 1e-5).cos()) as f32;
        (0..count).map(at).collect()
    }

    fn kept(bench: &Bench, samples: &[f32], shown: Range<usize>) -> Done {
        let mut kept = Kept::new(bench, 48_000, shown);
        let mut number = 0;
        for piece in samples.chunks(10_007) {
            assert!(kept.add(number, piece).is_continue());
            number += piece.len();
        }
        kept.finish()
    }

    #[test]
    fn few_samples_are_kept_as_they_are() {
        let all = samples(50_000);
        let done = kept(&Bench::default(), &all, 12_345..34_567);
        assert_eq!(done.first, 12_345);
        assert_eq!(*done.samples.range(0..usize::MAX), all[12_345..34_567]);
        // To the end, where more was asked for.
        let done = kept(&Bench::default(), &all, 12_345..usize::MAX);
        assert_eq!(done.samples.len(), 50_000 - 12_345);
    }

    #[test]
    fn of_many_the_peaks_are_kept_before_and_after_the_network() {
        let all = samples(MOST_SAMPLES + 500_000);
        let bench = Bench {
            input: InputSettings {
                high_pass_hz: 20.0,
                gain: 2.0,
                ..Default::default()
            },
            ..Default::default()
        };
        let shown = 100_001..MOST_SAMPLES + 400_000;
        let done = kept(&bench, &all, shown.clone());
        assert!(done.samples.is_empty() && done.first == shown.start);
        let recording = Recording::new(all.clone(), 48_000);
        let shaped = InputNetwork::stretch(&bench.input, &recording, shown.clone());
        for block in [0..64, 640..1280, 2_000_000 / 64 * 64..3_000_000 / 64 * 64] {
            let plain = extent_of(&all[shown.start..][block.clone()]);
            assert_eq!(done.peaks.coarse_extent(block.clone()), Some(plain));
            let behind = done.shaped.as_ref().unwrap();
            let plain = extent_of(&shaped[block.clone()]);
            assert_eq!(behind.coarse_extent(block), Some(plain));
        }
    }
}
