//! A whole recording read on a thread.

use crate::picture::{Spread, margin_skyline};
use crate::settings::Bench;
use crate::signal::{Chain, Levels, Recording, Traces, least_margin_percent};
use crate::study::{self, Advice, Comparison, InMemory};
use crate::worker::Outbox;
use std::ops::Range;
use std::sync::Arc;

/// A whole recording as read with some settings.
#[derive(Clone, Debug)]
pub(super) struct Reading {
    pub recording: Arc<Recording>,
    pub bench: Bench,
    pub traces: Arc<Traces>,
    pub layout: Arc<Layout>,
    /// The traces that were held when this was asked for, and what differs from them.
    pub comparison: Option<(Arc<Traces>, Comparison)>,
}

/// A recording, the settings with which it is read, and what they make of it: what belongs
/// together, whatever happens to the window afterwards.
#[derive(Clone, Debug)]
pub struct Frozen {
    /// The recording.
    pub recording: Arc<Recording>,
    /// The settings.
    pub bench: Bench,
    /// What they make of it, where that is known already.
    pub read: Option<Arc<Traces>>,
}

impl Frozen {
    /// What the settings make of the recording; read here where that was not finished, which takes
    /// a while for a long recording.
    pub fn traces(&self) -> Arc<Traces> {
        let read_now = || Arc::new(Chain::read(&self.bench, &self.recording));
        self.read.clone().unwrap_or_else(read_now)
    }
}

/// Where on a recording what lies.
#[derive(Clone, Debug, Default)]
pub struct Layout {
    /// Blocks of characters, as ranges of their indices.
    pub blocks: Vec<Range<usize>>,
    /// Stretches of steady mark, from and to in seconds.
    pub leaders: Vec<(f64, f64)>,
    /// The least margin of the characters without faults, in per cent of a bit.
    pub least_margin_percent: Option<f64>,
    /// The margins along the recording.
    pub margins: Vec<Spread>,
}

/// How much was read, and of what.
#[derive(Clone, Copy, Debug, Default)]
pub struct Tally {
    /// Characters.
    pub characters: usize,
    /// Those of them with faults.
    pub faulty: usize,
    /// Blocks of characters.
    pub blocks: usize,
    /// The least margin of the characters without faults, in per cent of a bit.
    pub least_margin_percent: Option<f64>,
    /// Starts of characters that were none.
    pub false_starts: usize,
    /// Of what.
    pub of: Extent,
}

/// Of what something is counted.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Extent {
    /// The whole recording.
    #[default]
    Whole,
    /// The part of it that is open so far.
    Beginning,
    #[cfg_attr(not(feature = "live"), allow(dead_code))]
    /// All that was captured so far.
    Captured,
}

/// What is asked of the thread that reads.
pub(super) struct ReadRequest {
    pub recording: Arc<Recording>,
    pub bench: Bench,
    pub before: Option<Reading>,
    /// Traces to compare with.
    pub held: Option<Arc<Traces>>,
}

/// Reads a whole recording; works on the squarer's edges alone where those still hold, in the
/// memory of `spare` once nobody looks at it any more.
pub(super) fn read(
    request: ReadRequest,
    spare: &mut Option<Arc<Traces>>,
    outbox: &Outbox<'_, Reading>,
) {
    let ReadRequest {
        recording,
        bench,
        before,
        held,
    } = request;
    let same_edges = before.filter(|b| {
        Arc::ptr_eq(&b.recording, &recording)
            && (b.bench.input, b.bench.squarer) == (bench.input, bench.squarer)
    });
    let free = spare.take().and_then(Arc::into_inner).unwrap_or_default();
    let traces = match same_edges {
        Some(before) => {
            let traces = before.traces.rework_into(free, &bench);
            *spare = Some(before.traces);
            traces
        }
        None => {
            let mut chain = Chain::new(&bench, recording.rate_hz());
            let mut samples = recording.all();
            while let Some(piece) = samples.read() {
                if outbox.is_overtaken() {
                    return;
                }
                chain.push(piece);
            }
            chain.finish()
        }
    };
    let layout = Arc::new(layout(&traces, &bench));
    let comparison = held.map(|held| {
        let comparison = study::compare(&held.characters, &traces.characters);
        (held, comparison)
    });
    outbox.send(Reading {
        recording,
        bench,
        traces: Arc::new(traces),
        layout,
        comparison,
    });
}

/// What is asked of the thread that looks for better settings.
pub(super) struct AdviceRequest {
    pub reading: Reading,
    pub levels: Levels,
}

/// Changes that read a recording better, with the settings and traces from which they start.
pub(super) struct Advised {
    pub traces: Arc<Traces>,
    pub advice: Arc<[Advice]>,
}

/// Looks for settings that read the recording better.
pub(super) fn advise(request: &AdviceRequest, outbox: &Outbox<'_, Advised>) {
    let reading = &request.reading;
    let mut recording = InMemory {
        recording: &reading.recording,
        source: reading.bench.source,
        cancelled: &|| outbox.is_overtaken(),
    };
    let advice = study::advise(
        &mut recording,
        &reading.bench,
        &reading.traces,
        &request.levels,
    );
    outbox.send(Advised {
        traces: Arc::clone(&reading.traces),
        advice: advice.into(),
    });
}

/// Where what lies on a recording that has been read.
pub(super) fn layout(traces: &Traces, bench: &Bench) -> Layout {
    let all = &traces.characters;
    let tones = study::tones(
        &traces.squarer,
        0..traces.squarer.len(),
        study::between_tones_s(&bench.tape),
    );
    Layout {
        blocks: study::blocks(all),
        leaders: study::leaders(&traces.squarer, all, tones.split_s, traces.end_s),
        least_margin_percent: least_margin_percent(all),
        margins: margin_skyline(traces),
    }
}
