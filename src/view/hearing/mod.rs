//! What the window does with sound: rolling lanes, and what is to be looked at when they freeze.

use super::app::App;
use super::sound::{ListenHand, Rolled};
use crate::picture::Span;
use egui::Context;

impl App {
    /// Takes what listening and playing have brought.
    pub(super) fn take_sound(&mut self, ctx: &Context) {
        let bench = self.session.bench;
        for hand in self.listener.look(&bench, self.span.length_s()) {
            self.take_listen_hand(hand);
        }
        let theme = self.preferences.theme;
        self.listener.show(ctx, &bench, theme);
        if let Some(said) = self.player.show(ctx, theme) {
            self.messages.say(said);
        }
        self.preferences.input = self.listener.wanted().clone();
        self.preferences.output = self.player.wanted().clone();
        self.preferences.cautioned = self.player.cautioned;
    }

    /// Does what listening asks for.
    pub(super) fn take_listen_hand(&mut self, hand: ListenHand) {
        match hand {
            ListenHand::Roll(rolled) => {
                // A stretch that covers all there was is not the length that was wanted.
                if self.span.length_s() < 0.99 * self.end_s() {
                    self.roll_s = self.span.length_s();
                }
                self.move_with(&rolled);
                // Held traces would stay where they are while those that they lie behind move.
                self.held = None;
                self.look_at = None;
                let from_s = rolled.recording.begins_at_s();
                self.session.roll(*rolled);
                let layout = self.session.layout();
                self.listener.take_leaders(from_s, &layout.leaders);
                self.go_to(Span::new(self.end_s() - self.roll_s, self.roll_s));
            }
            ListenHand::Look(file, span) => {
                // One that has still to be shown stays wanted where the same file is opened anew.
                self.look_at = span.or(self.look_at);
                self.session.open(file);
            }
            ListenHand::Say(said) => self.messages.say(said),
        }
    }

    /// Keeps marks and selection on what they are on while that moves to the left.
    fn move_with(&mut self, rolled: &Rolled) {
        let before = self.session.document();
        let goes_on =
            before.filter(|d| d.path.as_os_str().is_empty() && d.about.name == rolled.name);
        let Some(before) = goes_on else {
            (self.selected, self.stands_at_s) = (None, None);
            self.marks = [None; 2];
            return;
        };
        let by_s = before.recording.begins_at_s() - rolled.recording.begins_at_s();
        self.marks = self.marks.map(|mark| mark.map(|at_s| at_s + by_s));
        self.stands_at_s = self.stands_at_s.map(|at_s| at_s + by_s);
        let moved = self.selected.map(|s| s.moved(by_s));
        self.selected = moved.and_then(|s| s.among(&rolled.characters));
    }
}

#[cfg(test)]
mod tests;
