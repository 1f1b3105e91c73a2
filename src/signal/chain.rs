//! The stages joined: samples in, every stage's trace out.

use super::{Character, Edges, Framer, InputNetwork, OneShot, Recording, Squarer};
use crate::settings::{Bench, ShortSettings, Trigger};
use std::sync::Arc;

/// Samples that go through the first stages at a time: small enough for the nearest cache.
const BLOCK: usize = 4096;
/// Edges that are forgotten at a time, so that the rest moves up seldom.
const FORGET_EDGES: usize = 1 << 16;

/// What every stage put out.
#[derive(Clone, Debug, PartialEq, Default)]
pub struct Traces {
    /// The squarer's output.
    pub squarer: Arc<Edges>,
    /// The short one-shot's output.
    pub short: Edges,
    /// The long one-shot's output: the serial line.
    pub long: Edges,
    /// The framer's characters, in the order of time.
    pub characters: Vec<Character>,
    /// The indices of the characters that have faults.
    pub faulty: Vec<usize>,
    /// Transitions to space that were no start bit, in seconds on the line.
    pub false_starts_s: Vec<f64>,
    /// Where the recording ends, in seconds.
    pub end_s: f64,
}

/// The whole chain as one streaming stage.
#[derive(Clone, Debug)]
pub struct Chain {
    network: InputNetwork,
    squarer: Squarer,
    block: Vec<f32>,
    circuit: Circuit,
    squared: Edges,
    rate_hz: f64,
    seen: u64,
}

impl Chain {
    /// A chain at rest for samples at `rate_hz`.
    pub fn new(bench: &Bench, rate_hz: u32) -> Self {
        Self {
            network: InputNetwork::new(&bench.input, rate_hz),
            squarer: Squarer::new(&bench.squarer, rate_hz),
            block: Vec::new(),
            circuit: Circuit::new(bench),
            squared: Edges::resting(false),
            rate_hz: f64::from(rate_hz),
            seen: 0,
        }
    }

    /// A chain at rest whose first sample is that of number `sample` of the recording, so that its
    /// times are those of the recording.
    pub fn beginning_at(sample: u64, bench: &Bench, rate_hz: u32) -> Self {
        let mut chain = Self::new(bench, rate_hz);
        chain.seen = sample;
        chain.squarer.skip_to(sample);
        chain
    }

    /// Runs a whole recording through the chain.
    pub fn read(bench: &Bench, recording: &Recording) -> Traces {
        let mut chain = Self::new(bench, recording.rate_hz());
        chain.push(recording.samples());
        chain.finish()
    }

    /// The traces near a stretch of time, for a first look: what came more than `lead_s` before
    /// it is not taken into account, and what comes behind it is not read.
    pub fn near(
        bench: &Bench,
        recording: &Recording,
        from_s: f64,
        to_s: f64,
        lead_s: f64,
    ) -> Traces {
        let rate_hz = f64::from(recording.rate_hz());
        let all = recording.samples();
        let index = |time_s: f64| ((time_s * rate_hz).max(0.0) as usize).min(all.len());
        let (start, end) = (index(from_s - lead_s), index(to_s + 1.0 / rate_hz));
        let mut chain = Self::beginning_at(start as u64, bench, recording.rate_hz());
        chain.push(&all[start..end.max(start)]);
        chain.finish()
    }

    /// Feeds the next samples.
    pub fn push(&mut self, samples: &[f32]) {
        if self.network.is_transparent() {
            self.squarer.run(samples, &mut self.squared);
        } else {
            for block in samples.chunks(BLOCK) {
                self.network.run(block, &mut self.block);
                self.squarer.run(&self.block, &mut self.squared);
            }
        }
        self.seen += samples.len() as u64;
        self.circuit.follow(&self.squared, self.squarer.settled_s());
    }

    /// The characters so far.
    pub fn characters(&self) -> &[Character] {
        &self.circuit.characters
    }

    /// Gives up the characters so far, and forgets what the stages did before `before_s`: a chain
    /// that is drained again and again stays small however long its input. What it makes of the
    /// rest is the same where `before_s` lies a few characters back.
    pub fn drain(&mut self, before_s: f64) -> Vec<Character> {
        if self
            .squared
            .times_s()
            .get(FORGET_EDGES)
            .is_some_and(|&t| t < before_s)
        {
            self.circuit.taken -= self.squared.forget_before(before_s);
            self.circuit.short_trace.forget_before(before_s);
            self.circuit.long_trace.forget_before(before_s);
        }
        self.circuit.framer.take_false_starts_s();
        std::mem::take(&mut self.circuit.characters)
    }

    /// Ends the recording and gives up the traces.
    pub fn finish(self) -> Traces {
        let end_s = self.seen as f64 / self.rate_hz;
        self.circuit.finish(Arc::new(self.squared), end_s)
    }
}

impl Traces {
    /// The traces for other settings of the one-shots and the framer. Works on the squarer's
    /// edges alone: samples are not read again.
    pub fn rework(&self, bench: &Bench) -> Traces {
        Circuit::new(bench).finish(Arc::clone(&self.squarer), self.end_s)
    }

    /// The bytes of all characters.
    pub fn bytes(&self) -> Vec<u8> {
        self.characters.iter().map(|c| c.value).collect()
    }
}

/// The stages behind the squarer.
#[derive(Clone, Debug)]
struct Circuit {
    short: OneShot,
    long: OneShot,
    framer: Framer,
    settings: ShortSettings,
    short_trace: Edges,
    long_trace: Edges,
    characters: Vec<Character>,
    /// How many edges of the squarer's trace have been taken.
    taken: usize,
}

impl Circuit {
    fn new(bench: &Bench) -> Self {
        Self {
            short: OneShot::short(&bench.short),
            long: OneShot::long(&bench.long),
            framer: Framer::new(&bench.framer, OneShot::resting().starts_high()),
            settings: bench.short,
            short_trace: OneShot::resting(),
            long_trace: OneShot::resting(),
            characters: Vec::new(),
            taken: 0,
        }
    }

    /// Takes what is new in the squarer's trace, which is known up to `settled_s`.
    fn follow(&mut self, squared: &Edges, settled_s: f64) {
        let (short_from, long_from) = (self.short_trace.len(), self.long_trace.len());
        self.short
            .run(squared.run_from(self.taken), &mut self.short_trace);
        self.short.advance(settled_s, &mut self.short_trace);
        self.long
            .run(self.short_trace.run_from(short_from), &mut self.long_trace);
        self.long.advance(settled_s, &mut self.long_trace);
        let from = self.characters.len();
        self.framer
            .run(self.long_trace.run_from(long_from), &mut self.characters);
        self.framer.advance(settled_s, &mut self.characters);
        self.place(from, squared);
        self.taken = squared.len();
    }

    fn finish(mut self, squared: Arc<Edges>, end_s: f64) -> Traces {
        self.follow(&squared, end_s);
        let from = self.characters.len();
        self.framer.finish(end_s, &mut self.characters);
        self.place(from, &squared);
        let faulty = |(i, c): (usize, &Character)| c.faults.any().then_some(i);
        Traces {
            faulty: self
                .characters
                .iter()
                .enumerate()
                .filter_map(faulty)
                .collect(),
            false_starts_s: self.framer.take_false_starts_s(),
            squarer: squared,
            short: self.short_trace,
            long: self.long_trace,
            characters: self.characters,
            end_s,
        }
    }

    /// Finds where the new characters begin in the recording.
    fn place(&mut self, from: usize, squared: &Edges) {
        let mut finder = OriginFinder {
            settings: &self.settings,
            short: &self.short_trace,
            squared,
            near_short: 0,
            near_squared: 0,
        };
        for character in &mut self.characters[from..] {
            character.at_s = finder.find_s(character.line_start_s);
        }
    }
}

/// Finds the instant in the recording at which a space began that shows on the line only later.
/// Asked in the order of time, it searches on from where it was.
struct OriginFinder<'a> {
    settings: &'a ShortSettings,
    short: &'a Edges,
    squared: &'a Edges,
    near_short: usize,
    near_squared: usize,
}

impl OriginFinder<'_> {
    /// The line fell at `line_s` because the short one-shot timed out at or before it; the trigger
    /// that started this timing lies one width earlier. The space begins with that trigger, or,
    /// where the half cycle behind it is still one of mark, with the edge that ends it.
    fn find_s(&mut self, line_s: f64) -> f64 {
        let width_s = self.settings.width_s;
        let behind = self.short.count_until_near(self.near_short, line_s);
        self.near_short = behind;
        let Some(time_out) = (0..behind).rev().take(2).find(|&i| self.short.rises(i)) else {
            return line_s;
        };
        let trigger_s = self.short.times_s()[time_out] - width_s;
        // The release was computed by adding the width: take the edge itself.
        let nearest = self
            .squared
            .count_until_near(self.near_squared, trigger_s + width_s * 1e-6)
            .saturating_sub(1);
        self.near_squared = nearest;
        let edges = self.squared.times_s();
        match (edges.get(nearest), edges.get(nearest + 1)) {
            (Some(&start), Some(&next)) => {
                let half_cycle_limit_s = match self.settings.trigger {
                    Trigger::Both => width_s,
                    Trigger::Rising | Trigger::Falling => width_s / 2.0,
                };
                if next - start < half_cycle_limit_s {
                    next
                } else {
                    start
                }
            }
            (Some(&start), None) => start,
            _ => line_s,
        }
    }
}
