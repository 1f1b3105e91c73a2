//! Where in the recording a space begins that shows on the line only later.

use super::Edges;
use crate::settings::{Bench, Sense, Trigger};

/// How many edges behind a trigger of the last low cycle the first high one may begin: that cycle
/// has two halves.
const HALVES: usize = 2;

/// Goes back from an edge of the line to the edge of the recording it comes from. Asked in the
/// order of time, it searches on from where it was.
#[derive(Clone, Debug)]
pub(super) struct OriginFinder {
    sense: Sense,
    short_width_s: f64,
    long_width_s: f64,
    half_cycle_limit_s: f64,
    near_short: usize,
    near_squared: usize,
}

impl OriginFinder {
    /// A finder for a circuit with these settings.
    pub(super) fn new(bench: &Bench) -> Self {
        let width_s = bench.short.width_s;
        Self {
            sense: bench.framer.sense,
            short_width_s: width_s,
            long_width_s: bench.long.width_s,
            half_cycle_limit_s: match bench.short.trigger {
                Trigger::Both => width_s,
                Trigger::Rising | Trigger::Falling => width_s / 2.0,
            },
            near_short: 0,
            near_squared: 0,
        }
    }

    /// Where the space begins in the recording whose start bit begins on the line at `line_s`.
    pub(super) fn find_s(&mut self, line_s: f64, short: &Edges, squared: &Edges) -> f64 {
        let found_s = match self.sense {
            Sense::Normal => self.low_tone_s(line_s, short, squared),
            Sense::Inverted => self.high_tone_s(line_s - self.long_width_s, short, squared),
        };
        found_s.unwrap_or(line_s)
    }

    /// The line fell at `line_s` because the short one-shot timed out at or before it. The low
    /// tone begins with the trigger of this timing, or, where the half cycle behind it is still
    /// one of the high tone, with the edge that ends it.
    fn low_tone_s(&mut self, line_s: f64, short: &Edges, squared: &Edges) -> Option<f64> {
        let trigger = self.trigger(line_s, short, squared)?;
        let next = usize::from(self.is_half_of_high(trigger, squared));
        squared.times_s().get(trigger + next).copied()
    }

    /// The line rose one long width behind `triggered_s`, because the short one-shot timed out at
    /// or before it and not again. The low cycle that made it time out was the last one, and the
    /// high tone begins with the first edge in it or at its end that begins half a high cycle.
    fn high_tone_s(&mut self, triggered_s: f64, short: &Edges, squared: &Edges) -> Option<f64> {
        // The rise was computed by adding the width: take the time-out itself.
        let behind_s = triggered_s + self.long_width_s * 1e-6;
        let trigger = self.trigger(behind_s, short, squared)?;
        let high = (trigger + 1..=trigger + HALVES).find(|&i| self.is_half_of_high(i, squared));
        squared.times_s().get(high.unwrap_or(trigger + 1)).copied()
    }

    /// The squarer's edge that started the timing which ended last before `before_s`.
    fn trigger(&mut self, before_s: f64, short: &Edges, squared: &Edges) -> Option<usize> {
        let behind = short.count_until_near(self.near_short, before_s);
        self.near_short = behind;
        let time_out = (0..behind).rev().take(2).find(|&i| short.rises(i))?;
        let trigger_s = short.times_s()[time_out] - self.short_width_s;
        // The release was computed by adding the width: take the edge itself.
        let nearest = squared
            .count_until_near(self.near_squared, trigger_s + self.short_width_s * 1e-6)
            .saturating_sub(1);
        self.near_squared = nearest;
        Some(nearest)
    }

    /// Whether the half cycle behind an edge of the squarer is one of the high tone.
    fn is_half_of_high(&self, edge: usize, squared: &Edges) -> bool {
        let edges = squared.times_s();
        let next = edges.get(edge).zip(edges.get(edge + 1));
        next.is_some_and(|(from, to)| to - from < self.half_cycle_limit_s)
    }
}
