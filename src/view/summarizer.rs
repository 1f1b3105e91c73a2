//! How the values of the lanes spread over a whole recording, for views too long to go through it
//! for every picture.

use crate::picture::{Span, Summary, needs_summary};
use crate::settings::Bench;
use crate::signal::Traces;
use crate::worker::Worker;
use std::sync::Arc;

/// Works the summary out once a view needs it; the newest traces win.
pub struct Summarizer {
    worker: Worker<(Arc<Traces>, Bench), (Arc<Traces>, Summary)>,
    asked: Option<Arc<Traces>>,
    newest: Option<(Arc<Traces>, Summary)>,
}

impl Summarizer {
    /// Starts the thread.
    ///
    /// # Errors
    /// Where the system gives none.
    pub fn start(wake: impl Fn() + Send + 'static) -> std::io::Result<Self> {
        let work = |(traces, bench): (Arc<Traces>, Bench),
                    outbox: &crate::worker::Outbox<'_, _>| {
            let summary = Summary::of(&traces, &bench);
            outbox.send((traces, summary));
        };
        Ok(Self {
            worker: Worker::start("summary", work, wake)?,
            asked: None,
            newest: None,
        })
    }

    /// Whether a summary is being worked out.
    pub fn is_busy(&self) -> bool {
        self.worker.is_busy()
    }

    /// The summary for a view of these traces; none where it needs none. Until that of new traces
    /// is there, the last one stands in; at first an empty one.
    pub fn look(&mut self, traces: &Arc<Traces>, bench: &Bench, span: Span) -> Option<&Summary> {
        if !needs_summary(traces, span) {
            return None;
        }
        if !self.asked.as_ref().is_some_and(|t| Arc::ptr_eq(t, traces)) {
            self.asked = Some(Arc::clone(traces));
            self.worker.ask((Arc::clone(traces), *bench));
        }
        let answer = self.worker.newest();
        // One to an older question may belong to another recording.
        if let Some(answer) = answer.filter(|a| Arc::ptr_eq(&a.0, traces)) {
            self.newest = Some(answer);
        }
        Some(self.newest.as_ref().map_or(Summary::EMPTY, |n| &n.1))
    }

    /// Forgets what was worked out: another recording is open.
    pub fn forget(&mut self) {
        self.asked = None;
        self.newest = None;
    }
}
