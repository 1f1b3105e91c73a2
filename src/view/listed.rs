//! The characters that are listed: those of the recording, or all that were captured while the
//! lanes show the last stretch of a capture.

use super::app::App;
use crate::picture::Span;
use crate::signal::Traces;
use std::ops::Range;
use std::sync::Arc;

impl App {
    /// All characters that were captured, while the lanes show the last stretch of a capture.
    pub(super) fn captured(&self) -> Option<&Arc<Traces>> {
        cfg_select! {
            feature = "live" => {
                let captured = self.session.is_stretch().then(|| self.listener.captured());
                captured.map(|c| &c.traces)
            }
            _ => { None }
        }
    }

    /// The characters to be listed, and how many of them lie before those of the lanes.
    pub(super) fn listed(&self) -> (Arc<Traces>, usize) {
        let document = self.session.document();
        match self.captured().zip(document) {
            Some((captured, document)) => {
                let from_s = document.recording.begins_at_s();
                let all = &captured.characters;
                let before = all.partition_point(|c| c.at_s < from_s);
                (Arc::clone(captured), before)
            }
            None => (self.session.whole(), 0),
        }
    }

    /// Selects listed characters; has the lanes stand still there where those have rolled on.
    pub(super) fn select_listed(&mut self, range: Range<usize>) {
        let (listed, before) = self.listed();
        match range.start.checked_sub(before) {
            Some(first) => self.select_all(first..range.end - before),
            None => {
                let middle_s = listed.characters[range.start].at_s;
                self.stand_still(self.span.moved(middle_s - self.span.middle_s()));
            }
        }
    }

    /// Shows this stretch of the capture: of its file, which the lanes stand still for.
    pub(super) fn stand_still(&mut self, span: Span) {
        #[cfg(feature = "live")]
        if self.listener.is_running() {
            let span = span.moved((-span.from_s).max(0.0));
            self.listener.freeze(span);
        }
        #[cfg(not(feature = "live"))]
        let _ = span;
    }
}
