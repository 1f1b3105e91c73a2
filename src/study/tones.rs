//! The frequencies of the two tones.

use super::stretches::stretches;
use crate::signal::Edges;
use std::ops::Range;

/// What longer cycles than this many times the split are: pauses, no tone.
const PAUSE: f64 = 3.0;

/// The two tones in some edges of the squarer.
#[derive(Clone, Copy, Debug, PartialEq, Default)]
pub struct Tones {
    /// Frequency of mark in hertz; `None` where no cycle is one of mark.
    pub mark_hz: Option<f64>,
    /// Frequency of space in hertz; `None` where no cycle is one of space.
    pub space_hz: Option<f64>,
    /// Cycles of mark that were looked at.
    pub mark_cycles: usize,
    /// Cycles of space that were looked at.
    pub space_cycles: usize,
}

/// Measures the tones in a range of edges: the median length of the cycles, rising edge to rising
/// edge, up to `split_s` for mark and above it for space. Cycles over three times `split_s` are
/// pauses. Above [`super::MOST_EDGES`] edges, looks at stretches spread over the range.
///
/// With a short one-shot that triggers on one edge its width is the split; with both edges, twice
/// that.
pub fn tones(edges: &Edges, range: Range<usize>, split_s: f64) -> Tones {
    let (mut marks_s, mut spaces_s) = (Vec::new(), Vec::new());
    let range = range.start..range.end.min(edges.len());
    for stretch in stretches(range).1 {
        let from = stretch.start + usize::from(!edges.rises(stretch.start));
        let times_s = edges.times_s().get(from..stretch.end).unwrap_or(&[]);
        for cycle in times_s.windows(3).step_by(2) {
            let cycle_s = cycle[2] - cycle[0];
            if cycle_s <= split_s {
                marks_s.push(cycle_s);
            } else if cycle_s <= PAUSE * split_s {
                spaces_s.push(cycle_s);
            }
        }
    }
    Tones {
        mark_hz: median(&mut marks_s).map(f64::recip),
        space_hz: median(&mut spaces_s).map(f64::recip),
        mark_cycles: marks_s.len(),
        space_cycles: spaces_s.len(),
    }
}

/// The middle value; of an even count, the upper one of the two. Changes the order.
pub(super) fn median(values: &mut [f64]) -> Option<f64> {
    let middle = values.len() / 2;
    (!values.is_empty()).then(|| *values.select_nth_unstable_by(middle, f64::total_cmp).1)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A trace of whole cycles of these lengths.
    fn cycles(lengths_s: impl IntoIterator<Item = f64>) -> Edges {
        let mut edges = Edges::resting(false);
        let mut time_s = 0.0;
        edges.push(time_s);
        for length_s in lengths_s {
            edges.push(time_s + length_s / 3.0);
            time_s += length_s;
            edges.push(time_s);
        }
        edges
    }

    #[test]
    fn each_tone_is_the_median_of_its_cycles_and_pauses_are_left_out() {
        let some = cycles([0.4, 0.41, 0.39, 0.3, 0.8, 0.79, 0.9, 5.0, 0.4]);
        let found = tones(&some, 0..some.len(), 0.589);
        assert!((found.mark_hz.unwrap() - 1.0 / 0.4).abs() < 1e-9);
        assert!((found.space_hz.unwrap() - 1.0 / 0.8).abs() < 1e-9);
        assert_eq!((found.mark_cycles, found.space_cycles), (5, 3));
    }

    #[test]
    fn a_tone_that_is_not_there_has_no_frequency() {
        let some = cycles([0.4, 0.4]);
        let found = tones(&some, 0..99, 0.589);
        assert_eq!((found.space_hz, found.mark_cycles), (None, 2));
        // From a falling edge on.
        assert_eq!(tones(&some, 1..5, 0.589).mark_cycles, 1);
        assert_eq!(tones(&some, 2..3, 0.589), Tones::default());
        assert_eq!(tones(&some, 9..9, 0.589), Tones::default());
    }
}
