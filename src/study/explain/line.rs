//! Measures a character on the line.

use crate::signal::{Character, Edges};

/// Transitions this far along, in bits squared and added up, tell the length of a bit.
const LEVERAGE: f64 = 9.0;

/// The line during a character.
pub struct Line<'a> {
    character: &'a Character,
    edges: &'a Edges,
    mark_is_high: bool,
}

/// The transition that lies nearest to a sampling instant of the character.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Nearest {
    /// Which instant, counted from 0.
    pub instant: usize,
    /// Distance in seconds.
    pub apart_s: f64,
    /// Whether the transition comes before the instant.
    pub before: bool,
    /// Whether it goes to mark.
    pub to_mark: bool,
}

/// Start-stop distortion: how far transitions lie from where they belong, counted from the start
/// edge in whole bits (the term: ITU-T R.140, from memory). Late is positive.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Distortion {
    /// Mean over the transitions to mark, in seconds.
    pub ends_s: Option<f64>,
    /// Mean over the transitions to space behind the start edge, in seconds.
    pub begins_s: Option<f64>,
    /// How much longer than the framer's a bit on the line is, as a part of it; 0 where that
    /// cannot be told or is less than the smallest worth telling. The means are free of it.
    pub bit_longer: f64,
}

impl<'a> Line<'a> {
    pub fn new(character: &'a Character, edges: &'a Edges, mark_is_high: bool) -> Self {
        Self {
            character,
            edges,
            mark_is_high,
        }
    }

    /// The level when instant `index` was sampled.
    pub fn is_mark(&self, index: usize) -> bool {
        let at_s = self.character.instants.at_s(index);
        self.edges.level_at(at_s) == self.mark_is_high
    }

    /// How long the line stays at space from the start edge on, in seconds; `None` where it does
    /// to the end.
    pub fn space_s(&self) -> Option<f64> {
        let start_s = self.character.line_start_s;
        let next = self.edges.count_until(start_s);
        self.edges.times_s().get(next).map(|end_s| end_s - start_s)
    }

    /// Where the least margin lies; `None` on a line without edges.
    pub fn nearest(&self) -> Option<Nearest> {
        let instants = self.character.instants;
        let of_instant = |instant: usize| {
            let at_s = instants.at_s(instant);
            let behind = self.edges.count_until(at_s);
            let candidates = [behind.checked_sub(1), Some(behind)];
            candidates.into_iter().flatten().filter_map(move |edge| {
                let time_s = self.edges.times_s().get(edge)?;
                Some(Nearest {
                    instant,
                    apart_s: (time_s - at_s).abs(),
                    before: *time_s <= at_s,
                    to_mark: self.edges.rises(edge) == self.mark_is_high,
                })
            })
        };
        let all = (0..instants.count()).flat_map(of_instant);
        all.min_by(|a, b| a.apart_s.total_cmp(&b.apart_s))
    }

    /// Measures the distortion. Transitions to mark belong to the boundary nearest to where they
    /// are expected, `expected_late_s` behind it; a bit that is longer by less than
    /// `least_longer` counts as right.
    pub fn distortion(&self, expected_late_s: f64, least_longer: f64) -> Distortion {
        let (start_s, bit_s) = (self.character.line_start_s, self.character.instants.bit_s);
        let (mut begins, mut ends) = (Vec::new(), Vec::new());
        for edge in self.edges.within(start_s, self.character.line_end_s()) {
            let from_start_s = self.edges.times_s()[edge] - start_s;
            let to_mark = self.edges.rises(edge) == self.mark_is_high;
            let (list, late_s) = if to_mark {
                (&mut ends, expected_late_s)
            } else {
                (&mut begins, 0.0)
            };
            let bits = ((from_start_s - late_s) / bit_s).round();
            list.push((bits, from_start_s - bits * bit_s));
        }
        // Straight line through the start edge, least squares.
        let squares: f64 = begins.iter().map(|(bits, _)| bits * bits).sum();
        let products: f64 = begins.iter().map(|(bits, late_s)| bits * late_s).sum();
        let slope = products / squares / bit_s;
        let told = squares >= LEVERAGE && slope.abs() >= least_longer;
        let bit_longer = if told { slope } else { 0.0 };
        let mean = |list: &[(f64, f64)]| {
            let free = list
                .iter()
                .map(|(bits, late_s)| late_s - bits * bit_longer * bit_s);
            (!list.is_empty()).then(|| free.sum::<f64>() / list.len() as f64)
        };
        Distortion {
            ends_s: mean(&ends),
            begins_s: mean(&begins),
            bit_longer,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::super::super::made::{character, edges};
    use super::*;

    /// Start at 0 s, bits of 0.1 s, every transition to mark 0.02 s late; a bit on this line lasts
    /// `bit_s`.
    fn line(bit_s: f64) -> Edges {
        let at = [0.0, 1.0, 2.0, 5.0, 7.0, 8.0].map(|bits| bits * bit_s);
        let late: Vec<_> = (0..6).map(|i| at[i] + 0.02 * (i % 2) as f64).collect();
        edges(true, &late)
    }

    #[test]
    fn late_ends_are_measured_and_the_nearest_transition_is_named() {
        let (character, edges) = (character(0.0, 0x41), line(0.1));
        let line = Line::new(&character, &edges, true);
        let found = line.distortion(0.0, 0.01);
        assert!((found.ends_s.unwrap() - 0.02).abs() < 1e-12);
        assert!(found.begins_s.unwrap().abs() < 1e-12 && found.bit_longer == 0.0);
        let nearest = line.nearest().unwrap();
        assert_eq!(
            (nearest.instant, nearest.before, nearest.to_mark),
            (1, true, true)
        );
        assert!((nearest.apart_s - 0.03).abs() < 1e-12);
        assert!((line.space_s().unwrap() - 0.12).abs() < 1e-12);
        assert!(!line.is_mark(0) && line.is_mark(1));
    }

    #[test]
    fn a_slow_tape_is_told_from_late_ends() {
        let (character, edges) = (character(0.0, 0x41), line(0.103));
        let found = Line::new(&character, &edges, true).distortion(0.0, 0.01);
        assert!((found.bit_longer - 0.03).abs() < 1e-9);
        assert!((found.ends_s.unwrap() - 0.02).abs() < 1e-9);
        assert!(found.begins_s.unwrap().abs() < 1e-9);
    }

    /// Late by over half a bit, an end lies nearer to the next boundary than to its own.
    #[test]
    fn an_end_that_is_very_late_is_counted_from_its_own_bit() {
        let (character, edges) = (character(0.0, 0), edges(true, &[0.0, 0.37]));
        let late_s = |expected_s| {
            let line = Line::new(&character, &edges, true);
            line.distortion(expected_s, 0.01).ends_s.unwrap()
        };
        assert!((late_s(0.0) + 0.03).abs() < 1e-12);
        assert!((late_s(0.07) - 0.07).abs() < 1e-12);
    }

    #[test]
    fn an_inverted_line_and_one_without_edges() {
        let character = character(0.0, 0);
        let inverted = edges(false, &[0.0, 0.11]);
        let found = Line::new(&character, &inverted, false).distortion(0.0, 0.01);
        assert!((found.ends_s.unwrap() - 0.01).abs() < 1e-12);
        let none = Edges::resting(false);
        let line = Line::new(&character, &none, true);
        assert_eq!((line.nearest(), line.space_s()), (None, None));
        assert_eq!(line.distortion(0.0, 0.01).ends_s, None);
    }
}
