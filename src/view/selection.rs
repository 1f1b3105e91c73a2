//! The selected characters, which stay where they are while a knob changes the characters.

use crate::picture::Chosen;
use crate::signal::Character;
use std::ops::Range;

/// A selected character, or the first of all that were found together.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Selection {
    /// Its index.
    pub index: usize,
    /// How many characters from it on are selected.
    count: usize,
    /// The instant at which it begins.
    at_s: f64,
    /// Half its length: how far away what is taken for it may begin.
    reach_s: f64,
}

impl Selection {
    /// The character of this index, where there is one.
    pub fn of(characters: &[Character], index: usize) -> Option<Self> {
        let c = characters.get(index)?;
        Some(Self {
            index,
            count: 1,
            at_s: c.at_s,
            reach_s: c.length_s() / 2.0,
        })
    }

    /// All characters of a range, where there are some.
    pub fn all_of(characters: &[Character], range: Range<usize>) -> Option<Self> {
        let count = range.end.min(characters.len()).checked_sub(range.start)?;
        let first = Self::of(characters, range.start)?;
        Some(Self { count, ..first })
    }

    /// What is to be marked.
    pub fn chosen(self) -> Chosen {
        Chosen {
            first: self.index,
            count: self.count,
        }
    }

    /// The same on a recording that begins `by_s` earlier.
    #[cfg(feature = "live")]
    pub fn moved(self, by_s: f64) -> Self {
        Self {
            at_s: self.at_s + by_s,
            ..self
        }
    }

    /// The character that now begins nearest to where this one did, within half its length, with
    /// as many after it as there were.
    pub fn among(self, characters: &[Character]) -> Option<Self> {
        let behind = characters.partition_point(|c| c.at_s < self.at_s);
        let away_s = |i: usize| (characters[i].at_s - self.at_s).abs();
        (behind.saturating_sub(1)..characters.len().min(behind + 1))
            .min_by(|&a, &b| away_s(a).total_cmp(&away_s(b)))
            .filter(|&i| away_s(i) <= self.reach_s)
            .and_then(|i| Self::all_of(characters, i..i + self.count))
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::settings::Bench;
    use crate::signal::Chain;
    use crate::tape;

    #[test]
    fn it_stays_where_it_is_whatever_its_index_becomes() {
        let bench = Bench::default();
        let all = Chain::read(&bench, &tape::record(b"TIDE", &bench.tape)).characters;
        let third = Selection::of(&all, 2).unwrap();
        assert_eq!(third.among(&all), Some(third));

        let without_first: Vec<_> = all[1..].to_vec();
        assert_eq!(third.among(&without_first).unwrap().index, 1);
        let bit_s = all[2].instants.bit_s;
        let moved = |bits: f64| {
            all.iter()
                .map(|c| c.moved(bits * bit_s))
                .collect::<Vec<_>>()
        };
        for bits in [3.0, -3.0] {
            assert_eq!(third.among(&moved(bits)).unwrap().index, 2, "{bits}");
        }

        let without_it: Vec<_> = [&all[..2], &all[3..]].concat();
        assert_eq!(third.among(&without_it), None);
        assert_eq!(third.among(&[]), None);
        assert_eq!(Selection::of(&all, 4), None);
    }
}
