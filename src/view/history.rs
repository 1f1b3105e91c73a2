//! Undo and redo of every change of a setting.

use crate::settings::Bench;

/// Benches that can be gone back to, at the most.
const DEPTH: usize = 500;

/// The benches before and behind the present one.
#[derive(Clone, Debug)]
pub struct History {
    present: Bench,
    past: Vec<Bench>,
    future: Vec<Bench>,
}

impl History {
    /// A history that begins with this bench.
    pub fn new(present: Bench) -> Self {
        Self {
            present,
            past: Vec::new(),
            future: Vec::new(),
        }
    }

    /// Takes a change as one step. What a hand does between pressing and letting go is one
    /// change, so this waits while `held`.
    pub fn note(&mut self, bench: &Bench, held: bool) {
        if held || *bench == self.present {
            return;
        }
        self.past.push(self.present);
        if self.past.len() > DEPTH {
            self.past.remove(0);
        }
        self.future.clear();
        self.present = *bench;
    }

    /// The bench one step back.
    pub fn undo(&mut self) -> Option<Bench> {
        let before = self.past.pop()?;
        self.future.push(self.present);
        self.present = before;
        Some(before)
    }

    /// The bench one step on.
    pub fn redo(&mut self) -> Option<Bench> {
        let after = self.future.pop()?;
        self.past.push(self.present);
        self.present = after;
        Some(after)
    }

    /// Whether there is a step back, and a step on.
    pub fn can(&self) -> (bool, bool) {
        (!self.past.is_empty(), !self.future.is_empty())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_change_can_be_taken_back_and_a_drag_is_one_change() {
        let bench = |width_s: f64| {
            let mut b = Bench::default();
            b.short.width_s = width_s;
            b
        };
        let mut history = History::new(bench(1.0));
        for (width, held) in [(2.0, true), (3.0, true), (4.0, false), (5.0, false)] {
            history.note(&bench(width), held);
        }
        assert_eq!(history.undo(), Some(bench(4.0)));
        assert_eq!(history.undo(), Some(bench(1.0)));
        assert_eq!(history.undo(), None);
        assert_eq!(history.redo(), Some(bench(4.0)));
        history.note(&bench(9.0), false);
        assert_eq!(history.redo(), None);
        assert_eq!(history.can(), (true, false));
    }
}
