//! A file that is read again with other settings, to try them.

use super::{Block, Origin};
use crate::settings::{Bench, SourceSettings};
use crate::signal::{Chain, Traces};
use crate::study::Reread;
use std::ops::{ControlFlow, Range};

/// A recording that is read again from its origin, block by block, for each setting that is tried.
pub struct Again<'a> {
    /// Where it comes from.
    pub origin: &'a Origin,
    /// Samples a second.
    pub rate_hz: u32,
    /// Channels in the file.
    pub channels: u32,
}

impl Again<'_> {
    fn stream(
        &self,
        source: &SourceSettings,
        take: &mut dyn FnMut(&[f32]) -> ControlFlow<()>,
    ) -> Option<()> {
        let mut stopped = false;
        let mut take = |block: Block<'_>| {
            let flow = take(block.samples);
            stopped = flow.is_break();
            flow
        };
        let read = self.origin.stream(source, &mut take);
        (read.is_ok() || stopped).then_some(())
    }
}

impl Reread for Again<'_> {
    fn rate_hz(&self) -> u32 {
        self.rate_hz
    }

    fn channels(&self) -> u32 {
        self.channels
    }

    fn stretches(
        &mut self,
        source: &SourceSettings,
        stretches: &[Range<u64>],
    ) -> Option<Vec<Vec<f32>>> {
        let mut taken: Vec<Vec<f32>> = vec![Vec::new(); stretches.len()];
        let last = stretches.iter().map(|s| s.end).max()?;
        let mut at = 0u64;
        self.stream(source, &mut |samples| {
            let end = at + samples.len() as u64;
            for (span, kept) in stretches.iter().zip(&mut taken) {
                let (from, to) = (span.start.max(at), span.end.min(end));
                if from < to {
                    // Both lie in this block.
                    kept.extend_from_slice(&samples[(from - at) as usize..(to - at) as usize]);
                }
            }
            at = end;
            if at < last {
                ControlFlow::Continue(())
            } else {
                ControlFlow::Break(())
            }
        })?;
        Some(taken)
    }

    fn read(&mut self, bench: &Bench) -> Option<Traces> {
        let mut chain = Chain::new(bench, self.rate_hz);
        self.stream(&bench.source, &mut |samples| {
            chain.push(samples);
            ControlFlow::Continue(())
        })?;
        Some(chain.finish())
    }
}
