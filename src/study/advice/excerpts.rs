//! Stretches of the recording on which changes are tried before the whole is read.

use super::Reread;
use super::judge;
use crate::settings::{Bench, SourceSettings};
use crate::signal::{Chain, Character, Edges, Traces};
use std::ops::Range;

/// A recording up to this length is tried as a whole, in seconds.
const WHOLE_S: f64 = 15.0;
/// How many stretches there are otherwise, at the most.
const STRETCHES: usize = 6;
/// The length of a stretch, in seconds.
const LENGTH_S: f64 = 2.5;
/// What is read before a stretch counts, in seconds: the filters settle, and the framer finds the
/// characters.
const LEAD_S: f64 = 0.4;

/// Some stretches of a recording in memory.
pub(super) struct Excerpts {
    rate_hz: u32,
    /// Sample numbers of each stretch.
    spans: Vec<Range<u64>>,
    samples: Vec<Vec<f32>>,
    source: SourceSettings,
}

/// What a bench makes of the stretches.
pub(super) struct Tried {
    pub bench: Bench,
    /// Higher is better.
    pub value: f64,
    /// The least margin of the characters without a fault, in per cent of a bit; 0 without any.
    pub least_margin_percent: f64,
    traces: Vec<Traces>,
}

impl Excerpts {
    /// Chooses stretches where faults are, where characters are well, and spread over the rest,
    /// and takes their samples.
    pub fn take(recording: &mut dyn Reread, bench: &Bench, traces: &Traces) -> Option<Self> {
        let rate_hz = recording.rate_hz();
        let spans = spans(traces, rate_hz);
        let samples = recording.stretches(&bench.source, &spans)?;
        Some(Self {
            rate_hz,
            spans,
            samples,
            source: bench.source,
        })
    }

    /// The same stretches as other source settings give them.
    pub fn with_source(&self, recording: &mut dyn Reread, source: SourceSettings) -> Option<Self> {
        Some(Self {
            rate_hz: self.rate_hz,
            spans: self.spans.clone(),
            samples: recording.stretches(&source, &self.spans)?,
            source,
        })
    }

    /// The source settings that the samples have.
    pub fn source(&self) -> SourceSettings {
        self.source
    }

    /// Reads the stretches. Works on the squarer's edges alone where those of `base` hold.
    pub fn read(&self, bench: &Bench, base: Option<&Tried>) -> Tried {
        let before_one_shots = |b: &Bench| (b.source, b.input, b.squarer);
        let base = base.filter(|b| before_one_shots(&b.bench) == before_one_shots(bench));
        let read = |(i, samples): (usize, &Vec<f32>)| match base {
            Some(base) => base.traces[i].rework(bench),
            None => {
                let start = self.spans[i].start;
                let mut chain = Chain::beginning_at(start, bench, self.rate_hz);
                chain.push(samples);
                chain.finish()
            }
        };
        let traces: Vec<Traces> = self.samples.iter().enumerate().map(read).collect();
        let counted = || {
            traces
                .iter()
                .zip(&self.spans)
                .flat_map(|(t, s)| self.counted(t, s))
        };
        let false_starts = traces.iter().map(|t| t.false_starts_s.len()).sum();
        let value = judge::value(counted(), false_starts, &bench.framer);
        let least = crate::signal::least_margin_percent(counted());
        Tried {
            bench: *bench,
            value,
            least_margin_percent: least.unwrap_or(0.0),
            traces,
        }
    }

    /// The characters of a stretch that count: not those of its lead.
    fn counted<'a>(
        &self,
        traces: &'a Traces,
        span: &Range<u64>,
    ) -> impl Iterator<Item = &'a Character> + use<'a> {
        let from_s = match span.start {
            0 => 0.0,
            start => start as f64 / f64::from(self.rate_hz) + LEAD_S,
        };
        traces.characters.iter().filter(move |c| c.at_s >= from_s)
    }

    /// The squarer's edges in the stretch that has most of them.
    pub fn edges(tried: &Tried) -> Option<&Edges> {
        let all = tried.traces.iter().map(|t| t.squarer.as_ref());
        all.max_by_key(|edges| edges.len())
    }
}

/// The sample numbers of the stretches, in the order of time and apart from each other.
fn spans(traces: &Traces, rate_hz: u32) -> Vec<Range<u64>> {
    let rate = f64::from(rate_hz);
    let end_s = traces.end_s;
    if end_s <= WHOLE_S {
        return std::iter::once(0..(end_s * rate).round() as u64).collect();
    }
    let mut middles_s = middles_s(traces);
    middles_s.sort_by(f64::total_cmp);
    let mut spans: Vec<Range<u64>> = Vec::new();
    for middle_s in middles_s {
        let from_s = (middle_s - LENGTH_S / 2.0 - LEAD_S).clamp(0.0, end_s - LENGTH_S);
        let (from, to) = (
            from_s * rate,
            (from_s + LENGTH_S + LEAD_S).min(end_s) * rate,
        );
        let (from, to) = (from as u64, to as u64);
        match spans.last_mut() {
            Some(last) if last.end >= from => last.end = last.end.max(to),
            _ => spans.push(from..to),
        }
    }
    spans
}

fn middles_s(traces: &Traces) -> Vec<f64> {
    let all = &traces.characters;
    let (bad, good): (Vec<&Character>, Vec<&Character>) = all.iter().partition(|c| c.faults.any());
    let spread = |some: &[&Character], count: usize| -> Vec<f64> {
        let at = |i: usize| some.get((2 * i + 1) * some.len() / (2 * count));
        (0..count).filter_map(at).map(|c| c.at_s).collect()
    };
    let mut middles_s = spread(&bad, STRETCHES / 3);
    let weakest = good
        .iter()
        .min_by(|a, b| a.margin_percent.total_cmp(&b.margin_percent));
    middles_s.extend(weakest.map(|c| c.at_s));
    middles_s.extend(spread(&good, 1));
    let rest = STRETCHES - middles_s.len();
    middles_s.extend((0..rest).map(|i| traces.end_s * (i as f64 + 0.5) / rest as f64));
    middles_s
}
