//! What a change of the settings did to the characters.

use super::partner::{Partner, partner};
use crate::signal::{Character, Faults};

/// A margin counts as another one from this difference on, in per cent of a bit.
const MARGIN_PERCENT: f64 = 1.0;

/// How a character changed.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Verdict {
    /// A fault is gone and none came, or the same value has more margin.
    Better,
    /// A fault came and none is gone, or the same value has less margin.
    Worse,
    /// Another value or another fault, or a character that is only in one of the two. Which of
    /// the two is right cannot be told.
    Changed,
}

/// One character that is not the same before and after.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Difference {
    /// When it begins in the recording, in seconds: after, where it is there.
    pub at_s: f64,
    /// Its index before, where it was there.
    pub before: Option<usize>,
    /// Its index after, where it is there.
    pub after: Option<usize>,
    /// How it changed.
    pub verdict: Verdict,
}

/// All differences, in the order of time, and how many there are of each kind.
#[derive(Clone, Debug, PartialEq, Default)]
pub struct Comparison {
    /// The characters that are not the same.
    pub differences: Vec<Difference>,
    /// How many of them are [`Verdict::Changed`].
    pub changed: usize,
    /// How many of them are [`Verdict::Better`].
    pub better: usize,
    /// How many of them are [`Verdict::Worse`].
    pub worse: usize,
    /// Characters that are the same.
    pub same: usize,
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
                let verdict = verdict(&before[i], &after[j]);
                comparison.add(after[j].at_s, Some(i), Some(j), verdict);
                (i, j) = (i + 1, j + 1);
            }
            Partner::First => {
                comparison.add(before[i].at_s, Some(i), None, Some(Verdict::Changed));
                i += 1;
            }
            Partner::Second => {
                comparison.add(after[j].at_s, None, Some(j), Some(Verdict::Changed));
                j += 1;
            }
        }
    }
    comparison
}

/// How a character changed; `None` where it did not.
fn verdict(before: &Character, after: &Character) -> Option<Verdict> {
    if before.faults != after.faults {
        return Some(match (before.faults, after.faults) {
            (b, a) if holds(b, a) => Verdict::Better,
            (b, a) if holds(a, b) => Verdict::Worse,
            _ => Verdict::Changed,
        });
    }
    if before.value != after.value {
        return Some(Verdict::Changed);
    }
    match after.margin_percent - before.margin_percent {
        gain if gain > MARGIN_PERCENT => Some(Verdict::Better),
        gain if gain < -MARGIN_PERCENT => Some(Verdict::Worse),
        _ => None,
    }
}

/// Whether `all` has every fault that `some` has.
fn holds(all: Faults, some: Faults) -> bool {
    all.framing >= some.framing && all.parity >= some.parity && all.break_ >= some.break_
}

impl Comparison {
    fn add(
        &mut self,
        at_s: f64,
        before: Option<usize>,
        after: Option<usize>,
        verdict: Option<Verdict>,
    ) {
        let Some(verdict) = verdict else {
            self.same += 1;
            return;
        };
        *match verdict {
            Verdict::Better => &mut self.better,
            Verdict::Worse => &mut self.worse,
            Verdict::Changed => &mut self.changed,
        } += 1;
        self.differences.push(Difference {
            at_s,
            before,
            after,
            verdict,
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

    #[test]
    fn each_kind_of_change_has_its_verdict() {
        let plain = with(|_| {});
        let judged = |b: Character, a: Character| {
            let found = compare(&[b], &[a]);
            assert_eq!(found.changed + found.better + found.worse + found.same, 1);
            found.differences.first().map(|d| d.verdict)
        };
        assert_eq!(judged(plain, plain), None);
        assert_eq!(judged(plain, with(|c| c.margin_percent += 0.9)), None);
        assert_eq!(
            judged(plain, with(|c| c.margin_percent += 1.1)),
            Some(Verdict::Better)
        );
        assert_eq!(
            judged(plain, with(|c| c.margin_percent -= 1.1)),
            Some(Verdict::Worse)
        );
        assert_eq!(
            judged(plain, with(|c| c.value = 0x40)),
            Some(Verdict::Changed)
        );
        assert_eq!(judged(plain, with(framing)), Some(Verdict::Worse));
        assert_eq!(judged(with(framing), plain), Some(Verdict::Better));
        let parity = with(|c| c.faults.parity = true);
        assert_eq!(judged(with(framing), parity), Some(Verdict::Changed));
        // A little later, as another short one-shot makes it.
        assert_eq!(judged(plain, with(|c| c.at_s += 0.49)), None);
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
        assert_eq!((found.changed, found.same), (4, 3));
        assert_eq!(compare(&[], &[]), Comparison::default());
    }

    /// Both lie within half a character of the one at 1.0: the nearer is its partner.
    #[test]
    fn the_nearer_of_two_is_the_partner() {
        let one = [character(1.0, 0x41)];
        let two = [character(0.7, 0x42), character(1.1, 0x41)];
        let found = compare(&one, &two);
        assert_eq!((found.same, found.differences[0].after), (1, Some(0)));
        let found = compare(&two, &one);
        assert_eq!((found.same, found.differences[0].before), (1, Some(0)));
    }
}
