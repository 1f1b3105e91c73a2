//! What a picture of a stretch needs of a recording, and no more: a recording may be far longer
//! than what is drawn of it.

use super::Failure;
use super::excerpt_samples::Kept;
use super::progress::Progress;
use super::stretch::{Stretch, refuse_behind_the_end};
use crate::picture::{Peaks, Span};
use crate::settings::Bench;
use crate::signal::{Chain, Recording, Traces};
use crate::source::{About, Block, Origin};
use std::ops::ControlFlow;

/// Samples that go through the chain at a time.
const PIECE: usize = 1 << 16;
/// What the stages are followed for before and after a stretch: so many seconds, and so many bits.
const AROUND: (f64, f64) = (10.0, 100.0);

/// A stretch of a recording, read for a picture.
pub(super) struct Excerpt {
    pub about: About,
    /// The recording, of which no samples are kept but those of the stretch, or none.
    pub recording: Recording,
    /// Where no samples are kept, the peaks of the stretch.
    pub peaks: Peaks,
    /// The same after the input network, where that is not a mere wire.
    pub shaped: Option<Peaks>,
    /// The traces near the stretch.
    pub traces: Traces,
    pub span: Span,
}

impl Excerpt {
    /// Reads the stretch that was asked for, which has this length where none was given; it begins
    /// so long before the first character where no beginning was given.
    pub fn read(
        origin: &Origin,
        bench: &Bench,
        stretch: &Stretch,
        [length_s, before_s]: [f64; 2],
    ) -> Result<Self, Failure> {
        let from_s = match stretch.from_s {
            Some(from_s) => from_s,
            None => first_character_s(origin, bench)?.map_or(0.0, |s| (s - before_s).max(0.0)),
        };
        let to_s = from_s + stretch.length_s.unwrap_or(length_s);
        let mut progress = Progress::begin();
        let mut reader = None;
        let about = origin.stream(&bench.source, &mut |block: Block<'_>| {
            let reader = reader
                .get_or_insert_with(|| Reader::new(bench, Span { from_s, to_s }, block.rate_hz));
            for piece in block.samples.chunks(PIECE) {
                reader.add(piece)?;
            }
            if let Some(part) = block.part {
                progress.show("reading", part);
            }
            ControlFlow::Continue(())
        });
        match reader {
            Some(reader) => reader.finish(about?),
            None => Err(about.err().map_or_else(no_samples, Failure::from)),
        }
    }
}

fn no_samples() -> Failure {
    Failure::Failed("The recording holds no samples; record or copy it again.".into())
}

/// When the first character begins, read as far as that.
fn first_character_s(origin: &Origin, bench: &Bench) -> Result<Option<f64>, Failure> {
    let mut chain: Option<Chain> = None;
    let mut first_s = None;
    let mut seen = 0u64;
    let around_s = around_s(bench);
    let read = origin.stream(&bench.source, &mut |block: Block<'_>| {
        let chain = chain.get_or_insert_with(|| Chain::new(bench, block.rate_hz));
        for piece in block.samples.chunks(PIECE) {
            chain.push(piece);
            seen += piece.len() as u64;
            first_s = chain.characters().first().map(|c| c.at_s);
            if first_s.is_some() {
                return ControlFlow::Break(());
            }
            chain.drain(seen as f64 / f64::from(block.rate_hz) - around_s);
        }
        ControlFlow::Continue(())
    });
    if first_s.is_none() {
        read?;
        let last = chain.map(Chain::finish).unwrap_or_default();
        first_s = last.characters.first().map(|c| c.at_s);
    }
    Ok(first_s)
}

fn around_s(bench: &Bench) -> f64 {
    AROUND.0.max(AROUND.1 / bench.framer.rate_bd)
}

/// Takes what is needed of the samples that come.
struct Reader<'a> {
    bench: &'a Bench,
    span: Span,
    rate_hz: u32,
    /// How many samples have come.
    seen: usize,
    stages: Stages,
    kept: Kept,
}

enum Stages {
    Following(Box<Chain>),
    Done(Traces),
}

impl Default for Stages {
    fn default() -> Self {
        Self::Done(Traces::default())
    }
}

impl Stages {
    fn finish(self) -> Traces {
        match self {
            Self::Following(chain) => chain.finish(),
            Self::Done(traces) => traces,
        }
    }
}

impl<'a> Reader<'a> {
    fn new(bench: &'a Bench, span: Span, rate_hz: u32) -> Self {
        let number = |s: f64| (s * f64::from(rate_hz)).max(0.0) as usize;
        // One beyond each end, and one more for what rounding may do.
        let shown = number(span.from_s).saturating_sub(1)..number(span.to_s).saturating_add(3);
        Self {
            bench,
            span,
            rate_hz,
            seen: 0,
            stages: Stages::Following(Chain::new(bench, rate_hz).into()),
            kept: Kept::new(bench, rate_hz, shown),
        }
    }

    fn add(&mut self, piece: &[f32]) -> ControlFlow<()> {
        self.kept.add(self.seen, piece)?;
        self.seen += piece.len();
        let Stages::Following(chain) = &mut self.stages else {
            return ControlFlow::Continue(());
        };
        chain.push(piece);
        let around_s = around_s(self.bench);
        let now_s = self.seen as f64 / f64::from(self.rate_hz);
        if now_s < self.span.from_s - around_s {
            chain.drain(now_s - around_s);
        } else if now_s > self.span.to_s + around_s {
            self.stages = Stages::Done(std::mem::take(&mut self.stages).finish());
        }
        ControlFlow::Continue(())
    }

    fn finish(self, about: About) -> Result<Excerpt, Failure> {
        let end_s = about.duration_s();
        refuse_behind_the_end(&about.name, end_s, self.span.from_s)?;
        let mut traces = self.stages.finish();
        traces.end_s = end_s;
        let kept = self.kept.finish();
        let recording = Recording::part(kept.samples, kept.first, self.seen, self.rate_hz);
        Ok(Excerpt {
            recording: recording.with_gaps(about.gaps.clone()),
            peaks: kept.peaks,
            shaped: kept.shaped,
            traces,
            span: Span {
                from_s: self.span.from_s,
                to_s: self.span.to_s.min(end_s),
            },
            about,
        })
    }
}
