//! A capture: what runs while the program listens.

use super::consumer::{self, Begun, Consumer};
use super::devices::Wanted;
use super::line::Line;
use super::ring::{Intake, ring};
use super::tail::Recent;
use super::{End, Feed, Format, Meter, Outline, Report};
use crate::settings::{Bench, Channel};
use crate::signal::{Character, Gap, Recording};
use crate::source::reason;
use std::path::PathBuf;
use std::sync::atomic::{AtomicBool, Ordering};
use std::sync::mpsc::{self, Receiver, RecvTimeoutError, Sender};
use std::sync::{Arc, Mutex, MutexGuard, PoisonError};
use std::time::{Duration, Instant};

/// How long the end of a capture may take.
const END: Duration = Duration::from_secs(3);

/// What to capture.
#[derive(Clone, Debug)]
pub struct Request {
    /// From which device.
    pub wanted: Wanted,
    /// The settings of all stages, and the channel.
    pub bench: Bench,
    /// The file to keep it in.
    pub out: PathBuf,
    /// Whether to write over that file and its report where they are there already.
    pub replace: bool,
    /// Where to end by itself, in seconds of what was captured.
    pub length_s: Option<f64>,
    /// How much stays in memory, in seconds.
    pub memory_s: f64,
}

impl Request {
    /// For the default device, kept in `out`, with the last two minutes in memory.
    pub fn new(bench: Bench, out: PathBuf) -> Self {
        Self {
            wanted: Wanted::default(),
            bench,
            out,
            replace: false,
            length_s: None,
            memory_s: 120.0,
        }
    }
}

/// How a capture stands.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum State {
    /// Nothing has come yet.
    Waiting,
    /// Samples come.
    Listening,
    /// None has come for half a second.
    Stalled,
    /// It is over; [`Capture::report`] says how.
    Ended,
}

/// What has happened since the last look.
#[derive(Clone, Debug, PartialEq)]
pub enum Event {
    /// Characters, as they come.
    Characters(Vec<Character>),
    /// Samples are missing.
    Gap(Gap),
    /// Nothing has come for half a second; so many seconds had been captured.
    Stalled(f64),
    /// Samples come again.
    Resumed(f64),
    /// The file was full, and this one follows it.
    NextFile(PathBuf),
    /// The file holds all that has come: [`Capture::settle`] asked for that.
    Settled,
    /// Something went wrong that does not end the capture: a sentence.
    Note(String),
    /// It is over.
    Ended(Box<Report>),
}

/// How a capture stands, for a look at any time.
#[derive(Clone, Debug, PartialEq)]
pub struct Status {
    /// Whether samples come.
    pub state: State,
    /// Name of the device.
    pub device: String,
    /// What its samples are made of.
    pub format: Format,
    /// Length so far in seconds.
    pub captured_s: f64,
    /// The level.
    pub meter: Meter,
    /// What to do about the level.
    pub hint: Option<String>,
    /// Characters so far.
    pub characters: u64,
    /// Those of them with faults.
    pub faulty: u64,
    /// Starts of characters that were none, so far.
    pub false_starts: u64,
    /// How often samples are missing.
    pub gaps: u64,
    /// The file it is kept in now.
    pub file: PathBuf,
    /// Where in the capture that file begins, in seconds.
    pub file_begins_at_s: f64,
}

/// What the consumer and those who look at it share.
pub(super) struct Shared {
    pub stop: AtomicBool,
    pub settle: AtomicBool,
    pub next_bench: Mutex<Option<Bench>>,
    live: Mutex<Live>,
}

/// What a look at a capture sees.
pub(super) struct Live {
    pub status: Status,
    pub recent: Recent,
    pub outline: Outline,
    pub report: Report,
}

impl Shared {
    pub fn live(&self) -> MutexGuard<'_, Live> {
        self.live.lock().unwrap_or_else(PoisonError::into_inner)
    }
}

/// A capture that runs, or has run. Dropping it stops it.
pub struct Capture {
    shared: Arc<Shared>,
    events: Receiver<Event>,
}

impl Capture {
    /// Opens the device and begins; `wake` is called when there is news. May take some seconds:
    /// call it from a thread that can wait.
    ///
    /// # Errors
    /// A sentence.
    pub fn start(request: Request, wake: impl Fn() + Send + 'static) -> Result<Self, String> {
        let channels = match request.bench.source.channel {
            Channel::One(n) => u16::try_from(n).unwrap_or(u16::MAX),
            Channel::Sum => 1,
            Channel::Difference => 2,
        };
        let (line, input) = Line::open(request.wanted.clone(), channels)?;
        let begun = consumer::begin(&request, input.host, &input.device, input.format)?;
        Self::run(request, begun, input.intake, Some(line), wake)
    }

    /// A capture of whatever is pushed into the feed: another source of samples, or a test.
    ///
    /// # Errors
    /// A sentence.
    pub fn from_feed(
        request: Request,
        name: &str,
        format: Format,
        wake: impl Fn() + Send + 'static,
    ) -> Result<(Self, Feed), String> {
        let (feed, intake) = ring(format);
        let begun = consumer::begin(&request, None, name, format)?;
        Ok((Self::run(request, begun, intake, None, wake)?, feed))
    }

    fn run(
        request: Request,
        begun: Begun,
        intake: Intake,
        line: Option<Line>,
        wake: impl Fn() + Send + 'static,
    ) -> Result<Self, String> {
        let (tell, events): (Sender<Event>, _) = mpsc::channel();
        let (report, format) = (begun.report(), begun.format());
        let shared = Arc::new(Shared {
            stop: AtomicBool::new(false),
            settle: AtomicBool::new(false),
            next_bench: Mutex::new(None),
            live: Mutex::new(Live {
                status: Status {
                    state: State::Waiting,
                    device: report.device.clone(),
                    format,
                    captured_s: 0.0,
                    meter: begun.meter(),
                    hint: None,
                    characters: 0,
                    faulty: 0,
                    false_starts: 0,
                    gaps: 0,
                    file: request.out.clone(),
                    file_begins_at_s: 0.0,
                },
                recent: Recent::new(request.memory_s, format.rate_hz),
                outline: Outline::default(),
                report,
            }),
        });
        let consumer = Consumer::new(
            request,
            begun,
            (intake, line),
            Arc::clone(&shared),
            move |event| {
                let _ = tell.send(event);
                wake();
            },
        );
        std::thread::Builder::new()
            .name("capture".into())
            .spawn(move || consumer.run())
            .map_err(|e| format!("The system gives no thread: {}.", reason(&e)))?;
        Ok(Self { shared, events })
    }

    /// What has happened since the last call.
    pub fn poll(&self) -> Vec<Event> {
        self.wait(Duration::ZERO)
    }

    /// The same, but waits for something to happen for `limit` at the most.
    pub fn wait(&self, limit: Duration) -> Vec<Event> {
        let first = match self.events.recv_timeout(limit) {
            Ok(event) => Some(event),
            Err(RecvTimeoutError::Timeout) => None,
            Err(RecvTimeoutError::Disconnected) => self.broken(),
        };
        first.into_iter().chain(self.events.try_iter()).collect()
    }

    /// The end of a capture whose thread has gone without telling of it.
    fn broken(&self) -> Option<Event> {
        let mut live = self.shared.live();
        if live.status.state == State::Ended {
            return None;
        }
        let why = "The part of this program that captures has failed; what came before that is \
                   kept. Begin again, and report it as a fault of the program.";
        live.status.state = State::Ended;
        live.report.captured_s = live.status.captured_s;
        live.report.end = Some(End::Lost(why.into()));
        let report = live.report.clone();
        drop(live);
        // Beside that failure, one to write this down counts for little.
        let _ = report.save();
        Some(Event::Ended(Box::new(report)))
    }

    /// How it stands.
    pub fn status(&self) -> Status {
        self.shared.live().status.clone()
    }

    /// The last `length_s` seconds, of what stays in memory.
    pub fn tail(&self, length_s: f64) -> Recording {
        let live = self.shared.live();
        live.recent.last(length_s, &live.report.gaps)
    }

    /// The course of all of it, in the least detail.
    pub fn outline(&self) -> Outline {
        self.shared.live().outline.clone()
    }

    /// What is known of it: files, gaps, how it ended.
    pub fn report(&self) -> Report {
        self.shared.live().report.clone()
    }

    /// Goes on with other settings: the stages begin anew with the next sample.
    pub fn set_bench(&self, bench: &Bench) {
        let next = &self.shared.next_bench;
        *next.lock().unwrap_or_else(PoisonError::into_inner) = Some(*bench);
    }

    /// Asks that the file is brought up to date, which is done every second in any case;
    /// [`Event::Settled`] says when it is.
    pub fn settle(&self) {
        self.shared.settle.store(true, Ordering::Relaxed);
    }

    /// Asks for the end without waiting for it; [`Event::Ended`] says when it is there.
    pub fn request_stop(&self) {
        self.shared.stop.store(true, Ordering::Relaxed);
    }

    /// Ends it, and gives what happened last; the report in it is that of the whole capture. Waits
    /// for three seconds at the most.
    pub fn stop(self) -> (Report, Vec<Event>) {
        self.request_stop();
        let by = Instant::now() + END;
        let mut last = Vec::new();
        while self.status().state != State::Ended && Instant::now() < by {
            last.extend(self.wait(Duration::from_millis(50)));
        }
        last.extend(self.poll());
        (self.report(), last)
    }
}

impl Drop for Capture {
    fn drop(&mut self) {
        self.request_stop();
    }
}
