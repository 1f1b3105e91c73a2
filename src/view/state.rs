//! What can be read of the window from outside, for those who drive it without a display.

use super::App;
use crate::picture::{Marks, Span};
use crate::settings::Bench;
use crate::signal::Traces;
use std::sync::Arc;

impl App {
    /// The window, asking for typed paths as it does where the desktop has no file dialog.
    pub fn without_dialogs(mut self) -> Self {
        self.ask.typed_only = true;
        self
    }

    /// The present settings.
    pub fn bench(&self) -> &Bench {
        &self.session.bench
    }

    /// The stretch in view.
    pub fn span(&self) -> Span {
        self.span
    }

    /// The index of the selected character.
    pub fn selected(&self) -> Option<usize> {
        self.selected
    }

    /// The marks, A and B.
    pub fn marks(&self) -> Marks {
        self.marks
    }

    /// The traces of the whole recording as read last.
    pub fn whole(&self) -> Arc<Traces> {
        self.session.whole()
    }

    /// Whether nothing is being opened, read or written.
    pub fn is_at_rest(&self) -> bool {
        self.session.opening_percent().is_none()
            && !self.session.is_reading()
            && !self.keeper.is_busy()
    }
}
