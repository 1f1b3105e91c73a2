//! What a lane holds in each column of a long view: how its measured values spread.
//!
//! Values are gathered by time: for a short view into its columns, for a whole recording into bins
//! of [`BIN_S`] and coarser ones above them, from which any view takes its columns at a cost that
//! does not grow with its length.

use super::{Lane, LaneSheet, Rect, Scene, Span};
use crate::settings::Bench;
use crate::signal::{Edges, Traces};
use crate::study::between_tones_s;

/// Length of the finest bins of a whole recording.
const BIN_S: f64 = 0.02;
/// Bins of one level in a bin of the next.
const FAN: usize = 4;
/// Bins in a column, at least, where there are bins that fine.
const PARTS: f64 = 8.0;
/// Edges that are gone through for one picture, at the most, where a summary is at hand.
const AT_ONCE: usize = 80_000;

/// A value that was measured between two instants.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Measured {
    /// When what was measured begins.
    pub from_s: f64,
    /// When it ends.
    pub to_s: f64,
    /// The value.
    pub value: f64,
    /// Its kind: a lane may hold two, each with a typical value of its own.
    pub kind: usize,
}

/// How the values spread that touch a column.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Spread {
    /// The least value.
    pub least: f32,
    /// The greatest value.
    pub most: f32,
    sums: [f32; 2],
    counts: [u32; 2],
}

impl Default for Spread {
    fn default() -> Self {
        Self {
            least: f32::INFINITY,
            most: f32::NEG_INFINITY,
            sums: [0.0; 2],
            counts: [0; 2],
        }
    }
}

impl Spread {
    fn add(&mut self, value: f64, kind: usize) {
        let value = value as f32;
        self.least = self.least.min(value);
        self.most = self.most.max(value);
        self.sums[kind] += value;
        self.counts[kind] += 1;
    }

    fn join(&mut self, other: &Self) {
        self.least = self.least.min(other.least);
        self.most = self.most.max(other.most);
        for kind in 0..2 {
            self.sums[kind] += other.sums[kind];
            self.counts[kind] += other.counts[kind];
        }
    }

    /// The mean of the values of a kind.
    pub fn typical(&self, kind: usize) -> Option<f32> {
        let count = self.counts[kind];
        (count > 0).then(|| self.sums[kind] / count as f32)
    }
}

/// Gives the values of a stretch, in the order of time, one after the other.
pub(super) type Measure = fn(&Traces, &Bench, Span, &mut dyn FnMut(Measured));

/// Lengths of the squarer's cycles, from rise to rise; those of mark are of kind 0, those of space
/// of kind 1.
pub(super) fn cycle_lengths(
    traces: &Traces,
    bench: &Bench,
    span: Span,
    each: &mut dyn FnMut(Measured),
) {
    let between_s = between_tones_s(&bench.tape);
    let edges = &traces.squarer;
    pulses(edges, true, 2, span, &mut |from_s, to_s| {
        let value = to_s - from_s;
        let kind = usize::from(value > between_s);
        each(Measured {
            from_s,
            to_s,
            value,
            kind,
        });
    });
}

/// Widths of the short one-shot's high pulses, from a time-out to the next trigger.
pub(super) fn high_widths(traces: &Traces, _: &Bench, span: Span, each: &mut dyn FnMut(Measured)) {
    pulses(&traces.short, true, 1, span, &mut |from_s, to_s| {
        each(Measured {
            from_s,
            to_s,
            value: to_s - from_s,
            kind: 0,
        });
    });
}

/// Goes through the stretches from each edge that rises, or falls, to the one `step` edges later.
fn pulses(edges: &Edges, rising: bool, step: usize, span: Span, each: &mut dyn FnMut(f64, f64)) {
    let first = edges.count_until(span.from_s).saturating_sub(step);
    let first = first + usize::from(edges.rises(first) != rising);
    let times_s = edges.times_s();
    for i in (first..).step_by(2) {
        match (times_s.get(i), times_s.get(i + step)) {
            (Some(&from_s), Some(&to_s)) if from_s <= span.to_s => each(from_s, to_s),
            _ => return,
        }
    }
}

/// How late the long one-shot's ends are, in per cent of a bit: how far from the nearest whole bit
/// of their character, counted from its start.
pub(super) fn lateness(traces: &Traces, _: &Bench, span: Span, each: &mut dyn FnMut(Measured)) {
    let (all, times_s) = (&traces.characters, traces.long.times_s());
    let from = all.partition_point(|c| c.line_end_s() < span.from_s);
    let mut next = all
        .get(from)
        .map_or(0, |c| traces.long.count_until(c.line_start_s));
    for c in &all[from..] {
        if c.line_start_s > span.to_s {
            return;
        }
        while let Some(&at_s) = times_s.get(next).filter(|t| **t <= c.line_end_s()) {
            if at_s > c.line_start_s && traces.long.rises(next) {
                let bits = (at_s - c.line_start_s) / c.instants.bit_s;
                each(Measured {
                    from_s: at_s,
                    to_s: at_s,
                    value: 100.0 * (bits - bits.round()),
                    kind: 0,
                });
            }
            next += 1;
        }
    }
}

/// The margins of the characters without a fault, in per cent of a bit.
pub(super) fn margins(traces: &Traces, _: &Bench, span: Span, each: &mut dyn FnMut(Measured)) {
    let all = &traces.characters;
    let from = all.partition_point(|c| c.line_end_s() < span.from_s);
    let shown = all[from..]
        .iter()
        .take_while(|c| c.line_start_s <= span.to_s);
    for c in shown.filter(|c| !c.faults.any()) {
        each(Measured {
            from_s: c.line_start_s,
            to_s: c.line_end_s(),
            value: c.margin_percent,
            kind: 0,
        });
    }
}

/// Gathers the values of a stretch into so many columns of equal length. What touches several is in
/// each of them.
fn gather(
    measure: Measure,
    traces: &Traces,
    bench: &Bench,
    span: Span,
    count: usize,
) -> Vec<Spread> {
    let mut columns = vec![Spread::default(); count];
    let per_s = count as f64 / span.length_s();
    measure(traces, bench, span, &mut |m| {
        let column = |at_s: f64| ((at_s - span.from_s) * per_s).floor();
        let (from, to) = (
            column(m.from_s).max(0.0),
            column(m.to_s).min(count as f64 - 1.0),
        );
        if from <= to {
            let touched = &mut columns[from as usize..=to as usize];
            touched.iter_mut().for_each(|c| c.add(m.value, m.kind));
        }
    });
    columns
}

/// How the values of every lane spread over a whole recording.
#[derive(Clone, Debug, Default)]
pub struct Summary {
    lanes: Vec<(Lane, Vec<Vec<Spread>>)>,
}

impl Summary {
    /// The summary of nothing.
    pub const EMPTY: &Self = &Self { lanes: Vec::new() };

    /// The summary of all lanes that have one.
    pub fn of(traces: &Traces, bench: &Bench) -> Self {
        let lanes = Lane::ALL.into_iter();
        let summed = lanes.filter_map(|lane| {
            let far = lane.row().far.as_ref()?;
            Some((lane, levels(far.measure, traces, bench)))
        });
        Self {
            lanes: summed.collect(),
        }
    }

    /// A lane's columns in a view.
    fn columns(&self, lane: Lane, span: Span, count: usize) -> Option<Vec<Spread>> {
        let levels = &self.lanes.iter().find(|l| l.0 == lane)?.1;
        let column_s = span.length_s() / count as f64;
        let (mut level, mut bin_s) = (0, BIN_S);
        while level + 1 < levels.len() && bin_s * FAN as f64 * PARTS <= column_s {
            (level, bin_s) = (level + 1, bin_s * FAN as f64);
        }
        let bins = &levels[level];
        let column = |i: usize| {
            let at = |i: usize| (span.from_s + i as f64 * column_s) / bin_s;
            let from = (at(i).floor().max(0.0) as usize).min(bins.len());
            let to = (at(i + 1).ceil().max(0.0) as usize).min(bins.len());
            let mut sum = Spread::default();
            bins[from..to.max(from)].iter().for_each(|b| sum.join(b));
            sum
        };
        Some((0..count).map(column).collect())
    }
}

/// A lane's bins over a whole recording, the finest first.
fn levels(measure: Measure, traces: &Traces, bench: &Bench) -> Vec<Vec<Spread>> {
    let count = (traces.end_s / BIN_S).ceil().max(1.0) as usize;
    let whole = Span::new(0.0, count as f64 * BIN_S);
    let mut levels = vec![gather(measure, traces, bench, whole, count)];
    while let Some(finest) = levels.last().filter(|l| l.len() > FAN) {
        let joined = finest.chunks(FAN).map(|bins| {
            let mut sum = Spread::default();
            bins.iter().for_each(|b| sum.join(b));
            sum
        });
        let joined = joined.collect();
        levels.push(joined);
    }
    levels
}

/// A lane's columns, where there is more in view than can be shown one by one. They are empty while
/// a summary that is needed is not at hand.
pub(super) fn columns(
    scene: &Scene<'_>,
    lane: Lane,
    area: Rect,
    sheet: &LaneSheet,
) -> Option<Vec<Spread>> {
    let far = lane.row().far.as_ref()?;
    let count = (area.w * sheet.density).floor().max(1.0) as usize;
    if !(far.begins)(scene.traces, sheet.span, area.w, count) {
        return None;
    }
    let inside = scene
        .traces
        .squarer
        .within(sheet.span.from_s, sheet.span.to_s);
    let summary = scene.summary.filter(|_| inside.len() > AT_ONCE);
    Some(match summary {
        Some(summary) => summary.columns(lane, sheet.span, count).unwrap_or_default(),
        None => gather(far.measure, scene.traces, scene.bench, sheet.span, count),
    })
}

/// Bins of the margin skyline of a whole recording.
const SKYLINE: usize = 4096;

/// The margins along a whole recording, in equal bins.
pub fn margin_skyline(traces: &Traces) -> Vec<Spread> {
    let whole = Span::new(0.0, traces.end_s.max(1e-3));
    gather(margins, traces, &Bench::default(), whole, SKYLINE)
}

/// So many columns of what lies in equal bins.
pub(super) fn resampled(bins: &[Spread], count: usize) -> impl Iterator<Item = Spread> + '_ {
    let at = move |i: usize| i as f64 * bins.len() as f64 / count as f64;
    (0..count).map(move |i| {
        let (from, to) = (at(i).floor() as usize, at(i + 1).ceil() as usize);
        let mut sum = Spread::default();
        bins[from..to.min(bins.len())]
            .iter()
            .for_each(|b| sum.join(b));
        sum
    })
}

/// Whether a view of a trace is long enough for a summary: as many edges as columns.
pub(super) fn is_crowded(edges: &Edges, span: Span, columns: usize) -> bool {
    edges.within(span.from_s, span.to_s).len() > columns
}

/// Whether a view needs a summary of the whole recording: it holds too much to go through it for
/// each picture.
pub fn needs_summary(traces: &Traces, span: Span) -> bool {
    traces.squarer.within(span.from_s, span.to_s).len() > AT_ONCE
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::signal::Chain;
    use crate::tape;

    /// A tape with some of each: leader, characters, wow and noise, and its bench.
    fn worn() -> (Traces, Bench) {
        let mut bench = Bench::default();
        bench.tape.leader_s = 0.5;
        bench.wear.white_noise_db = 12.0;
        let bytes: Vec<u8> = (0..=255).collect();
        let content = tape::Content::bytes(&bytes);
        let worn = tape::make(&content, &bench.tape, &bench.wear).recording;
        (Chain::read(&bench, &worn), bench)
    }

    /// The columns of a view, each by a search through everything.
    fn plain(all: &[(f64, f64, f64)], span: Span, count: usize) -> Vec<[f32; 2]> {
        let column_s = span.length_s() / count as f64;
        let column = |i: usize| {
            let from_s = span.from_s + i as f64 * column_s;
            let touching = all
                .iter()
                .filter(|v| v.0 < from_s + column_s && v.1 >= from_s);
            touching.fold([f32::INFINITY, f32::NEG_INFINITY], |[a, b], v| {
                [a.min(v.2 as f32), b.max(v.2 as f32)]
            })
        };
        (0..count).map(column).collect()
    }

    /// Everything that is measured on a lane, worked out here from the traces alone.
    fn everything(lane: Lane, traces: &Traces) -> Vec<(f64, f64, f64)> {
        let stretch = |edges: &Edges, step: usize| -> Vec<_> {
            let t = edges.times_s();
            let highs = (0..t.len().saturating_sub(step)).filter(|i| edges.rises(*i));
            highs
                .map(|i| (t[i], t[i + step], t[i + step] - t[i]))
                .collect()
        };
        match lane {
            Lane::Squarer => stretch(&traces.squarer, 2),
            Lane::Short => stretch(&traces.short, 1),
            Lane::Long => {
                let ends = traces.characters.iter().flat_map(|c| {
                    let t = traces.long.times_s().iter().enumerate();
                    t.filter(|(i, t)| {
                        traces.long.rises(*i) && **t > c.line_start_s && **t <= c.line_end_s()
                    })
                    .map(|(_, t)| {
                        let bits = (t - c.line_start_s) * 300.0;
                        (*t, *t, 100.0 * (bits - bits.round()))
                    })
                });
                ends.collect()
            }
            _ => {
                let sound = traces.characters.iter().filter(|c| !c.faults.any());
                sound
                    .map(|c| (c.line_start_s, c.line_end_s(), c.margin_percent))
                    .collect()
            }
        }
    }

    #[test]
    fn columns_hold_what_a_search_through_everything_finds() {
        let (traces, bench) = worn();
        for lane in [Lane::Squarer, Lane::Short, Lane::Long, Lane::Characters] {
            let measure = lane.row().far.as_ref().unwrap().measure;
            let all = everything(lane, &traces);
            assert!(all.len() > 100, "{lane:?}");
            for (from_s, length_s, count) in [(0.0, 11.0, 700), (2.345, 1.7, 333), (-1.0, 30.0, 50)]
            {
                let span = Span::new(from_s, length_s);
                let columns = gather(measure, &traces, &bench, span, count);
                let plain = plain(&all, span, count);
                for (i, (column, plain)) in columns.iter().zip(plain).enumerate() {
                    let apart = (column.least - plain[0])
                        .abs()
                        .max((column.most - plain[1]).abs());
                    let same = [column.least, column.most] == plain || apart < 1e-3;
                    assert!(same, "{lane:?} {i}: {column:?} {plain:?}");
                }
            }
        }
    }

    /// A column of a summary loses nothing and holds nothing from further than two bins.
    #[test]
    fn a_summary_is_as_coarse_as_a_bin() {
        let (traces, bench) = worn();
        let summary = Summary::of(&traces, &bench);
        for lane in [Lane::Squarer, Lane::Short, Lane::Long, Lane::Characters] {
            let all = everything(lane, &traces);
            for (length_s, count) in [(10.0, 100), (8.0, 16), (11.0, 3)] {
                let span = Span::new(0.4, length_s);
                let column_s = length_s / count as f64;
                let found = summary.columns(lane, span, count).unwrap();
                let wider = |by_s: f64| -> Vec<_> {
                    all.iter().map(|v| (v.0 - by_s, v.1 + by_s, v.2)).collect()
                };
                let least = plain(&all, span, count);
                let most = plain(&wider(2.0 * BIN_S.max(column_s / PARTS)), span, count);
                for i in 0..count {
                    let (f, l, m) = (found[i], least[i], most[i]);
                    assert!(
                        f.least <= l[0] + 1e-3 && f.most >= l[1] - 1e-3,
                        "{lane:?} {i}"
                    );
                    assert!(
                        f.least >= m[0] - 1e-3 && f.most <= m[1] + 1e-3,
                        "{lane:?} {i}"
                    );
                }
            }
        }
    }

    /// A clean tape has the cycles of its two tones, and nothing in between.
    #[test]
    fn the_typical_cycles_are_those_of_the_tones() {
        let bench = Bench::default();
        let recording = tape::record(&[0x55; 300], &bench.tape);
        let traces = Chain::read(&bench, &recording);
        let span = Span::new(7.0, 4.0);
        for column in gather(cycle_lengths, &traces, &bench, span, 20) {
            for (kind, hz) in [(0, 2400.0), (1, 1200.0)] {
                let typical = column.typical(kind).unwrap();
                assert!((typical * hz - 1.0).abs() < 0.03, "{typical}");
            }
        }
    }
}
