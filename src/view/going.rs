//! Going from one place to the next: characters, faults, blocks, margins, false starts,
//! differences.

use super::app::App;
use super::read_out::was_text;
use crate::picture::time_label;
use crate::signal::Traces;
use crate::study::Difference;
use crate::units;

impl App {
    /// The selected character, where it is in view.
    fn selected_in_view(&self) -> Option<usize> {
        let whole = self.session.whole();
        let c = self.selected_in(&whole)?;
        let seen = c.at_s <= self.span.to_s && c.line_end_s() >= self.span.from_s;
        self.selected().filter(|_| seen)
    }

    /// Where going begins: at the selected character; where none is in view, at what was gone to
    /// last, and where that is not in view either, in the middle.
    fn start_s(&self) -> f64 {
        let whole = self.session.whole();
        let selected = self.selected_in_view().map(|i| whole.characters[i].at_s);
        let stands = self.stands_at_s.filter(|t| self.span.contains(*t));
        selected.or(stands).unwrap_or(self.span.middle_s())
    }

    /// Why there is nothing to go to; none where characters have been read.
    fn nothing_read(&self) -> Option<&'static str> {
        if self.session.document().is_none() {
            Some("Nothing is open: open a recording first.")
        } else if !self.session.whole().characters.is_empty() {
            None
        } else if self.session.is_reading() {
            Some("The recording is still being read; try again in a moment.")
        } else {
            Some(
                "No characters were read, so there is none to go to: turn the knobs until the \
                 framer finds some.",
            )
        }
    }

    /// Says why there is nothing to go to, where that is so.
    fn says_nothing_read(&mut self) -> bool {
        let why = self.nothing_read();
        why.into_iter().for_each(|why| self.messages.done(why));
        why.is_some()
    }

    pub(super) fn step(&mut self, by: isize) {
        if self.says_nothing_read() {
            return;
        }
        let whole = self.session.whole();
        let all = &whole.characters;
        let next = match self.selected_in_view() {
            Some(at) => at.saturating_add_signed(by).min(all.len() - 1),
            None => {
                let start_s = self.start_s();
                all.partition_point(|c| c.at_s <= start_s).saturating_sub(1)
            }
        };
        self.select(next);
    }

    pub(super) fn go_fault(&mut self, forward: bool) {
        let whole = self.session.whole();
        if whole.faulty.is_empty() && !self.says_nothing_read() {
            let said = self.no_fault();
            self.messages.done(said);
        } else {
            self.go_among(&whole.faulty, "fault", forward);
        }
    }

    /// What was looked for and not found, and how far from it the characters were.
    fn no_fault(&self) -> String {
        let whole = self.session.whole();
        let least = next_weaker(margins(&whole), None);
        let least = least.map_or(String::new(), |(margin_percent, index)| {
            format!(
                "; the least margin is {} at {}",
                units::percent(margin_percent),
                self.time_of(whole.characters[index].at_s)
            )
        });
        format!(
            "No framing error, parity error or break in {}{least}.",
            units::counted(whole.characters.len(), "character")
        )
    }

    /// An instant as the lanes count it.
    fn time_of(&self, at_s: f64) -> String {
        let document = self.session.document();
        let begins_at_s = document.map_or(0.0, |d| d.recording.begins_at_s());
        time_label(at_s + begins_at_s, 1e-6)
    }

    pub(super) fn go_block(&mut self, forward: bool) {
        let layout = self.session.layout();
        let firsts: Vec<_> = layout.blocks.iter().map(|b| b.start).collect();
        self.go_among(&firsts, "block", forward);
    }

    /// Selects the next of some characters after (or before) where going begins.
    fn go_among(&mut self, indices: &[usize], what: &str, forward: bool) {
        if self.says_nothing_read() {
            return;
        }
        let whole = self.session.whole();
        let next = self.next_instant(indices, |&i| whole.characters[i].at_s, forward);
        match next.copied() {
            Some(index) => self.select(index),
            None => self.messages.done(no_further(what, indices.len(), forward)),
        }
    }

    /// Selects the character with the next greater margin than the selected one, or the next lesser
    /// one where `on` does not hold; where none without a fault is selected and in view, the one
    /// with the least margin of all.
    pub(super) fn go_weaker(&mut self, on: bool) {
        if self.says_nothing_read() {
            return;
        }
        let whole = self.session.whole();
        let all = &whole.characters;
        let sound = margins(&whole).count();
        if sound == 0 {
            let said =
                "Every character has a fault, and so no margin: F goes from one to the next.";
            return self.messages.done(said);
        }
        let at = self.selected_in_view().filter(|&i| !all[i].faults.any());
        let at = at.map(|i| (all[i].margin_percent, i));
        let next = match (at, on) {
            (None, _) => next_weaker(margins(&whole), None),
            (Some(at), true) => next_weaker(margins(&whole), Some(at)),
            (Some(at), false) => margins(&whole)
                .filter(|m| before(*m, at))
                .reduce(|a, b| if before(a, b) { b } else { a }),
        };
        let Some((margin_percent, index)) = next else {
            let end = if on { "greatest" } else { "least" };
            let said = format!(
                "This is the {end} margin of {} without a fault.",
                units::counted(sound, "character")
            );
            return self.messages.done(said);
        };
        let rank = margins(&whole).filter(|m| before(*m, (margin_percent, index)));
        let said = format!(
            "Margin {}, number {} from the least of {} without a fault.",
            units::percent(margin_percent),
            rank.count() + 1,
            units::counted(sound, "character")
        );
        self.select(index);
        self.messages.done(said);
    }

    pub(super) fn go_false_start(&mut self, forward: bool) {
        if self.session.document().is_none() {
            self.says_nothing_read();
            return;
        }
        let whole = self.session.whole();
        let all = &whole.false_starts_s;
        match self.next_instant(all, |t| *t, forward).copied() {
            Some(at_s) => {
                self.stand_at(at_s);
                let said = format!(
                    "False start at {}: the line had left space again in the middle of the start \
                     bit.",
                    self.time_of(at_s)
                );
                self.messages.done(said);
            }
            None => {
                let said = no_further("false start", all.len(), forward);
                self.messages.done(said);
            }
        }
    }

    pub(super) fn go_difference(&mut self, forward: bool) {
        let Some(held) = &self.held else {
            self.messages
                .done("Hold traces first (H), then turn a knob.");
            return;
        };
        let all = &held.comparison.differences;
        match self.next_instant(all, |d| d.at_s, forward).copied() {
            Some(Difference {
                at_s,
                before,
                after,
            }) => {
                let gone = before.filter(|_| after.is_none());
                let gone = gone.and_then(|i| held.traces.characters.get(i));
                let said = gone.map(|c| {
                    let at = self.time_of(at_s);
                    format!("At {at}: {}; now it is not there.", was_text(c))
                });
                self.stand_at(at_s);
                after.into_iter().for_each(|i| self.select(i));
                said.into_iter().for_each(|said| self.messages.done(said));
            }
            None => {
                let said = no_further("difference", all.len(), forward);
                self.messages.done(said);
            }
        }
    }

    /// Goes to an instant at which no character is selected.
    fn stand_at(&mut self, at_s: f64) {
        self.selected = None;
        self.stands_at_s = Some(at_s);
        self.go_to(self.span.moved(at_s - self.span.middle_s()));
    }

    /// The next of what is ordered by time, from where going begins.
    fn next_instant<'a, T>(
        &self,
        all: &'a [T],
        at_s: impl Fn(&T) -> f64,
        forward: bool,
    ) -> Option<&'a T> {
        let start_s = self.start_s();
        if forward {
            all.get(all.partition_point(|t| at_s(t) <= start_s))
        } else {
            let before = all.partition_point(|t| at_s(t) < start_s);
            all.get(before.checked_sub(1)?)
        }
    }
}

/// A margin in per cent of a bit, and the character that has it.
type Margin = (f64, usize);

/// The margins of the characters without faults: of one that has a fault it is not known which
/// transition belongs to which bit.
fn margins(whole: &Traces) -> impl Iterator<Item = Margin> {
    let sound = whole.characters.iter().enumerate();
    let sound = sound.filter(|(_, c)| !c.faults.any());
    sound.map(|(i, c)| (c.margin_percent, i))
}

/// Whether a margin comes first: it is less, or as great and earlier.
fn before(a: Margin, b: Margin) -> bool {
    a.0.total_cmp(&b.0).then(a.1.cmp(&b.1)).is_lt()
}

/// The least margin behind `at` in the order of margins; of all where there is none to be behind.
fn next_weaker(margins: impl Iterator<Item = Margin>, at: Option<Margin>) -> Option<Margin> {
    margins
        .filter(|m| at.is_none_or(|at| before(at, *m)))
        .reduce(|a, b| if before(b, a) { b } else { a })
}

/// What is said where there is none of so many things that way.
fn no_further(what: &str, count: usize, forward: bool) -> String {
    let side = if forward { "right" } else { "left" };
    match count {
        0 => format!("There is no {what} in this recording."),
        _ => format!("No further {what} to the {side}."),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn margins_are_gone_through_from_the_least_and_each_once() {
        let all = [9.0, 3.0, -1.0, 3.0, 9.0];
        let mut at = None;
        let mut order = Vec::new();
        while let Some(next) = next_weaker(all.into_iter().zip(0..), at) {
            order.push(next.1);
            at = Some(next);
        }
        assert_eq!(order, [2, 1, 3, 0, 4]);
    }
}
