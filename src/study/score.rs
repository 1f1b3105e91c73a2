//! How much of a tape was read right.

use super::align::align;
use super::partner::{Partner, partner};
use crate::signal::Character;
use crate::tape::TrueCharacter;

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
    /// When it begins in seconds: as it was read; as it was recorded where it is missing.
    pub at_s: f64,
    /// What was found.
    pub found: Found,
}

/// A reading held against the truth.
#[derive(Clone, Debug, PartialEq)]
pub struct Score {
    /// Characters that were read with the value recorded.
    pub right: usize,
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

/// Holds what was read against what was recorded, both in the order of time.
///
/// Characters belong together where they begin within half a character of each other and neither
/// has a nearer partner. Where that finds less than half of them right, they are paired by their
/// order instead, on the shortest way from the one row of bytes to the other, if that finds more.
pub fn score(truth: &[TrueCharacter], read: &[Character]) -> Score {
    let by_time = Score::of(Pairing::Time, truth, read, pairs_by_time(truth, read));
    if by_time.right * 2 >= truth.len() {
        return by_time;
    }
    let expected: Vec<u8> = truth.iter().map(|t| t.value).collect();
    let seen: Vec<u8> = read.iter().map(|c| c.value).collect();
    let by_order = align(&expected, &seen);
    let by_order = by_order.map(|pairs| Score::of(Pairing::Order, truth, read, pairs));
    match by_order {
        Some(score) if score.right > by_time.right => score,
        _ => by_time,
    }
}

fn pairs_by_time(
    truth: &[TrueCharacter],
    read: &[Character],
) -> Vec<(Option<usize>, Option<usize>)> {
    let (mut i, mut j) = (0, 0);
    let mut pairs = Vec::new();
    while i < truth.len() || j < read.len() {
        let half_s = read
            .get(j)
            .map_or(0.0, |c| (c.line_end_s() - c.line_start_s) / 2.0);
        let recorded_s = |n: usize| truth.get(i + n).map(|t| t.at_s);
        let read_s = |n: usize| read.get(j + n).map(|c| c.at_s);
        let pair = match partner(recorded_s, read_s, half_s) {
            Partner::Both => (Some(i), Some(j)),
            Partner::First => (Some(i), None),
            Partner::Second => (None, Some(j)),
        };
        i += usize::from(pair.0.is_some());
        j += usize::from(pair.1.is_some());
        pairs.push(pair);
    }
    pairs
}

impl Score {
    fn of(
        paired_by: Pairing,
        truth: &[TrueCharacter],
        read: &[Character],
        pairs: Vec<(Option<usize>, Option<usize>)>,
    ) -> Self {
        let mut score = Self {
            right: 0,
            misses: Vec::new(),
            paired_by,
        };
        for (i, j) in pairs {
            let (recorded, seen) = (i.map(|i| truth[i]), j.map(|j| &read[j]));
            let miss = match (recorded, seen) {
                (Some(t), Some(c)) if t.value == c.value => {
                    score.right += 1;
                    continue;
                }
                (Some(t), Some(c)) => Miss {
                    at_s: c.at_s,
                    found: Found::Wrong {
                        expected: t.value,
                        seen: c.value,
                    },
                },
                (Some(t), None) => Miss {
                    at_s: t.at_s,
                    found: Found::Missing { expected: t.value },
                },
                (None, Some(c)) => Miss {
                    at_s: c.at_s,
                    found: Found::Extra { seen: c.value },
                },
                (None, None) => continue,
            };
            score.misses.push(miss);
        }
        score
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

    fn counts(score: &Score) -> [usize; 4] {
        [score.right, score.wrong(), score.missing(), score.extra()]
    }

    #[test]
    fn characters_are_paired_by_time() {
        let score = score(&truth("salt mere"), &read("sa tXmerf", 0.3));
        assert_eq!(counts(&score), [6, 1, 1, 1]);
        assert_eq!(score.paired_by, Pairing::Time);
        let found: Vec<_> = score.misses.iter().map(|m| (m.at_s, m.found)).collect();
        let wanted = [
            (2.0, Found::Missing { expected: b'l' }),
            (4.3, Found::Extra { seen: b'X' }),
            (
                8.3,
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
            let score = score(&truth("saltmere"), &read("sltmXere", shift_s));
            assert_eq!(counts(&score), [7, 0, 1, 1], "{shift_s}");
            assert_eq!(score.paired_by, Pairing::Order);
        }
    }

    #[test]
    fn nothing_read_and_nothing_recorded() {
        assert!(score(&[], &[]).is_perfect());
        assert_eq!(counts(&score(&truth("ab"), &[])), [0, 0, 2, 0]);
        assert_eq!(counts(&score(&[], &read("ab", 0.0))), [0, 0, 0, 2]);
    }
}
