//! What a change of the settings did to the characters.

use super::partner::{Partner, partner};
use crate::signal::{Character, Faults};

/// A margin counts as another one from this difference on, in per cent of a bit.
const MARGIN_PERCENT: f64 = 1.0;

/// One character that is not the same before and after.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Difference {
    /// When it begins in the recording, in seconds: after, where it is there.
    pub at_s: f64,
    /// Its index before, where it was there.
    pub before: Option<usize>,
    /// Its index after, where it is there.
    pub after: Option<usize>,
}

/// All differences, in the order of time, and what differs in how many characters. One character
/// may differ in more than one way.
#[derive(Clone, Debug, PartialEq, Default)]
pub struct Comparison {
    /// The characters that are not the same.
    pub differences: Vec<Difference>,
    /// Characters that are there before and after.
    pub both: usize,
    /// Those of them that have another value.
    pub other_value: usize,
    /// Those of them with a fault that they did not have before.
    pub fault_came: usize,
    /// Those of them that no longer have a fault that they had before.
    pub fault_went: usize,
    /// Those of them with the same value and no fault either time that have less margin.
    pub less_margin: usize,
    /// The same with more margin.
    pub more_margin: usize,
    /// Characters that are there only before.
    pub gone: usize,
    /// Characters that are there only after.
    pub new: usize,
}

/// Compares the characters of two readings of one recording. Characters belong together where
/// they begin within half a character of each other and neither has a nearer partner. Both lists
/// are in the order of time.
pub fn compare(before: &[Character], after: &[Character]) -> Comparison {
    let mut comparison = Comparison::default();
    let (mut i, mut j) = (0, 0);
    while i < before.len() || j < after.len() {
        let at_s = |all: &[Character], i: usize| all.get(i).map(|c| c.at_s);
        let half_s = before.get(i).map_or(0.0, |b| b.length_s() / 2.0);
        match partner(|n| at_s(before, i + n), |n| at_s(after, j + n), half_s) {
            Partner::Both => {
                if comparison.count(&before[i], &after[j]) {
                    comparison.add(after[j].at_s, Some(i), Some(j));
                }
                comparison.both += 1;
                (i, j) = (i + 1, j + 1);
            }
            Partner::First => {
                comparison.add(before[i].at_s, Some(i), None);
                comparison.gone += 1;
                i += 1;
            }
            Partner::Second => {
                comparison.add(after[j].at_s, None, Some(j));
                comparison.new += 1;
                j += 1;
            }
        }
    }
    comparison
}

/// Whether `all` has every fault that `some` has.
fn holds(all: Faults, some: Faults) -> bool {
    all.framing >= some.framing && all.parity >= some.parity && all.break_ >= some.break_
}

impl Comparison {
    /// What is different about the character that now has this index; nothing where it is as it
    /// was.
    pub fn of(&self, after: usize) -> Option<&Difference> {
        self.differences.iter().find(|d| d.after == Some(after))
    }

    /// Counts in what a character changed; gives whether it did.
    fn count(&mut self, before: &Character, after: &Character) -> bool {
        let other = before.value != after.value;
        let came = !holds(before.faults, after.faults);
        let went = !holds(after.faults, before.faults);
        // Of a character with a fault it is not known which transition belongs to which bit.
        let sound = !other && !before.faults.any() && !after.faults.any();
        let gain = after.margin_percent - before.margin_percent;
        let (less, more) = (
            sound && gain < -MARGIN_PERCENT,
            sound && gain > MARGIN_PERCENT,
        );
        self.other_value += usize::from(other);
        self.fault_came += usize::from(came);
        self.fault_went += usize::from(went);
        self.less_margin += usize::from(less);
        self.more_margin += usize::from(more);
        other || came || went || less || more
    }

    fn add(&mut self, at_s: f64, before: Option<usize>, after: Option<usize>) {
        self.differences.push(Difference {
            at_s,
            before,
            after,
        });
    }
}

#[cfg(test)]
mod tests {
    use super::super::made::character;
    use super::*;

    fn with(change: impl Fn(&mut Character)) -> Character {
        let mut one = character(1.0, 0x41);
        change(&mut one);
        one
    }

    fn framing(c: &mut Character) {
        c.faults.framing = true;
    }

    /// What is counted of a character and its partner: other value, fault that came, fault that
    /// went, less margin, more margin; and whether it is a difference.
    fn counted(before: Character, after: Character) -> ([usize; 5], bool) {
        let found = compare(&[before], &[after]);
        assert_eq!((found.both, found.gone, found.new), (1, 0, 0));
        let counts = [
            found.other_value,
            found.fault_came,
            found.fault_went,
            found.less_margin,
            found.more_margin,
        ];
        (counts, found.of(0).is_some())
    }

    #[test]
    fn values_faults_and_margins_are_counted_apart() {
        let plain = with(|_| {});
        let same = ([0; 5], false);
        assert_eq!(counted(plain, plain), same);
        assert_eq!(counted(plain, with(|c| c.margin_percent += 0.9)), same);
        // A little later, as another short one-shot makes it.
        assert_eq!(counted(plain, with(|c| c.at_s += 0.49)), same);
        for (before, after, counts) in [
            (plain, with(|c| c.margin_percent += 1.1), [0, 0, 0, 0, 1]),
            (plain, with(|c| c.margin_percent -= 1.1), [0, 0, 0, 1, 0]),
            (plain, with(|c| c.value = 0x40), [1, 0, 0, 0, 0]),
            (plain, with(framing), [0, 1, 0, 0, 0]),
            (with(framing), plain, [0, 0, 1, 0, 0]),
            (
                with(framing),
                with(|c| c.faults.parity = true),
                [0, 1, 1, 0, 0],
            ),
        ] {
            assert_eq!(counted(before, after), (counts, true));
        }
        // Another value with a fault; the margin of such a one is not known.
        let broken = with(|c| {
            framing(c);
            c.value = 0;
            c.margin_percent = 1.0;
        });
        assert_eq!(counted(plain, broken), ([1, 1, 0, 0, 0], true));
    }

    #[test]
    fn characters_that_are_new_or_gone_are_found_between_the_others() {
        let row = |times: &[f64]| -> Vec<_> { times.iter().map(|&t| character(t, 0x41)).collect() };
        let before = row(&[1.0, 2.0, 3.0, 7.0]);
        let after = row(&[0.2, 1.0, 3.1, 5.0, 7.0, 9.0]);
        let found = compare(&before, &after);
        let seen: Vec<_> = found
            .differences
            .iter()
            .map(|d| (d.at_s, d.before, d.after))
            .collect();
        let wanted = [
            (0.2, None, Some(0)),
            (2.0, Some(1), None),
            (5.0, None, Some(3)),
            (9.0, None, Some(5)),
        ];
        assert_eq!(seen, wanted);
        assert_eq!((found.gone, found.new, found.both), (1, 3, 3));
        assert_eq!(compare(&[], &[]), Comparison::default());
    }

    /// Both lie within half a character of the one at 1.0: the nearer is its partner.
    #[test]
    fn the_nearer_of_two_is_the_partner() {
        let one = [character(1.0, 0x41)];
        let two = [character(0.7, 0x42), character(1.1, 0x41)];
        let found = compare(&one, &two);
        assert_eq!((found.both, found.differences[0].after), (1, Some(0)));
        let found = compare(&two, &one);
        assert_eq!((found.both, found.differences[0].before), (1, Some(0)));
    }
}
