//! From the recording that a command names to its traces.

use super::bench::bench;
use super::progress::Progress;
use super::{Failure, args, input};
use crate::export::Reading;
use crate::settings::Bench;
use crate::signal::{Chain, LevelSum, Levels, Traces};
use crate::source::{About, Again, Block, Origin};
use crate::study::{self, Advice};
use clap::ArgMatches;
use std::ops::ControlFlow;
use std::path::Path;

/// Samples that are worked on at a time.
const PIECE: usize = 1 << 16;

/// What the stages make of a recording with some settings.
pub(super) struct Decoded {
    pub about: About,
    /// Where the recording can be read again from.
    origin: Origin,
    pub bench: Bench,
    pub levels: Levels,
    pub traces: Traces,
}

impl Decoded {
    /// Reads the recording that the arguments name and runs it through the chain, keeping none of
    /// its samples.
    pub fn of(matches: &ArgMatches) -> Result<Self, Failure> {
        let (file, bench) = named(matches)?;
        Self::of_file(file, &bench)
    }

    /// The same for one file of several.
    pub fn of_file(file: &Path, bench: &Bench) -> Result<Self, Failure> {
        let mut progress = Progress::begin();
        let mut reader = Reader::new(bench);
        let mut take = |block: Block<'_>| {
            reader.add(block);
            if let Some(part) = block.part {
                progress.show("reading", part);
            }
            ControlFlow::Continue(())
        };
        let origin = input::origin(file)?;
        let about = origin.stream(&bench.source, &mut take)?;
        Ok(reader.finish(about, origin))
    }

    /// What would read the recording better, as tried on it.
    pub fn advice(&self) -> Vec<Advice> {
        let mut again = Again {
            origin: &self.origin,
            rate_hz: self.about.rate_hz,
            channels: self.about.channels,
        };
        study::advise(&mut again, &self.bench, &self.traces, &self.levels)
    }

    /// What the exports take, of all or a part of the traces.
    pub fn reading<'a>(&'a self, traces: &'a Traces) -> Reading<'a> {
        Reading {
            path: match &self.origin {
                Origin::File(path) => path,
                Origin::Pipe { .. } => Path::new("-"),
            },
            about: &self.about,
            bench: &self.bench,
            levels: &self.levels,
            traces,
        }
    }
}

/// The file and the settings that the arguments name.
fn named(matches: &ArgMatches) -> Result<(&Path, Bench), Failure> {
    Ok((args::path(matches, "file"), bench(matches)?))
}

/// The chain and the level meter, set up at the first block.
struct Reader {
    bench: Bench,
    stages: Option<(Chain, LevelSum)>,
}

impl Reader {
    fn new(bench: &Bench) -> Self {
        Self {
            bench: *bench,
            stages: None,
        }
    }

    fn add(&mut self, block: Block<'_>) {
        let (chain, levels) = self.stages.get_or_insert_with(|| {
            let chain = Chain::new(&self.bench, block.rate_hz);
            (chain, LevelSum::new(block.rate_hz, block.clip_v))
        });
        // In pieces that stay in the processor's cache from one to the other.
        for piece in block.samples.chunks(PIECE) {
            levels.add(piece);
            chain.push(piece);
        }
    }

    fn finish(self, about: About, origin: Origin) -> Decoded {
        let (traces, levels) = match self.stages {
            Some((chain, levels)) => (chain.finish(), levels.levels()),
            None => Default::default(),
        };
        Decoded {
            about,
            origin,
            bench: self.bench,
            levels,
            traces,
        }
    }
}
