//! What the window says under its cards: notices, which fade, and failures, which stay until they
//! are mended or dismissed.

use egui::Context;
use std::time::Duration;

/// How long a notice is shown, in seconds: long enough to read two lines.
const NOTICE_S: f64 = 6.0;

/// One thing said.
#[derive(Clone, Debug, PartialEq)]
pub(super) enum Message {
    /// A notice: something went well, or there is nothing to be done.
    Done(String),
    /// Something failed; it stays until it is mended or dismissed.
    Failed(String),
}

/// What has to come for a failure to be mended.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Mend {
    /// A setting that is taken.
    Setting,
    /// A recording that opens, or the rest of one.
    Opening,
    /// The reading of the recording with the present settings.
    Reading,
}

/// What is said at present, at most one thing.
#[derive(Clone, Debug, Default)]
pub(super) struct Messages {
    present: Option<Message>,
    /// When it was shown first, in seconds of the window's clock.
    since_s: Option<f64>,
    /// What mends it; nothing where only a hand can dismiss it.
    mend: Option<Mend>,
}

impl Messages {
    /// Says this in place of what was said before; nothing where it is none.
    pub fn put(&mut self, message: Option<Message>) {
        *self = Self {
            present: message,
            since_s: None,
            mend: None,
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

    /// Says what failed until this comes.
    pub fn failed_until(&mut self, mend: Mend, text: impl Into<String>) {
        self.failed(text);
        self.mend = Some(mend);
    }

    /// Takes away a failure that this mends.
    pub fn mended(&mut self, by: Mend) {
        if self.mend == Some(by) {
            self.put(None);
        }
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
