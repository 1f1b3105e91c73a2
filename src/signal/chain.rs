//! The stages joined: samples in, every stage's trace out.

use super::origin::OriginFinder;
use super::{Character, Edges, Framer, InputNetwork, OneShot, Recording, Squarer, faulty};
use crate::settings::Bench;
use std::sync::Arc;

/// Samples that go through the first stages at a time: small enough for the nearest cache.
const BLOCK: usize = 4096;

/// Edges that go through the stages behind the squarer at a time: small enough for the next one.
const EDGES: usize = 16384;
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
    /// Where the traces begin, in seconds: where the recording does, but for a [`Traces::part`].
    pub start_s: f64,
    /// Where they end, in seconds.
    pub end_s: f64,
}

/// What a chain gives up when it is drained: as in [`Traces`].
#[derive(Clone, Debug, PartialEq, Default)]
pub struct Drained {
    /// The characters since it was drained last.
    pub characters: Vec<Character>,
    /// The false starts since then.
    pub false_starts_s: Vec<f64>,
}

/// The whole chain as one streaming stage.
#[derive(Clone, Debug)]
pub struct Chain {
    /// None where it is a mere wire.
    network: Option<InputNetwork>,
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
            network: (!InputNetwork::is_wire(&bench.input))
                .then(|| InputNetwork::new(&bench.input, rate_hz)),
            squarer: Squarer::new(&bench.squarer, rate_hz),
            block: Vec::new(),
            circuit: Circuit::new(bench, Traces::default()),
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
        let mut samples = recording.all();
        while let Some(piece) = samples.read() {
            chain.push(piece);
        }
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
        let index = |time_s: f64| ((time_s * rate_hz).max(0.0) as usize).min(recording.len());
        let start = index(from_s - lead_s);
        let mut chain = Self::beginning_at(start as u64, bench, recording.rate_hz());
        // An edge before the end is found with the sample after it.
        let beyond = 2 + chain.network.as_ref().map_or(0, InputNetwork::reach);
        let end = index(to_s + beyond as f64 / rate_hz);
        chain.push(&recording.stretch(start..end.max(start)));
        chain.finish()
    }

    /// Feeds the next samples.
    pub fn push(&mut self, samples: &[f32]) {
        match &mut self.network {
            None => self.squarer.run(samples, &mut self.squared),
            Some(network) => {
                for block in samples.chunks(BLOCK) {
                    network.run(block, &mut self.block);
                    self.squarer.run(&self.block, &mut self.squared);
                }
            }
        }
        self.seen += samples.len() as u64;
        self.circuit.follow(&self.squared, self.squarer.settled_s());
    }

    /// The characters so far.
    pub fn characters(&self) -> &[Character] {
        &self.circuit.characters
    }

    /// Gives up the characters and false starts so far, and forgets what the stages did before `before_s`: a chain
    /// that is drained again and again stays small however long its input. What it makes of the
    /// rest is the same where `before_s` lies a few characters back.
    pub fn drain(&mut self, before_s: f64) -> Drained {
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
        Drained {
            characters: std::mem::take(&mut self.circuit.characters),
            false_starts_s: self.circuit.framer.take_false_starts_s(),
        }
    }

    /// Ends the recording and gives up the traces.
    pub fn finish(mut self) -> Traces {
        if let Some(network) = &mut self.network {
            network.finish(&mut self.block);
            self.squarer.run(&self.block, &mut self.squared);
        }
        let end_s = self.seen as f64 / self.rate_hz;
        self.circuit.finish(Arc::new(self.squared), end_s)
    }
}

impl Traces {
    /// The traces for other settings of the one-shots and the framer. Works on the squarer's
    /// edges alone: samples are not read again.
    pub fn rework(&self, bench: &Bench) -> Traces {
        self.rework_into(Traces::default(), bench)
    }

    /// The same in the memory of traces that are no longer needed: for a long recording, to be
    /// given fresh memory takes as long as the work itself.
    pub fn rework_into(&self, spare: Traces, bench: &Bench) -> Traces {
        Circuit::new(bench, spare).finish(Arc::clone(&self.squarer), self.end_s)
    }

    /// What lies from `from_s` on and before `to_s`: the characters that begin there in the
    /// recording, and the edges. Times stay as they are.
    pub fn part(&self, from_s: f64, to_s: f64) -> Traces {
        let within = |time_s: f64| (from_s..to_s).contains(&time_s);
        let begins_within = |c: &&Character| within(c.at_s);
        let characters: Vec<_> = self
            .characters
            .iter()
            .filter(begins_within)
            .copied()
            .collect();
        let false_starts_s = self.false_starts_s.iter().copied();
        Traces {
            squarer: Arc::new(self.squarer.part(from_s, to_s)),
            short: self.short.part(from_s, to_s),
            long: self.long.part(from_s, to_s),
            faulty: faulty(&characters),
            characters,
            false_starts_s: false_starts_s.filter(|&t| within(t)).collect(),
            start_s: from_s,
            end_s: to_s.min(self.end_s),
        }
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
    origins: OriginFinder,
    short_trace: Edges,
    long_trace: Edges,
    characters: Vec<Character>,
    /// How many edges of the squarer's trace have been taken.
    taken: usize,
}

impl Circuit {
    /// A circuit at rest, in the memory of `spare`.
    fn new(bench: &Bench, mut spare: Traces) -> Self {
        spare.characters.clear();
        let short_trace = OneShot::resting_in(spare.short);
        Self {
            short: OneShot::short(&bench.short),
            long: OneShot::long(&bench.long),
            framer: Framer::new(&bench.framer, short_trace.starts_high()),
            origins: OriginFinder::new(bench),
            short_trace,
            long_trace: OneShot::resting_in(spare.long),
            characters: spare.characters,
            taken: 0,
        }
    }

    /// Takes what is new in the squarer's trace, which is known up to `settled_s`.
    fn follow(&mut self, squared: &Edges, settled_s: f64) {
        while self.taken < squared.len() {
            let to = squared.len().min(self.taken + EDGES);
            self.pass(squared, to, squared.times_s()[to - 1]);
        }
        self.pass(squared, squared.len(), settled_s);
    }

    /// Takes the squarer's edges up to index `to`; the next one does not come before `settled_s`.
    fn pass(&mut self, squared: &Edges, to: usize, settled_s: f64) {
        let (short_from, long_from) = (self.short_trace.len(), self.long_trace.len());
        self.short
            .run(squared.run_of(self.taken..to), &mut self.short_trace);
        self.short.advance(settled_s, &mut self.short_trace);
        self.long
            .run(self.short_trace.run_from(short_from), &mut self.long_trace);
        self.long.advance(settled_s, &mut self.long_trace);
        let from = self.characters.len();
        self.framer
            .run(self.long_trace.run_from(long_from), &mut self.characters);
        self.framer.advance(settled_s, &mut self.characters);
        self.place(from, squared);
        self.taken = to;
    }

    fn finish(mut self, squared: Arc<Edges>, end_s: f64) -> Traces {
        self.follow(&squared, end_s);
        let from = self.characters.len();
        self.framer.finish(end_s, &mut self.characters);
        self.place(from, &squared);
        Traces {
            faulty: faulty(&self.characters),
            false_starts_s: self.framer.take_false_starts_s(),
            squarer: squared,
            short: self.short_trace,
            long: self.long_trace,
            characters: self.characters,
            start_s: 0.0,
            end_s,
        }
    }

    /// Finds where the new characters begin in the recording.
    fn place(&mut self, from: usize, squared: &Edges) {
        for character in &mut self.characters[from..] {
            character.at_s =
                self.origins
                    .find_s(character.line_start_s, &self.short_trace, squared);
        }
    }
}
