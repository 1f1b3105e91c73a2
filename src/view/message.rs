//! What the window says under its cards: notices, which fade, and failures, which stay.

use egui::Context;
use std::time::Duration;

/// How long a notice is shown, in seconds: long enough to read two lines.
const NOTICE_S: f64 = 6.0;

/// One thing said.
#[derive(Clone, Debug, PartialEq)]
pub(super) enum Message {
    /// A notice: something went well, or there is nothing to be done.
    Done(String),
    /// Something failed; it stays until it is dismissed.
    Failed(String),
}

/// What is said at present, at most one thing.
#[derive(Clone, Debug, Default)]
pub(super) struct Messages {
    present: Option<Message>,
    /// When it was shown first, in seconds of the window's clock.
    since_s: Option<f64>,
}

impl Messages {
    /// Says this in place of what was said before; nothing where it is none.
    pub fn put(&mut self, message: Option<Message>) {
        *self = Self {
            present: message,
            since_s: None,
        };
    }

    /// Says what went well or did not.
    pub fn say(&mut self, said: Result<String, String>) {
        self.put(Some(match said {
            Ok(text) => Message::Done(text),
            Err(text) => Message::Failed(text),
        }));
    }

    /// Says a notice.
    pub fn done(&mut self, text: impl Into<String>) {
        self.say(Ok(text.into()));
    }

    /// Says what failed.
    pub fn failed(&mut self, text: impl Into<String>) {
        self.say(Err(text.into()));
    }

    /// What is said.
    pub fn present(&self) -> Option<&Message> {
        self.present.as_ref()
    }

    /// Takes away a notice: something else is being done. A failure stays.
    pub fn pass(&mut self) {
        if matches!(self.present, Some(Message::Done(_))) {
            self.put(None);
        }
    }

    /// Takes away a notice that has been shown for long enough.
    pub fn fade(&mut self, ctx: &Context) {
        if !matches!(self.present, Some(Message::Done(_))) {
            return;
        }
        let now_s = ctx.input(|i| i.time);
        let left_s = NOTICE_S - (now_s - *self.since_s.get_or_insert(now_s));
        if left_s > 0.0 {
            ctx.request_repaint_after(Duration::from_secs_f64(left_s));
        } else {
            self.put(None);
        }
    }
}
