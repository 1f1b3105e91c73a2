//! What is measured of the stretch in view, on a thread of its own.

use crate::picture::{Lane, Span};
use crate::settings::{Bench, Trigger};
use crate::signal::{Recording, Traces};
use crate::study::{self, Lengths, Pulses, Spectrum, Tones};
use crate::worker::{Outbox, Worker};
use std::ops::Range;
use std::sync::Arc;

/// Bars of the histogram.
const BINS: usize = 240;

/// Measures of a stretch of time.
#[derive(Clone, Debug)]
pub struct Survey {
    /// Pulses of every lane that has two levels.
    pub pulses: Vec<(Lane, Pulses)>,
    /// The two tones.
    pub tones: Tones,
    /// How long half cycles and cycles are.
    pub lengths: Lengths,
    /// The spectrum of the source.
    pub spectrum: Option<Spectrum>,
}

impl Survey {
    /// The pulses of a lane.
    pub fn pulses(&self, lane: Lane) -> Option<&Pulses> {
        let mut all = self.pulses.iter();
        all.find(|p| p.0 == lane).map(|p| &p.1)
    }
}

/// What is to be measured.
struct Request {
    recording: Arc<Recording>,
    traces: Arc<Traces>,
    span: Span,
    limit_s: f64,
    between_s: f64,
}

/// Measures what is in view; the newest view wins.
pub struct Surveyor {
    worker: Worker<Request, Survey>,
    asked: Option<(Arc<Traces>, Span, Bench)>,
    newest: Option<Survey>,
}

impl Surveyor {
    /// Starts the thread.
    ///
    /// # Errors
    /// Where the system gives none.
    pub fn start(wake: impl Fn() + Send + 'static) -> std::io::Result<Self> {
        let work = |request: Request, outbox: &Outbox<'_, Survey>| outbox.send(survey(&request));
        Ok(Self {
            worker: Worker::start("survey", work, wake)?,
            asked: None,
            newest: None,
        })
    }

    /// The newest measures; asks for those of this view where they are others.
    pub fn look(
        &mut self,
        recording: &Arc<Recording>,
        traces: &Arc<Traces>,
        span: Span,
        bench: &Bench,
    ) -> Option<&Survey> {
        let same = self.asked.as_ref().is_some_and(|(t, s, b)| {
            Arc::ptr_eq(t, traces) && *s == span && (b.short, b.long) == (bench.short, bench.long)
        });
        if !same {
            self.asked = Some((Arc::clone(traces), span, *bench));
            self.worker.ask(Request {
                recording: Arc::clone(recording),
                traces: Arc::clone(traces),
                span,
                limit_s: limit_s(bench),
                between_s: study::between_tones_s(&bench.tape),
            });
        }
        if let Some(answer) = self.worker.newest() {
            self.newest = Some(answer);
        }
        self.newest.as_ref()
    }

    /// Whether something is being measured.
    pub fn is_busy(&self) -> bool {
        self.worker.is_busy()
    }

    /// Forgets what was measured: another recording is open.
    pub fn forget(&mut self) {
        self.asked = None;
        self.newest = None;
    }
}

/// The longest cycle that the histogram shows: both widths are to be seen in it.
pub fn limit_s(bench: &Bench) -> f64 {
    (bench.long.width_s.max(bench.short.width_s) * 1.2).max(1.2e-3)
}

/// The cycle length that parts mark from space: the short one-shot's width, which is that of a
/// half cycle where both edges trigger it.
pub fn split_s(bench: &Bench) -> f64 {
    match bench.short.trigger {
        Trigger::Both => 2.0 * bench.short.width_s,
        Trigger::Rising | Trigger::Falling => bench.short.width_s,
    }
}

fn survey(request: &Request) -> Survey {
    let Request {
        recording,
        traces,
        span,
        limit_s,
        between_s,
    } = request;
    let (from_s, to_s) = (span.from_s.max(0.0), span.to_s);
    let rate_hz = f64::from(recording.rate_hz());
    let index = |t: f64| ((t * rate_hz).max(0.0) as usize).min(recording.len());
    let inside: Range<usize> = traces.squarer.within(from_s, to_s);
    Survey {
        pulses: Lane::two_level()
            .filter_map(|lane| Some((lane, study::pulses(lane.edges(traces)?, from_s, to_s))))
            .collect(),
        tones: study::tones(&traces.squarer, inside.clone(), *between_s),
        lengths: study::lengths(&traces.squarer, inside, *limit_s, BINS),
        spectrum: study::spectrum(recording, index(from_s)..index(to_s)),
    }
}
