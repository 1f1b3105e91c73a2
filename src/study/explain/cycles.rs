//! The cycles from which a character was made, and the two tones among them.

use super::super::tones::{APART, median};
use super::super::two_means::two_means;
use crate::settings::Trigger;
use crate::signal::Edges;

/// A cycle is one of a tone where its length differs by no more than this part; what lies between
/// the tones is a cycle that holds a change of tone.
const NEAR: f64 = 0.2;
/// Cycles that may be too long for a tone, as a dropout makes them.
const MOST_OUTLIERS: usize = 8;

/// Times in seconds from one trigger of the short one-shot to the next, the shortest first.
pub struct Cycles(Vec<f64>);

/// The cycles of one tone.
#[derive(Clone, Debug, PartialEq)]
pub struct Tone {
    /// Their lengths in seconds, the shortest first; never empty.
    lengths_s: Vec<f64>,
}

impl Cycles {
    /// The cycles that lie from `from_s` to `to_s`.
    pub fn of(squarer: &Edges, trigger: Trigger, from_s: f64, to_s: f64) -> Self {
        // One step back, so that an edge right at `from_s` counts.
        let range = squarer.within(from_s.next_down(), to_s);
        let triggers: Vec<f64> = range
            .filter(|&edge| match trigger {
                Trigger::Rising => squarer.rises(edge),
                Trigger::Falling => !squarer.rises(edge),
                Trigger::Both => true,
            })
            .map(|edge| squarer.times_s()[edge])
            .collect();
        let mut lengths_s: Vec<f64> = triggers.windows(2).map(|w| w[1] - w[0]).collect();
        lengths_s.sort_by(f64::total_cmp);
        Self(lengths_s)
    }

    /// All of them as one tone.
    pub fn all(&self) -> Option<Tone> {
        Tone::new(&self.0)
    }

    /// Mark and space; `None` where there are not two tones.
    pub fn tones(&self) -> Option<(Tone, Tone)> {
        let count = self.0.len();
        let tries = (count.saturating_sub(MOST_OUTLIERS)..=count).rev();
        tries.into_iter().find_map(|end| two_tones(&self.0[..end]))
    }
}

/// Parts sorted lengths into two groups, and takes the cycles near the middle of each.
fn two_tones(lengths_s: &[f64]) -> Option<(Tone, Tone)> {
    let (low, high) = lengths_s.split_at(two_means(lengths_s)?);
    let (mark, space) = (Tone::new(low)?, Tone::new(high)?);
    APART
        .contains(&(space.median_s() / mark.median_s()))
        .then_some((mark, space))
}

impl Tone {
    /// The cycles of a sorted group that are near its median.
    fn new(group: &[f64]) -> Option<Self> {
        let middle_s = median(&mut group.to_vec())?;
        let near = |s: &&f64| (*s / middle_s - 1.0).abs() <= NEAR;
        let lengths_s: Vec<f64> = group.iter().filter(near).copied().collect();
        (!lengths_s.is_empty()).then_some(Self { lengths_s })
    }

    /// How many cycles there are.
    pub fn count(&self) -> usize {
        self.lengths_s.len()
    }

    /// How many of them are longer than `width_s`.
    pub fn longer_than(&self, width_s: f64) -> usize {
        self.count() - self.lengths_s.partition_point(|&s| s <= width_s)
    }

    /// The middle length in seconds.
    pub fn median_s(&self) -> f64 {
        self.lengths_s[self.lengths_s.len() / 2]
    }

    /// The shortest in seconds.
    pub fn shortest_s(&self) -> f64 {
        self.lengths_s[0]
    }

    /// The longest in seconds.
    pub fn longest_s(&self) -> f64 {
        self.lengths_s[self.lengths_s.len() - 1]
    }
}

#[cfg(test)]
mod tests {
    use super::super::super::made::edges;
    use super::*;

    fn cycles(mut lengths_s: Vec<f64>) -> Cycles {
        lengths_s.sort_by(f64::total_cmp);
        Cycles(lengths_s)
    }

    #[test]
    fn cycles_run_from_trigger_to_trigger() {
        let squarer = edges(false, &[1.0, 1.5, 2.0, 3.0, 4.0, 9.0]);
        let of = |trigger| Cycles::of(&squarer, trigger, 1.0, 4.0).0;
        assert_eq!(of(Trigger::Rising), [1.0, 2.0]);
        assert_eq!(of(Trigger::Falling), [1.5]);
        assert_eq!(of(Trigger::Both), [0.5, 0.5, 1.0, 1.0]);
    }

    #[test]
    fn two_tones_are_told_apart_whatever_lies_between_and_beyond() {
        let mut some = vec![0.417; 60];
        some.extend([0.40, 0.43, 0.833, 0.82, 0.85, 0.833, 0.625, 12.0]);
        let (mark, space) = cycles(some).tones().unwrap();
        assert_eq!(
            (mark.count(), mark.shortest_s(), mark.longest_s()),
            (62, 0.40, 0.43)
        );
        assert_eq!((space.count(), space.median_s()), (4, 0.833));
        assert_eq!((space.longer_than(0.82), space.longer_than(1.0)), (3, 0));
    }

    #[test]
    fn one_tone_is_not_two() {
        assert_eq!(cycles(vec![0.40, 0.41, 0.42]).tones(), None);
        assert_eq!(cycles(vec![0.4; 5]).tones(), None);
        assert_eq!(cycles(vec![]).tones(), None);
        assert_eq!(cycles(vec![]).all(), None);
        assert_eq!(cycles(vec![0.4; 5]).all().unwrap().count(), 5);
    }
}
