//! What is open: a recording, the settings, and what the stages make of it.
//!
//! The window never waits. Files are opened and recordings read on threads; while a reading for
//! new settings is under way, the part on the screen is worked out at once ([`Session::traces`]).

use super::opening::{Document, OpenAnswer, OpenRequest, open};
use super::reading::{
    AdviceRequest, Advised, Extent, Frozen, Layout, ReadRequest, Reading, Tally, advise, read,
};
use super::tape_desk::as_document;
use crate::picture::Span;
use crate::settings::{Bench, SourceSettings};
use crate::signal::{Chain, Traces};
use crate::study::{Advice, Comparison, compare};
use crate::tape::Tape;
use crate::worker::Worker;
use std::path::PathBuf;
use std::sync::Arc;
use std::sync::atomic::{AtomicU32, Ordering};
#[cfg(feature = "live")]
use {super::reading::layout, super::sound::Rolled, crate::signal::faulty, crate::source::About};

/// Samples in a stretch that is worked out at once, at the most: a few milliseconds of work.
const AT_ONCE: f64 = 400_000.0;
/// How far before the screen the work at once begins, in bits.
const LEAD_BITS: f64 = 40.0;

/// What has happened since the last look.
#[derive(Clone, Debug, PartialEq)]
pub enum News {
    /// Another recording is open.
    Opened,
    /// The same recording has been opened with other source settings.
    Reopened,
    /// The recording has been read with the present settings.
    Read,
    /// A file did not open: why.
    Refused(String),
}

/// The recording, the settings and the threads that work on them.
pub struct Session {
    /// The settings.
    pub bench: Bench,
    document: Option<Document>,
    /// How much has been captured, where what is open is the last stretch of that.
    captured: Option<Tally>,
    reading: Option<Reading>,
    preview: Option<(Bench, Span, Arc<Traces>)>,
    opener: Worker<OpenRequest, OpenAnswer>,
    reader: Worker<ReadRequest, Reading>,
    adviser: Worker<AdviceRequest, Advised>,
    advised: Option<Advised>,
    asked: Option<Bench>,
    /// The source settings with which a file was last asked for.
    asked_source: Option<SourceSettings>,
    /// The file that was asked for last, until it is there or refused.
    wanted: Option<PathBuf>,
    part: Arc<AtomicU32>,
    made: Option<Document>,
    /// What there is before anything has been read, the same one each time it is asked for.
    nothing: Arc<Traces>,
}

impl Session {
    /// A session without a recording. `wake` is called when there is news.
    ///
    /// # Errors
    /// Where the system gives no thread.
    pub fn start(bench: Bench, wake: impl Fn() + Clone + Send + 'static) -> std::io::Result<Self> {
        let mut spare = None;
        Ok(Self {
            bench,
            document: None,
            captured: None,
            reading: None,
            preview: None,
            opener: Worker::start("open", |r, outbox| open(&r, outbox), wake.clone())?,
            reader: Worker::start(
                "read",
                move |r, outbox| read(r, &mut spare, outbox),
                wake.clone(),
            )?,
            adviser: Worker::start("advise", |r, outbox| advise(&r, outbox), wake)?,
            advised: None,
            asked: None,
            asked_source: None,
            wanted: None,
            part: Arc::default(),
            made: None,
            nothing: Arc::default(),
        })
    }

    /// The open recording.
    pub fn document(&self) -> Option<&Document> {
        self.document.as_ref()
    }

    /// Begins to open a file.
    pub fn open(&mut self, path: PathBuf) {
        self.part.store(0, Ordering::Relaxed);
        self.asked_source = Some(self.bench.source);
        self.wanted = Some(path.clone());
        // Where it is open already, the knob is what has asked for another channel.
        let is_open = self.document.as_ref().is_some_and(|d| d.path == path);
        self.opener.ask(OpenRequest {
            path,
            source: self.bench.source,
            any_channel: !is_open,
            part: Arc::clone(&self.part),
        });
    }

    /// Takes the last stretch of a capture as the open recording, and reads it at once: it is
    /// short.
    #[cfg(feature = "live")]
    pub fn roll(&mut self, rolled: Rolled) {
        let recording = rolled.recording;
        let about = About {
            name: rolled.name,
            format: "its last stretch".into(),
            channels: rolled.channels,
            rate_hz: recording.rate_hz(),
            frames: recording.len() as u64,
            clip_v: rolled.clip_v,
            gaps: Default::default(),
            notes: Vec::new(),
        };
        let document = Document::new(PathBuf::new(), recording, about, self.bench.source, true);
        let mut traces = Chain::read(&self.bench, &document.recording);
        traces.characters = rolled.characters;
        traces.faulty = faulty(&traces.characters);
        self.reading = Some(Reading {
            recording: Arc::clone(&document.recording),
            bench: self.bench,
            layout: Arc::new(layout(&traces, &self.bench)),
            traces: Arc::new(traces),
            comparison: None,
        });
        self.asked = Some(self.bench);
        self.preview = None;
        self.document = Some(document);
        self.captured = Some(rolled.tally);
    }

    /// Takes a made tape as the open recording.
    pub fn show_tape(&mut self, tape: &Tape) {
        self.made = Some(as_document(tape, &self.bench));
    }

    /// Per cent of the file being opened that have been read; none where none is being opened.
    pub fn opening_percent(&self) -> Option<u32> {
        let busy = self.opener.is_busy();
        busy.then(|| self.part.load(Ordering::Relaxed).min(100))
    }

    /// Whether the reading for the present settings is still under way.
    pub fn is_reading(&self) -> bool {
        self.document.as_ref().is_some_and(|d| {
            let read = self.reading.as_ref();
            self.is_stale(d) || read.is_none_or(|r| shapes(&r.bench) != shapes(&self.bench))
        })
    }

    /// Whether the samples are those of other source settings, and the file has to be opened anew.
    fn is_stale(&self, document: &Document) -> bool {
        !document.path.as_os_str().is_empty() && document.source != self.bench.source
    }

    /// Takes what the threads have brought, and sets them to work where settings have changed.
    /// Readings that are asked for are compared with the traces that are `held`.
    pub fn look(&mut self, held: Option<&Arc<Traces>>) -> Vec<News> {
        let mut news = Vec::new();
        if let Some(answer) = self.opener.newest() {
            if answer.as_ref().map_or(true, |d| d.whole) {
                self.wanted = None;
            }
            news.extend(match answer {
                Ok(document) => self.take(document),
                Err(why) => Some(self.refused(why)),
            });
        }
        if let Some(made) = self.made.take() {
            self.document = None;
            news.extend(self.take(made));
        }
        if let Some(reading) = self.reader.newest()
            && let Some(document) = &self.document
            && Arc::ptr_eq(&reading.recording, &document.recording)
        {
            self.adviser.ask(AdviceRequest {
                reading: reading.clone(),
                levels: document.levels,
            });
            self.reading = Some(reading);
            self.preview = None;
            news.push(News::Read);
        }
        self.advised = self.adviser.newest().or(self.advised.take());
        self.ask(held);
        news
    }

    /// What was open stays so, with the settings that its samples have.
    fn refused(&mut self, why: String) -> News {
        if let Some(document) = self.document.as_ref().filter(|d| self.is_stale(d)) {
            self.bench.source = document.source;
            self.asked_source = None;
        }
        News::Refused(why)
    }

    fn take(&mut self, document: Document) -> Option<News> {
        let again = self.document.as_ref().filter(|d| d.path == document.path);
        if again.is_some_and(|d| d.whole) && !document.whole {
            // All of it is open already; that stays until all of it is there anew.
            return None;
        }
        if document.channel_note.is_some() && self.asked_source == Some(self.bench.source) {
            self.bench.source.channel = document.source.channel;
            self.asked_source = Some(self.bench.source);
        }
        let news = if again.is_some() {
            News::Reopened
        } else {
            News::Opened
        };
        self.document = Some(document);
        self.captured = None;
        self.reading = None;
        self.preview = None;
        self.asked = None;
        Some(news)
    }

    fn ask(&mut self, held: Option<&Arc<Traces>>) {
        let Some(document) = &self.document else {
            return;
        };
        let (path, recording) = (document.path.clone(), Arc::clone(&document.recording));
        if self.is_stale(document) && self.asked_source != Some(self.bench.source) {
            // Settings that change while another file is being opened are for that one.
            self.open(self.wanted.clone().unwrap_or(path));
        }
        if self
            .asked
            .as_ref()
            .is_some_and(|b| shapes(b) == shapes(&self.bench))
        {
            return;
        }
        self.reader.ask(ReadRequest {
            recording,
            bench: self.bench,
            before: self.reading.clone(),
            held: held.cloned(),
        });
        self.asked = Some(self.bench);
    }

    /// The traces to draw for a span: those of the present settings, worked out at once for this
    /// span where the reading of the whole is not there yet.
    pub fn traces(&mut self, span: Span) -> Arc<Traces> {
        if self.is_reading()
            && let Some(document) = &self.document
        {
            let rate_hz = f64::from(document.recording.rate_hz());
            let lead_s = LEAD_BITS / self.bench.framer.rate_bd;
            if let Some((bench, of, traces)) = &self.preview
                && shapes(bench) == shapes(&self.bench)
                && *of == span
            {
                return Arc::clone(traces);
            }
            if (span.length_s() + lead_s) * rate_hz <= AT_ONCE {
                let recording = &document.recording;
                let traces = Chain::near(&self.bench, recording, span.from_s, span.to_s, lead_s);
                let traces = Arc::new(traces);
                self.preview = Some((self.bench, span, Arc::clone(&traces)));
                return traces;
            }
        }
        self.whole()
    }

    /// What differs from `held` in the recording as read last.
    pub fn compared(&mut self, held: &Arc<Traces>) -> Comparison {
        let done = self.reading.as_mut().and_then(|r| r.comparison.take());
        match done {
            Some((with, comparison)) if Arc::ptr_eq(&with, held) => comparison,
            // Held after this reading was asked for: worked out here, once.
            _ => compare(&held.characters, &self.whole().characters),
        }
    }

    /// The settings with which these traces were made, of those that [`Session::traces`] gives.
    pub fn bench_of(&self, traces: &Traces) -> &Bench {
        let read = self.reading.as_ref();
        let read = read.filter(|r| std::ptr::eq(&*r.traces, traces));
        read.map_or(&self.bench, |r| &r.bench)
    }

    /// The open recording with the present settings and what they make of it.
    pub fn frozen(&self) -> Option<Frozen> {
        let document = self.document.as_ref()?;
        // The samples are those of the source settings with which they were read.
        let bench = Bench {
            source: document.source,
            ..self.bench
        };
        let finished = |r: &&Reading| shapes(&r.bench) == shapes(&bench);
        Some(Frozen {
            recording: Arc::clone(&document.recording),
            bench: bench.of_a_reading(),
            read: self
                .reading
                .as_ref()
                .filter(finished)
                .map(|r| Arc::clone(&r.traces)),
        })
    }

    /// Whether what is open is the last stretch of a capture.
    #[cfg(feature = "live")]
    pub fn is_stretch(&self) -> bool {
        self.captured.is_some()
    }

    /// How much was read: of the recording, or of all of the capture that it is a stretch of.
    pub fn tally(&self) -> Tally {
        let (whole, layout) = (self.whole(), self.layout());
        let is_whole = self.document.as_ref().is_none_or(|d| d.whole);
        self.captured.unwrap_or(Tally {
            characters: whole.characters.len(),
            faulty: whole.faulty.len(),
            blocks: layout.blocks.len(),
            least_margin_percent: layout.least_margin_percent,
            false_starts: whole.false_starts_s.len(),
            of: if is_whole {
                Extent::Whole
            } else {
                Extent::Beginning
            },
        })
    }

    /// Where on the recording what lies, as read last.
    pub fn layout(&self) -> Arc<Layout> {
        self.reading
            .as_ref()
            .map(|r| Arc::clone(&r.layout))
            .unwrap_or_default()
    }

    /// What would read the recording better, as tried on it with the present settings; nothing
    /// while they are being tried.
    pub fn advice(&self) -> &[Advice] {
        let present = self.reading.as_ref().filter(|_| !self.is_reading());
        let advised = self.advised.as_ref().zip(present);
        match advised {
            Some((advised, reading)) if Arc::ptr_eq(&advised.traces, &reading.traces) => {
                &advised.advice
            }
            _ => &[],
        }
    }

    /// The traces of the whole recording as read last, which may be behind the settings.
    pub fn whole(&self) -> Arc<Traces> {
        self.reading
            .as_ref()
            .map_or_else(|| Arc::clone(&self.nothing), |r| Arc::clone(&r.traces))
    }
}

/// The settings on which a reading of given samples depends.
fn shapes(bench: &Bench) -> Bench {
    Bench {
        source: SourceSettings::default(),
        ..bench.of_a_reading()
    }
}
