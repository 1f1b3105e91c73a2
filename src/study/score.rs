//! How much of a tape was read right.

use super::align::align;
use super::partner::{Partner, partner};
use crate::signal::Character;
use crate::tape::TrueCharacter;
use std::ops::Range;

/// How characters that were recorded and characters that were read were paired.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Pairing {
    /// By the time at which they begin.
    Time,
    /// By their order alone: the recording does not begin where the tape did, or runs at another
    /// speed.
    Order,
}

/// What was found in the place of one character.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Found {
    /// It was read with another value.
    Wrong {
        /// The value recorded.
        expected: u8,
        /// The value read.
        seen: u8,
    },
    /// It was not read.
    Missing {
        /// The value recorded.
        expected: u8,
    },
    /// It was read where none was recorded.
    Extra {
        /// The value read.
        seen: u8,
    },
}

/// A character that was not read right.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Miss {
    /// When it begins in seconds: as it was read. Where it is missing, as it was recorded or, where
    /// characters were paired by their order, when the next one that was read begins, or the last
    /// one; `None` where none was read.
    pub at_s: Option<f64>,
    /// What was found.
    pub found: Found,
}

/// A reading held against the truth.
#[derive(Clone, Debug, PartialEq)]
pub struct Score {
    /// Characters that were read with the value recorded.
    pub right: usize,
    /// How many of those have a fault.
    pub right_with_faults: usize,
    /// All others, in order.
    pub misses: Vec<Miss>,
    /// How the two were paired.
    pub paired_by: Pairing,
}

impl Score {
    /// Whether all that was recorded was read, and nothing else.
    pub fn is_perfect(&self) -> bool {
        self.misses.is_empty()
    }

    /// Characters that were recorded.
    pub fn recorded(&self) -> usize {
        self.right + self.wrong() + self.missing()
    }

    /// Characters read with another value.
    pub fn wrong(&self) -> usize {
        self.count(|f| matches!(f, Found::Wrong { .. }))
    }

    /// Characters that were not read.
    pub fn missing(&self) -> usize {
        self.count(|f| matches!(f, Found::Missing { .. }))
    }

    /// Characters read where none was recorded.
    pub fn extra(&self) -> usize {
        self.count(|f| matches!(f, Found::Extra { .. }))
    }

    fn count(&self, is: impl Fn(Found) -> bool) -> usize {
        self.misses.iter().filter(|m| is(m.found)).count()
    }
}

/// Holds what was read against what was recorded, both in the order of time, and counts what
/// begins in `stretch`, in seconds on the recording that was read.
///
/// Characters belong together where they begin within half a character of each other and neither
/// has a nearer partner. Where that finds less than half of them right, they are paired by their
/// order instead, on the shortest way from the one row of bytes to the other, if that finds more.
pub fn score(truth: &[TrueCharacter], read: &[Character], stretch: Range<f64>) -> Score {
    let by_time = pairs_by_time(truth, read);
    let right = |pairs: &[Pair]| pairs.iter().filter(|p| p.is_right()).count();
    let right_by_time = right(&by_time);
    if right_by_time * 2 < truth.len() {
        let expected: Vec<u8> = truth.iter().map(|t| t.value).collect();
        let by_order = pairs_by_order(&expected, read);
        if let Some(pairs) = by_order.filter(|pairs| right(pairs) > right_by_time) {
            return Score::of(Pairing::Order, &pairs, &stretch);
        }
    }
    Score::of(Pairing::Time, &by_time, &stretch)
}

/// Holds all that was read against bytes of which no times are known. `None` where they are so far
/// from each other that no way from the one to the other is found.
pub fn score_bytes(expected: &[u8], read: &[Character]) -> Option<Score> {
    let pairs = pairs_by_order(expected, read)?;
    let everywhere = f64::NEG_INFINITY..f64::INFINITY;
    Some(Score::of(Pairing::Order, &pairs, &everywhere))
}

/// A value that was recorded and a character that was read, or one of them.
struct Pair<'a> {
    recorded: Option<u8>,
    read: Option<&'a Character>,
    /// As [`Miss::at_s`].
    at_s: Option<f64>,
}

fn pairs_by_time<'a>(truth: &[TrueCharacter], read: &'a [Character]) -> Vec<Pair<'a>> {
    let (mut i, mut j) = (0, 0);
    let mut pairs = Vec::new();
    while i < truth.len() || j < read.len() {
        let half_s = read.get(j).map_or(0.0, |c| c.length_s() / 2.0);
        let recorded_s = |n: usize| truth.get(i + n).map(|t| t.at_s);
        let read_s = |n: usize| read.get(j + n).map(|c| c.at_s);
        let (recorded, seen) = match partner(recorded_s, read_s, half_s) {
            Partner::Both => (truth.get(i), read.get(j)),
            Partner::First => (truth.get(i), None),
            Partner::Second => (None, read.get(j)),
        };
        i += usize::from(recorded.is_some());
        j += usize::from(seen.is_some());
        pairs.push(Pair {
            recorded: recorded.map(|t| t.value),
            read: seen,
            at_s: seen.map(|c| c.at_s).or(recorded.map(|t| t.at_s)),
        });
    }
    pairs
}

fn pairs_by_order<'a>(expected: &[u8], read: &'a [Character]) -> Option<Vec<Pair<'a>>> {
    let seen: Vec<u8> = read.iter().map(|c| c.value).collect();
    let mut next = 0;
    let pair = |(i, j): (Option<usize>, Option<usize>)| {
        next = j.map_or(next, |j| j + 1);
        let near = read.get(j.unwrap_or(next));
        Pair {
            recorded: i.map(|i| expected[i]),
            read: j.map(|j| &read[j]),
            at_s: near.or(read.last()).map(|c| c.at_s),
        }
    };
    Some(align(expected, &seen)?.into_iter().map(pair).collect())
}

impl Pair<'_> {
    fn is_right(&self) -> bool {
        self.recorded.is_some() && self.recorded == self.read.map(|c| c.value)
    }

    /// What is not right.
    fn miss(&self) -> Option<Miss> {
        let found = match (self.recorded, self.read.map(|c| c.value)) {
            (Some(expected), Some(seen)) if expected != seen => Found::Wrong { expected, seen },
            (Some(expected), None) => Found::Missing { expected },
            (None, Some(seen)) => Found::Extra { seen },
            _ => return None,
        };
        let at_s = self.at_s;
        Some(Miss { at_s, found })
    }
}

impl Score {
    fn of(paired_by: Pairing, pairs: &[Pair<'_>], stretch: &Range<f64>) -> Self {
        let counts = |p: &&Pair<'_>| p.at_s.is_none_or(|at_s| stretch.contains(&at_s));
        let within = || pairs.iter().filter(counts);
        let right = || within().filter(|p| p.is_right());
        let has_fault = |p: &&Pair<'_>| p.read.is_some_and(|c| c.faults.any());
        Self {
            right: right().count(),
            right_with_faults: right().filter(has_fault).count(),
            misses: within().filter_map(Pair::miss).collect(),
            paired_by,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::super::made::character;
    use super::*;

    /// A character a second, of the letters; a space is none.
    fn truth(text: &str) -> Vec<TrueCharacter> {
        let letters = text.bytes().enumerate().filter(|(_, b)| *b != b' ');
        letters
            .map(|(i, value)| TrueCharacter {
                at_s: i as f64,
                value,
            })
            .collect()
    }

    fn read(text: &str, shift_s: f64) -> Vec<Character> {
        let truth = truth(text);
        let characters = truth.iter();
        characters
            .map(|t| character(t.at_s + shift_s, t.value))
            .collect()
    }

    const ALL: Range<f64> = f64::NEG_INFINITY..f64::INFINITY;

    fn counts(score: &Score) -> [usize; 4] {
        [score.right, score.wrong(), score.missing(), score.extra()]
    }

    #[test]
    fn characters_are_paired_by_time() {
        let score = score(&truth("salt mere"), &read("sa tXmerf", 0.3), ALL);
        assert_eq!(counts(&score), [6, 1, 1, 1]);
        assert_eq!(score.paired_by, Pairing::Time);
        let found: Vec<_> = score.misses.iter().map(|m| (m.at_s, m.found)).collect();
        let wanted = [
            (Some(2.0), Found::Missing { expected: b'l' }),
            (Some(4.3), Found::Extra { seen: b'X' }),
            (
                Some(8.3),
                Found::Wrong {
                    expected: b'e',
                    seen: b'f',
                },
            ),
        ];
        assert_eq!(found, wanted);
    }

    #[test]
    fn a_recording_that_begins_elsewhere_is_paired_by_order() {
        for shift_s in [-1.0, 2.0, 100.0, 0.8] {
            let score = score(&truth("saltmere"), &read("sltmXere", shift_s), ALL);
            assert_eq!(counts(&score), [7, 0, 1, 1], "{shift_s}");
            assert_eq!(score.paired_by, Pairing::Order);
        }
    }

    #[test]
    fn a_stretch_counts_what_begins_in_it() {
        let read = read("sa tXmerf", 0.3);
        for (stretch, wanted) in [
            (0.0..2.0, [2, 0, 0, 0]),
            (2.0..4.3, [1, 0, 1, 0]),
            (4.3..8.3, [3, 0, 0, 1]),
            (8.3..9.0, [0, 1, 0, 0]),
        ] {
            let score = score(&truth("salt mere"), &read, stretch.clone());
            assert_eq!(counts(&score), wanted, "{stretch:?}");
        }
    }

    #[test]
    fn bytes_without_times_are_paired_by_order() {
        let read = read("sltmXere", 5.0);
        let score = score_bytes(b"saltmere!", &read).unwrap();
        assert_eq!(counts(&score), [7, 0, 2, 1]);
        // Missing: before the one at 6 s, and after the last.
        let at_s: Vec<_> = score.misses.iter().map(|m| m.at_s.unwrap()).collect();
        assert_eq!(at_s, [6.0, 9.0, 12.0]);
        let nothing = score_bytes(b"a", &[]).unwrap();
        assert_eq!(nothing.misses[0].at_s, None);
        assert_eq!(score_bytes(&[0; 5000], &read), None);
    }

    #[test]
    fn right_characters_with_a_fault_are_counted() {
        let mut read = read("salt", 0.0);
        read[1].faults.framing = true;
        read[3].faults.parity = true;
        read[3].value = b'T';
        let score = score(&truth("salt"), &read, ALL);
        assert_eq!((score.right, score.right_with_faults), (3, 1));
    }

    #[test]
    fn nothing_read_and_nothing_recorded() {
        assert!(score(&[], &[], ALL).is_perfect());
        assert_eq!(counts(&score(&truth("ab"), &[], ALL)), [0, 0, 2, 0]);
        assert_eq!(counts(&score(&[], &read("ab", 0.0), ALL)), [0, 0, 0, 2]);
    }
}
