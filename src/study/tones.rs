//! The frequencies of the two tones.

use super::stretches::stretches;
use super::two_means::two_means;
use crate::settings::TapeSettings;
use crate::signal::Edges;
use std::ops::Range;

/// What longer cycles than this many times the split are: pauses, no tone.
const PAUSE: f64 = 3.0;
/// The two tones are told apart where their cycles differ by a factor in this range.
pub(super) const APART: Range<f64> = 1.4..3.0;
/// What differs from the median cycle by more than this factor belongs to neither tone.
const FAR: f64 = 4.0;
/// Cycles by which the tones are told apart, about, at the most.
const SAMPLED: usize = 4096;
/// Cycles shorter than this part of one of mark belong to no tone.
const SHORT: f64 = 0.6;
/// Cycles longer than this many of space belong to no tone.
const LONG: f64 = 1.25;
/// Cycles that make a tone, at the least.
const LEAST: usize = 3;
/// Cycles of a tone lie within this part of their median length ...
const NEAR: f64 = 0.15;
/// ... and at least this part of all cycles that are taken for it do.
const STEADY: f64 = 0.6;

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
    /// The cycle length between the two tones, in seconds.
    pub split_s: f64,
    /// Cycles too short for either tone.
    pub short_cycles: usize,
    /// Cycles longer than those of both tones, pauses left out.
    pub long_cycles: usize,
    /// Whether mark and space are tones: most of their cycles are of nearly one length.
    pub steady: [bool; 2],
}

impl Tones {
    /// The frequencies in hertz of the tones that are there, mark before space. Noise and clicks
    /// have cycles of all lengths, and a median that is no tone.
    pub fn heard_hz(&self) -> Vec<f64> {
        let both = [self.mark_hz, self.space_hz].into_iter().zip(self.steady);
        both.filter_map(|(hz, steady)| hz.filter(|_| steady))
            .collect()
    }
}

/// Measures the tones in a range of edges: the median length of the cycles of each, from rising
/// edge to rising edge. Mark and space are told apart by the lengths themselves; where there are
/// not two tones, `split_s` says which one it is: cycles up to that long are mark. Cycles over
/// three times the longest of mark are pauses. Above [`super::MOST_EDGES`] edges, looks at
/// stretches spread over the range.
pub fn tones(edges: &Edges, range: Range<usize>, split_s: f64) -> Tones {
    let mut lengths_s = Vec::new();
    let range = range.start..range.end.min(edges.len());
    for stretch in stretches(range).1 {
        let from = stretch.start + usize::from(!edges.rises(stretch.start));
        let times_s = edges.times_s().get(from..stretch.end).unwrap_or(&[]);
        let cycles = times_s.windows(3).step_by(2);
        lengths_s.extend(cycles.map(|cycle| cycle[2] - cycle[0]));
    }
    let split_s = parting_s(&lengths_s).unwrap_or(split_s);
    lengths_s.retain(|s| *s <= PAUSE * split_s);
    let (mut marks_s, mut spaces_s): (Vec<_>, Vec<_>) =
        lengths_s.into_iter().partition(|s| *s <= split_s);
    let (mark_s, space_s) = (median(&mut marks_s), median(&mut spaces_s));
    let limit_s = mark_s.unwrap_or(split_s) * SHORT;
    Tones {
        steady: [is_steady(&marks_s, mark_s), is_steady(&spaces_s, space_s)],
        long_cycles: space_s.map_or(0, |space_s| {
            spaces_s.iter().filter(|s| **s > space_s * LONG).count()
        }),
        short_cycles: marks_s.iter().filter(|s| **s < limit_s).count(),
        mark_hz: mark_s.map(f64::recip),
        space_hz: space_s.map(f64::recip),
        mark_cycles: marks_s.len(),
        space_cycles: spaces_s.len(),
        split_s: mark_s.zip(space_s).map_or(split_s, |(m, s)| (m * s).sqrt()),
    }
}

/// Whether so many of these cycles are nearly as long as their median that they are a tone.
fn is_steady(lengths_s: &[f64], median_s: Option<f64>) -> bool {
    let Some(median_s) = median_s else {
        return false;
    };
    let near = |s: &&f64| (**s - median_s).abs() <= NEAR * median_s;
    let near = lengths_s.iter().filter(near).count();
    near as f64 >= STEADY * lengths_s.len() as f64
}

/// The cycle length in the middle between mark and space of a tape as it is to be.
pub fn between_tones_s(tape: &TapeSettings) -> f64 {
    (tape.mark_hz * tape.space_hz).sqrt().recip()
}

/// A length in the middle between the longest cycle of mark and the shortest of space that were
/// sampled, where the lengths are those of two tones.
fn parting_s(lengths_s: &[f64]) -> Option<f64> {
    let mut some_s: Vec<f64> = lengths_s
        .iter()
        .copied()
        .step_by(lengths_s.len().div_ceil(SAMPLED).max(1))
        .collect();
    let middle_s = median(&mut some_s)?;
    // No tone: clicks and pauses.
    some_s.retain(|s| (middle_s / FAR..middle_s * FAR).contains(s));
    some_s.sort_by(f64::total_cmp);
    let (low, high) = some_s.split_at(two_means(&some_s)?);
    let apart = APART.contains(&(high[high.len() / 2] / low[low.len() / 2]));
    let enough = low.len().min(high.len()) >= LEAST;
    (apart && enough).then(|| (low[low.len() - 1] * high[0]).sqrt())
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

    /// Wherever the short one-shot's width may lie.
    #[test]
    fn two_tones_are_told_apart_by_their_own_lengths() {
        let some = cycles((0..4000).map(|i| if i % 40 < 37 { 0.417 } else { 0.833 }));
        for split_s in [0.01, 0.3, 0.42, 0.9, 7.0] {
            let found = tones(&some, 0..some.len(), split_s);
            assert_eq!((found.mark_cycles, found.space_cycles), (3700, 300));
            assert!((found.split_s - (0.417f64 * 0.833).sqrt()).abs() < 1e-9);
        }
    }

    /// Lengths spread evenly over a factor of eight are no tone, whatever their median is; the even
    /// spread is what a generator of random numbers gives, here the remainders of a multiplication.
    #[test]
    fn noise_is_no_tone() {
        let noise = (1..400u32).map(|i| 0.08 * (1.0 + 7.0 * f64::from(i * 193 % 401) / 401.0));
        let noise = cycles(noise);
        let heard = tones(&noise, 0..noise.len(), 0.9).heard_hz();
        assert!(heard.is_empty(), "{heard:?}");
        let tone = cycles((0..400).map(|i| if i % 5 == 0 { 0.1 } else { 0.417 }));
        let heard = tones(&tone, 0..tone.len(), 0.589).heard_hz();
        assert_eq!(heard.len(), 1);
        assert!((heard[0] - 1.0 / 0.417).abs() < 1e-9);
    }

    /// Cycles whose lengths take turns, as sampling makes them: one in eight is sampled, always the
    /// shortest.
    #[test]
    fn tones_are_told_apart_by_lengths_that_were_not_sampled_too() {
        let turn = |i: usize| 1.0 + 0.01 * (i % 8) as f64;
        let some = cycles((0..8 * SAMPLED).map(|i| turn(i) * if i % 48 < 40 { 0.4 } else { 0.8 }));
        let found = tones(&some, 0..some.len(), 0.589);
        assert!((found.mark_hz.unwrap() * 0.414 - 1.0).abs() < 0.02);
        assert!((found.space_hz.unwrap() * 0.828 - 1.0).abs() < 0.02);
    }

    #[test]
    fn a_few_clicks_are_no_tone() {
        let some = cycles([0.4, 0.4, 0.4, 0.25, 0.4, 0.4, 0.05, 0.4]);
        let found = tones(&some, 0..some.len(), 0.589);
        assert_eq!((found.space_hz, found.mark_cycles), (None, 8));
    }

    #[test]
    fn a_tone_that_is_not_there_has_no_frequency() {
        let some = cycles([0.4, 0.4]);
        let found = tones(&some, 0..99, 0.589);
        assert_eq!((found.space_hz, found.mark_cycles), (None, 2));
        // From a falling edge on.
        assert_eq!(tones(&some, 1..5, 0.589).mark_cycles, 1);
        let none = Tones {
            split_s: 0.589,
            ..Tones::default()
        };
        assert_eq!(tones(&some, 2..3, 0.589), none);
        assert_eq!(tones(&some, 9..9, 0.589), none);
    }
}
