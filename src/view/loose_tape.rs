//! A tape that was made in the window, is open as the recording, and lies in no file yet.

use super::app::App;
use super::closing::Closing;
use crate::tape::Tape;
use egui::{Context, Id, Modal};
use std::path::PathBuf;
use std::sync::Arc;

/// The tape, and what would lose it.
#[derive(Clone, Debug, Default)]
pub(super) struct LooseTape {
    tape: Option<Arc<Tape>>,
    /// The file that waits to be opened in its place.
    next: Option<PathBuf>,
}

/// What becomes of the tape.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Fate {
    /// It is to be saved before anything else is done.
    Save,
    /// It is not wanted any more.
    Lose,
    /// Nothing is to be done.
    Stay,
}

impl LooseTape {
    /// A tape that is now open and not saved.
    pub fn hold(&mut self, tape: Arc<Tape>) {
        *self = Self {
            tape: Some(tape),
            next: None,
        };
    }

    /// Whether there is one.
    pub fn is_there(&self) -> bool {
        self.tape.is_some()
    }

    /// A tape has been saved: this one, or one that was made alike.
    pub fn saved(&mut self, saved: &Arc<Tape>) {
        let alike = |tape: &Arc<Tape>| {
            Arc::ptr_eq(tape, saved) || tape.recording.kept() == saved.recording.kept()
        };
        if self.tape.as_ref().is_some_and(alike) {
            self.tape = None;
        }
    }
}

impl App {
    /// Opens a file, once it is said what becomes of a tape that is not saved.
    pub(super) fn open(&mut self, path: PathBuf) {
        if self.loose.is_there() {
            self.loose.next = Some(path);
        } else {
            self.messages.put(None);
            self.look_elsewhere();
            self.session.open(path);
        }
    }

    /// Asks about the tape while a file waits to be opened in its place.
    pub(super) fn mind_loose_tape(&mut self, ctx: &Context) {
        if self.loose.next.is_none() || self.closing != Closing::Open {
            return;
        }
        let Some(fate) = ask_fate(ctx, "Opening another recording", "Open without saving") else {
            return;
        };
        let next = self.loose.next.take();
        self.decide(fate, ctx);
        if let (Fate::Lose, Some(path)) = (fate, next) {
            self.open(path);
        }
    }

    /// Does with the tape what was decided.
    pub(super) fn decide(&mut self, fate: Fate, ctx: &Context) {
        match fate {
            Fate::Save => {
                if let Some(tape) = self.loose.tape.clone() {
                    self.ask_to_save(tape, ctx);
                }
            }
            Fate::Lose => self.loose.tape = None,
            Fate::Stay => {}
        }
    }
}

/// Asks what becomes of the tape; none as long as there is no answer.
pub(super) fn ask_fate(ctx: &Context, doing: &str, lose: &str) -> Option<Fate> {
    let modal = Modal::new(Id::unique("loose tape")).show(ctx, |ui| {
        ui.set_width(380.0);
        ui.heading("The made tape is not saved");
        ui.label(format!(
            "{doing} loses it. The tape maker keeps what it is set to."
        ));
        ui.add_space(6.0);
        ui.horizontal(|ui| {
            let choices = [
                ("Save it first…", Fate::Save),
                (lose, Fate::Lose),
                ("Stay", Fate::Stay),
            ];
            let chosen = choices.map(|(word, fate)| ui.button(word).clicked().then_some(fate));
            chosen.into_iter().flatten().next()
        })
        .inner
    });
    let closed = modal.should_close().then_some(Fate::Stay);
    modal.inner.or(closed)
}
