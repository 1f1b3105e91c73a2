//! A two-level trace as the instants at which it changes.

use super::partition_near;
use std::ops::Range;

/// A two-level trace: the level before the first edge, and the times of the edges in seconds,
/// strictly increasing. Levels alternate by construction.
#[derive(Clone, Debug, PartialEq, Default)]
pub struct Edges {
    starts_high: bool,
    times_s: Vec<f64>,
}

/// Some edges in a row: what one stage hands to the next.
#[derive(Clone, Copy, Debug)]
pub struct EdgeRun<'a> {
    /// Times in seconds, strictly increasing.
    pub times_s: &'a [f64],
    /// Whether the first of them rises.
    pub first_rises: bool,
}

impl Edges {
    /// A trace without edges that rests high or low.
    pub fn resting(high: bool) -> Self {
        Self {
            starts_high: high,
            times_s: Vec::new(),
        }
    }

    /// A trace without edges in the memory of this one.
    pub(super) fn emptied(mut self, high: bool) -> Self {
        self.times_s.clear();
        self.starts_high = high;
        self
    }

    /// Adds an edge at `time_s`, or just behind the last one where rounding put it at or before
    /// that.
    pub fn push(&mut self, time_s: f64) {
        let time_s = match self.times_s.last() {
            Some(&last) if time_s <= last => last.next_up(),
            _ => time_s,
        };
        self.times_s.push(time_s);
    }

    /// Forgets edges before `time_s` and gives how many: an even number, so that the level before
    /// the first one that is left is the same.
    pub fn forget_before(&mut self, time_s: f64) -> usize {
        let count = self.count_until(time_s) & !1;
        self.times_s.drain(..count);
        count
    }

    /// Adds edges that are known to lie behind the last one, in the order of time.
    pub(super) fn extend(&mut self, times_s: &[f64]) {
        self.times_s.extend_from_slice(times_s);
    }

    /// Number of edges.
    pub fn len(&self) -> usize {
        self.times_s.len()
    }

    /// Whether the level never changes.
    pub fn is_empty(&self) -> bool {
        self.times_s.is_empty()
    }

    /// The times of all edges in seconds.
    pub fn times_s(&self) -> &[f64] {
        &self.times_s
    }

    /// The level before the first edge.
    pub fn starts_high(&self) -> bool {
        self.starts_high
    }

    /// Whether edge `index` goes from low to high.
    pub fn rises(&self, index: usize) -> bool {
        self.starts_high ^ index.is_multiple_of(2)
    }

    /// The level at `time_s`; at an edge, the level behind it.
    pub fn level_at(&self, time_s: f64) -> bool {
        self.starts_high ^ !self.count_until(time_s).is_multiple_of(2)
    }

    /// How many edges lie at or before `time_s`: the index of the first one behind it.
    pub fn count_until(&self, time_s: f64) -> usize {
        self.times_s.partition_point(|&t| t <= time_s)
    }

    /// The same as [`Edges::count_until`], found faster where it is little from `near`.
    pub fn count_until_near(&self, near: usize, time_s: f64) -> usize {
        partition_near(&self.times_s, near, |&t| t <= time_s)
    }

    /// The edges with `from_s < time <= to_s`.
    pub fn within(&self, from_s: f64, to_s: f64) -> Range<usize> {
        let from = self.count_until(from_s);
        from..self.count_until(to_s).max(from)
    }

    /// The edges with `from_s < time <= to_s`, after the level at `from_s`.
    pub fn part(&self, from_s: f64, to_s: f64) -> Self {
        Self {
            starts_high: self.level_at(from_s),
            times_s: self.times_s[self.within(from_s, to_s)].to_vec(),
        }
    }

    /// The edges from index `from` on, for the next stage.
    pub fn run_from(&self, from: usize) -> EdgeRun<'_> {
        EdgeRun {
            times_s: &self.times_s[from..],
            first_rises: self.rises(from),
        }
    }

    /// The edges of a range of indices, for the next stage.
    pub fn run_of(&self, range: Range<usize>) -> EdgeRun<'_> {
        EdgeRun {
            first_rises: self.rises(range.start),
            times_s: &self.times_s[range],
        }
    }
}

/// Traces drawn as text, for tests: one character a step of time, `_` low and `-` high.
#[cfg(test)]
pub(crate) mod drawn {
    use super::Edges;

    /// The trace that `picture` draws with steps of `step_s`.
    pub fn edges(picture: &str, step_s: f64) -> Edges {
        let levels: Vec<bool> = picture.chars().map(|c| c == '-').collect();
        let mut edges = Edges::resting(levels[0]);
        for i in 1..levels.len() {
            if levels[i] != levels[i - 1] {
                edges.push(i as f64 * step_s);
            }
        }
        edges
    }

    /// Draws a trace, taking its level in the middle of each step.
    pub fn picture(edges: &Edges, step_s: f64, steps: usize) -> String {
        let level = |i: usize| edges.level_at((i as f64 + 0.5) * step_s);
        (0..steps)
            .map(|i| if level(i) { '-' } else { '_' })
            .collect()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_drawn_trace_reads_back() {
        let text = "__--_---__-";
        let edges = drawn::edges(text, 1.0);
        assert_eq!(edges.times_s(), [2.0, 4.0, 5.0, 8.0, 10.0]);
        assert_eq!(drawn::picture(&edges, 1.0, text.len()), text);
        assert_eq!(edges.within(2.0, 5.0), 1..3);
        assert_eq!(edges.within(5.0, 2.0), 3..3);
        assert!(edges.level_at(2.0) && !edges.level_at(1.999));
    }

    #[test]
    fn times_are_strictly_increasing_whatever_is_pushed() {
        let mut edges = Edges::resting(false);
        for t in [1.0, 1.0, 0.5, 1.0] {
            edges.push(t);
        }
        assert!(edges.times_s().windows(2).all(|w| w[0] < w[1]));
    }
}
