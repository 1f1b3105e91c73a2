//! Settings that read a recording better, found by trying them on that recording.
//!
//! Nothing is advised that has not been applied: changes are tried on some stretches of the
//! recording, the best of them is then read with on the whole of it, and what is said carries the
//! counts before and after. Where nothing that was tried helps, nothing is said.

mod candidates;
mod excerpts;
mod judge;
mod say;
mod search;

pub use judge::Tally;

use crate::settings::{Bench, Knob, SourceSettings};
use crate::signal::{Levels, Recording, Traces};
use std::ops::Range;

/// A change of settings that has been applied to the whole recording and reads it better.
#[derive(Clone, Debug, PartialEq)]
pub struct Advice {
    /// One sentence: the change, and what it does by count.
    pub says: String,
    /// The knobs to change, and their new values.
    pub changes: Vec<(&'static Knob, f64)>,
    /// What is read without the change.
    pub before: Tally,
    /// What is read with it.
    pub after: Tally,
}

impl Advice {
    /// Makes the change in `bench`.
    pub fn apply(&self, bench: &mut Bench) {
        for (knob, value) in &self.changes {
            knob.set_clamped(bench, *value);
        }
    }
}

/// A recording that can be read again with other settings.
pub trait Reread {
    /// Samples a second.
    fn rate_hz(&self) -> u32;

    /// How many channels can be asked for; 1 where only the one that was read can be.
    fn channels(&self) -> u32 {
        1
    }

    /// The samples in each of these stretches, given as ranges of sample numbers, read with these
    /// source settings. `None` where they cannot be had or are no longer wanted.
    fn stretches(
        &mut self,
        source: &SourceSettings,
        stretches: &[Range<u64>],
    ) -> Option<Vec<Vec<f32>>>;

    /// The traces of the whole recording with these settings. `None` where they cannot be had or
    /// are no longer wanted.
    fn read(&mut self, bench: &Bench) -> Option<Traces>;

    /// Whether nobody waits for the result any more.
    fn is_cancelled(&self) -> bool {
        false
    }
}

/// A recording in memory, with the source settings it was opened with and a way to cancel.
pub struct InMemory<'a> {
    /// The recording.
    pub recording: &'a Recording,
    /// The source settings that its samples have.
    pub source: SourceSettings,
    /// Whether nobody waits any more.
    pub cancelled: &'a dyn Fn() -> bool,
}

impl Reread for InMemory<'_> {
    fn rate_hz(&self) -> u32 {
        self.recording.rate_hz()
    }

    fn stretches(
        &mut self,
        source: &SourceSettings,
        stretches: &[Range<u64>],
    ) -> Option<Vec<Vec<f32>>> {
        let index = |at: u64| usize::try_from(at).unwrap_or(usize::MAX);
        let numbers = |s: &Range<u64>| index(s.start)..index(s.end);
        let cut = |s| self.recording.stretch(numbers(s)).into_owned();
        (*source == self.source).then(|| stretches.iter().map(cut).collect())
    }

    fn read(&mut self, bench: &Bench) -> Option<Traces> {
        if bench.source != self.source {
            return None;
        }
        let mut chain = crate::signal::Chain::new(bench, self.recording.rate_hz());
        let mut samples = self.recording.all();
        while let Some(piece) = samples.read() {
            if self.is_cancelled() {
                return None;
            }
            chain.push(piece);
        }
        Some(chain.finish())
    }

    fn is_cancelled(&self) -> bool {
        (self.cancelled)()
    }
}

/// The changes that read the recording better than `bench` does, the best first; none where the
/// reading is clean or nothing that was tried helps. `traces` and `levels` are those of the
/// reading with `bench`.
pub fn advise(
    recording: &mut dyn Reread,
    bench: &Bench,
    traces: &Traces,
    levels: &Levels,
) -> Vec<Advice> {
    let before = Tally::of(traces);
    if before.is_clean() {
        return Vec::new();
    }
    let Some(steps) = search::search(recording, bench, traces, levels) else {
        return Vec::new();
    };
    // The last step reads the stretches best; an earlier one may be all that the whole bears out.
    let proven = steps.into_iter().rev().find_map(|bench_after| {
        let after = recording.read(&bench_after)?;
        judge::is_better(traces, bench, &after, &bench_after)
            .then(|| (bench_after, Tally::of(&after)))
    });
    let advice = proven.map(|(bench_after, after)| {
        let changed = bench_after.differences(bench);
        Advice {
            says: say::sentence(&changed, bench, &bench_after, &before, &after),
            changes: changed
                .into_iter()
                .map(|knob| (knob, knob.get(&bench_after)))
                .collect(),
            before,
            after,
        }
    });
    advice.into_iter().collect()
}
