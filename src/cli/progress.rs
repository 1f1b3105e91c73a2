//! A line of progress for a person who waits.

use super::output::Passing;
use std::time::{Duration, Instant};

/// Work that takes less than this shows no progress.
const PATIENCE: Duration = Duration::from_millis(500);

/// Progress of one piece of work, shown on standard error where that is a terminal, and wiped
/// away at the end.
pub(super) struct Progress {
    began: Instant,
    line: Passing,
    shown: Option<(String, u8)>,
}

impl Progress {
    /// Work begins.
    pub fn begin() -> Self {
        Self {
            began: Instant::now(),
            line: Passing::new(),
            shown: None,
        }
    }

    /// A part between 0 and 1 of `what` is done.
    pub fn show(&mut self, what: &str, part: f32) {
        let percent = (part.clamp(0.0, 1.0) * 100.0) as u8;
        if !self.line.is_watched() || self.began.elapsed() < PATIENCE {
            return;
        }
        if self
            .shown
            .as_ref()
            .is_some_and(|(w, p)| (w.as_str(), *p) == (what, percent))
        {
            return;
        }
        self.shown = Some((what.to_owned(), percent));
        self.line.show(&format!("{what} {percent:3} %"));
    }
}

impl Drop for Progress {
    fn drop(&mut self) {
        self.line.wipe();
    }
}
