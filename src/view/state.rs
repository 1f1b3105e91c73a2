//! What can be read and set of the window from outside, for those who drive it without a display.

use super::App;
use crate::picture::{LaneChoice, Marks, Span};
use crate::settings::Bench;
use crate::signal::Traces;
use std::sync::Arc;

impl App {
    /// The window, asking for typed paths as it does where the desktop has no file dialog.
    pub fn without_dialogs(mut self) -> Self {
        self.ask.typed_only = true;
        self
    }

    /// Sets every knob, as opening a bench does.
    pub fn use_bench(&mut self, bench: Bench) {
        self.session.bench = bench;
    }

    /// Shows this stretch, as far as it lies on the recording.
    pub fn look_at(&mut self, span: Span) {
        self.go_to(span);
    }

    /// Whether a recording is open, or its beginning.
    pub fn is_open(&self) -> bool {
        self.session.document().is_some()
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
        self.selected.map(|s| s.index)
    }

    /// What is chosen of the lanes.
    pub fn lanes(&self) -> &LaneChoice {
        &self.preferences.lanes
    }

    /// The marks, A and B.
    pub fn marks(&self) -> Marks {
        self.marks
    }

    /// The traces of the whole recording as read last.
    pub fn whole(&self) -> Arc<Traces> {
        self.session.whole()
    }

    /// Whether no thread is at work: nothing is opened, read, written or measured.
    pub fn is_at_rest(&self) -> bool {
        let sound = cfg_select! {
            feature = "live" => { self.listener.is_busy() || self.player.is_busy() }
            _ => { false }
        };
        let makes = self.tape_desk.is_at_work();
        self.is_read()
            && !self.surveyor.is_busy()
            && !self.shaper.is_busy()
            && !self.summarizer.is_busy()
            && !sound
            && !makes
    }

    /// Whether nothing is being opened, read or written.
    pub fn is_read(&self) -> bool {
        self.session.opening_percent().is_none()
            && !self.session.is_reading()
            && !self.keeper.is_busy()
    }
}
