//! From the recording that a command names to its traces.

use super::bench::bench;
use super::progress::Progress;
use super::{Failure, args, input};
use crate::export::Reading;
use crate::settings::Bench;
use crate::signal::{Chain, Recording, Traces};
use crate::source::{self, Opened};
use clap::ArgMatches;
use std::path::Path;

/// Samples between two reports of progress.
const STRIDE: usize = 1 << 20;

/// A recording with its settings and traces.
pub(super) struct Decoded {
    pub opened: Opened,
    pub bench: Bench,
    pub traces: Traces,
}

impl Decoded {
    /// Opens the recording that the arguments name and runs it through the chain.
    pub fn of(matches: &ArgMatches) -> Result<Self, Failure> {
        let bench = bench(matches)?;
        let file = args::path(matches, "file");
        // A command has only some of these.
        let outputs = ["out", "bytes", "records"].map(|id| matches.try_get_one(id).ok().flatten());
        input::refuse_overwriting(file, &outputs)?;
        let mut progress = Progress::begin();
        let opened = open(file, &bench, &mut progress)?;
        let traces = read(&bench, &opened.recording, &mut progress);
        Ok(Self {
            opened,
            bench,
            traces,
        })
    }

    /// The same for the exports.
    pub fn reading(&self) -> Reading<'_> {
        Reading {
            recording: &self.opened.recording,
            about: &self.opened.about,
            bench: &self.bench,
            traces: &self.traces,
        }
    }
}

fn open(file: &Path, bench: &Bench, progress: &mut Progress) -> Result<Opened, Failure> {
    if !input::is_standard(file) {
        let mut show = |now: source::Progress<'_>| progress.show("opening", now.part);
        return Ok(source::open(file, &bench.source, &mut show)?);
    }
    let bytes = input::standard()?;
    Ok(source::read_all(bytes, "standard input", &bench.source)?)
}

fn read(bench: &Bench, recording: &Recording, progress: &mut Progress) -> Traces {
    let mut chain = Chain::new(bench, recording.rate_hz());
    let total = recording.samples().len().max(1);
    for (i, block) in recording.samples().chunks(STRIDE).enumerate() {
        progress.show("reading", (i * STRIDE) as f32 / total as f32);
        chain.push(block);
    }
    chain.finish()
}
