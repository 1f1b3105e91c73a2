//! Listening: a capture rolls through the lanes, stands still, and goes on.

mod bar;
mod course;
mod ending;
mod panel;
mod words;

use super::captured::Captured;
use super::device_choice::DeviceChoice;
use super::roll::{Until, Watch};
use crate::live::{Capture, Event, Report, Request, Status, Wanted, default_name, name_again};
use crate::picture::{DisplayList, Rect, Span};
use crate::settings::Bench;
use crate::signal::{Character, Recording};
use crate::view::reading::Tally;
use crate::worker::{Outbox, Worker};
use course::Course;
use ending::Lost;
use std::path::PathBuf;

/// What is rolled beyond the stretch in view, in seconds: the framer finds its step in it.
const LEAD_S: f64 = 1.0;
/// The longest stretch that rolls, in seconds.
const MOST_S: f64 = 20.0;
/// How much of what follows an event is still captured before the lanes stand still, in seconds.
const AFTER_S: f64 = 1.0;
/// How much is shown about an event, in seconds.
const ABOUT_S: f64 = 0.1;

/// What listening asks of the window.
pub enum ListenHand {
    /// The last stretch of the capture is to be shown.
    Roll(Box<Rolled>),
    /// The capture's file is to be opened, and this stretch of it shown where one is given.
    Look(PathBuf, Option<Span>),
    /// Something is to be said.
    Say(Result<String, String>),
}

/// The last stretch of a capture.
pub struct Rolled {
    /// The samples.
    pub recording: Recording,
    /// The characters in it, as the capture's own framer received them: one that begins anew
    /// with every stretch would take a while to find its step.
    pub characters: Vec<Character>,
    /// How many channels are captured, of which one is read.
    pub channels: u32,
    /// The magnitude in volts from which on a sample may have been cut.
    pub clip_v: f64,
    /// What it is called.
    pub name: String,
    /// How much has been captured before and with it.
    pub tally: Tally,
}

/// What the lanes show while a capture runs.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Stand {
    /// Its last stretch.
    Rolls,
    /// Its file.
    Frozen,
    /// Something else, which was opened by hand.
    Away,
}

/// A capture that is to begin.
struct Start {
    request: Request,
    /// Whether one was lost before: it has a file already, and this one takes another.
    again: bool,
}

/// The window to begin listening, and the capture that runs.
pub struct ListenDesk {
    is_open: bool,
    /// Whether the button that begins is still to be given the keyboard.
    wants_focus: bool,
    choice: DeviceChoice,
    file: String,
    /// Why listening did not begin.
    complaint: Option<String>,
    starter: Worker<Start, (Request, Result<Capture, String>)>,
    stopper: Worker<Capture, Report>,
    capture: Option<Capture>,
    /// What was asked for last.
    request: Option<Request>,
    lost: Option<Lost>,
    /// Whether to begin again once the capture has ended.
    again: bool,
    stand: Stand,
    /// What of the capture to show once all that came is in the file.
    look: Option<Span>,
    /// The stretch of the capture that was in view when it rolled last.
    rolled: Option<Span>,
    until: Until,
    pattern: String,
    watch: Watch,
    /// What has come: the instant, and when to stand still.
    due: Option<(f64, f64)>,
    known: Bench,
    /// All that the capture has brought.
    captured: Captured,
    course: Course,
}

impl ListenDesk {
    /// Not listening yet.
    ///
    /// # Errors
    /// Where the system gives no thread.
    pub fn start(
        wanted: Wanted,
        wake: impl Fn() + Clone + Send + 'static,
    ) -> std::io::Result<Self> {
        let roll = wake.clone();
        let begin = move |start: Start, outbox: &Outbox<'_, _>| {
            let mut request = start.request;
            if start.again {
                request.out = name_again(&request.out);
            }
            let capture = Capture::start(request.clone(), roll.clone());
            outbox.send((request, capture));
        };
        let stop = |capture: Capture, outbox: &Outbox<'_, Report>| outbox.send(capture.stop().0);
        Ok(Self {
            is_open: false,
            wants_focus: false,
            choice: DeviceChoice::start(true, wanted, wake.clone())?,
            file: String::new(),
            complaint: None,
            starter: Worker::start("start capture", begin, wake.clone())?,
            stopper: Worker::start("stop capture", stop, wake)?,
            capture: None,
            request: None,
            lost: None,
            again: false,
            stand: Stand::Rolls,
            look: None,
            rolled: None,
            until: Until::Never,
            pattern: String::new(),
            watch: Watch::default(),
            due: None,
            known: Bench::default(),
            captured: Captured::default(),
            course: Course::default(),
        })
    }

    /// Shows the window.
    pub fn open(&mut self) {
        (self.is_open, self.wants_focus) = (true, true);
        self.complaint = None;
        if self.file.is_empty() {
            self.file = default_name();
        }
    }

    /// Whether a capture runs.
    pub fn is_running(&self) -> bool {
        self.capture.is_some()
    }

    /// Whether the lanes roll.
    pub fn is_rolling(&self) -> bool {
        self.is_running() && self.stand == Stand::Rolls
    }

    /// Whether a capture is being ended.
    pub fn is_ending(&self) -> bool {
        self.stopper.is_busy()
    }

    /// Whether there is something to say of a capture: one runs, or was lost.
    pub fn has_bar(&self) -> bool {
        self.capture.is_some() || self.lost.is_some() || self.is_beginning_again()
    }

    /// Whether threads are at work for it.
    pub fn is_busy(&self) -> bool {
        self.starter.is_busy() || self.stopper.is_busy() || self.choice.is_busy()
    }

    /// The devices chosen, to be remembered.
    pub fn wanted(&self) -> &Wanted {
        &self.choice.wanted
    }

    /// Takes what the capture has brought; `view_s` is the length of the stretch in view.
    pub fn look(&mut self, bench: &Bench, view_s: f64) -> Vec<ListenHand> {
        let mut hands = Vec::new();
        if let Some((request, begun)) = self.starter.newest() {
            hands.extend(self.begun(request, begun));
        }
        if let Some(report) = self.stopper.newest() {
            hands.extend(self.ended(&report));
        }
        let Some(capture) = &self.capture else {
            return hands;
        };
        if self.known != *bench {
            capture.set_bench(bench);
            self.known = *bench;
        }
        let events = capture.poll();
        let status = capture.status();
        hands.extend(events.iter().filter_map(words::said).map(ListenHand::Say));
        for event in &events {
            match event {
                Event::Characters(characters) => {
                    self.captured.take(characters, status.captured_s);
                }
                Event::Settled => {
                    if let Some(span) = self.look.take() {
                        hands.extend(words::look(&capture.report(), span));
                    }
                }
                Event::Ended(report) => {
                    self.capture = None;
                    hands.extend(self.ended(report));
                    return hands;
                }
                _ => {}
            }
        }
        self.captured.take(&[], status.captured_s);
        self.course.follow(capture, &self.captured);
        if self.is_rolling() {
            hands.extend(self.roll(&events, &status, bench, view_s));
        }
        hands
    }

    /// The last stretch, where nothing has come that was waited for.
    fn roll(
        &mut self,
        events: &[Event],
        status: &Status,
        bench: &Bench,
        view_s: f64,
    ) -> Option<ListenHand> {
        let now_s = status.captured_s;
        if self.due.is_none() {
            let seen = (&status.meter, now_s);
            let come = self
                .watch
                .look(self.until, &self.pattern, events, seen, bench);
            self.due = come.map(|at_s| (at_s, now_s + AFTER_S));
        }
        if let Some((at_s, due_s)) = self.due
            && now_s >= due_s
        {
            self.until = Until::Never;
            self.freeze(Span::new(at_s - ABOUT_S / 2.0, ABOUT_S));
            return None;
        }
        let tail = self.capture.as_ref()?.tail((view_s + LEAD_S).min(MOST_S));
        let from_s = tail.begins_at_s();
        // More may have come since the state was looked at.
        let end_s = from_s + tail.duration_s();
        self.rolled = Some(Span::new(end_s - view_s, view_s));
        let inside = self.captured.since(from_s).iter();
        Some(ListenHand::Roll(Box::new(Rolled {
            characters: inside.map(|c| c.moved(-from_s)).collect(),
            tally: self.captured.tally(status.false_starts as usize),
            recording: tail,
            channels: u32::from(status.format.channels),
            clip_v: status.meter.clip_v,
            name: format!("listening to {}", status.device),
        })))
    }

    /// All that the capture has brought.
    pub(in crate::view) fn captured(&self) -> &Captured {
        &self.captured
    }

    /// Takes the leaders found in the stretch that rolls.
    pub(in crate::view) fn take_leaders(&mut self, from_s: f64, leaders: &[(f64, f64)]) {
        let leaders = leaders.iter().map(|l| (l.0 + from_s, l.1 + from_s));
        self.captured.take_leaders(from_s, leaders);
    }

    /// The whole capture on a strip.
    pub(in crate::view) fn overview(&self, strip: Rect, density: f32) -> DisplayList {
        self.course.overview(&self.captured, strip, density)
    }

    /// Stands still, and has this stretch of the file shown.
    pub(in crate::view) fn freeze(&mut self, span: Span) {
        self.due = None;
        self.stand = Stand::Frozen;
        self.look = Some(span);
        if let Some(capture) = &self.capture {
            capture.settle();
        }
    }

    /// Rolls again; what came meanwhile was not waited for.
    fn go_on(&mut self) {
        (self.stand, self.look) = (Stand::Rolls, None);
        self.watch = Watch::default();
    }

    /// Makes way for what is opened by hand; true where a capture goes on behind it.
    pub fn leave(&mut self) -> bool {
        self.stand = Stand::Away;
        (self.look, self.due) = (None, None);
        self.is_running()
    }

    /// Begins, as the window was asked to.
    fn begin(&mut self, mut request: Request, bench: &Bench, again: bool) {
        request.bench = *bench;
        self.known = *bench;
        self.complaint = None;
        self.starter.ask(Start { request, again });
    }

    fn begun(&mut self, request: Request, begun: Result<Capture, String>) -> Option<ListenHand> {
        match begun {
            Ok(capture) => {
                let again = self.lost.take().is_some();
                let said = format!("Listening again, into {}.", request.out.display());
                self.capture = Some(capture);
                self.request = Some(request);
                (self.is_open, self.due, self.rolled) = (false, None, None);
                self.go_on();
                (self.captured, self.course) = Default::default();
                again.then_some(ListenHand::Say(Ok(said)))
            }
            Err(why) => {
                if let Some(lost) = &mut self.lost {
                    lost.why.clone_from(&why);
                }
                if self.is_open {
                    self.complaint = Some(why);
                    return None;
                }
                self.lost.is_none().then_some(ListenHand::Say(Err(why)))
            }
        }
    }
}

#[cfg(test)]
mod tests;
