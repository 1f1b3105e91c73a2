//! Listening: a capture rolls through the lanes, stands still, and goes on.

use super::device_choice::DeviceChoice;
use super::meter_bar::meter_bar;
use super::roll::{Until, Watch};
use crate::date;
use crate::live::{Capture, End, Event, Report, Request, State, Wanted};
use crate::picture::{Ink, Theme};
use crate::settings::Bench;
use crate::signal::{Character, Recording};
use crate::units::{self, Unit};
use crate::view::style::colour;
use crate::worker::{Outbox, Worker};
use egui::{ComboBox, Context, Key, RichText, TextEdit, Ui, Window};
use std::collections::VecDeque;
use std::path::PathBuf;

/// What is rolled beyond the stretch in view, in seconds: the framer finds its step in it.
const LEAD_S: f64 = 1.0;
/// The longest stretch that rolls, in seconds.
const MOST_S: f64 = 20.0;
/// How much of what follows an event is still captured before the lanes stand still, in seconds.
const AFTER_S: f64 = 1.0;

/// What listening asks of the window.
pub enum ListenHand {
    /// The last stretch of the capture is to be shown.
    Roll(Box<Rolled>),
    /// The capture's file is to be opened, at this instant where one is given.
    Look(PathBuf, Option<f64>),
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
    /// What it is called.
    pub name: String,
}

/// The window to begin listening, and the capture that runs.
pub struct ListenDesk {
    is_open: bool,
    choice: DeviceChoice,
    file: String,
    starter: Worker<Request, Result<Capture, String>>,
    stopper: Worker<Capture, Report>,
    capture: Option<Capture>,
    frozen: bool,
    until: Until,
    pattern: String,
    watch: Watch,
    /// What has come: the instant, and when to stand still.
    due: Option<(f64, f64)>,
    known: Bench,
    recent: VecDeque<Character>,
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
        let begin = move |request: Request, outbox: &Outbox<'_, Result<Capture, String>>| {
            outbox.send(Capture::start(request, roll.clone()));
        };
        let stop = |capture: Capture, outbox: &Outbox<'_, Report>| outbox.send(capture.stop().0);
        Ok(Self {
            is_open: false,
            choice: DeviceChoice::start(true, wanted, wake.clone())?,
            file: String::new(),
            starter: Worker::start("start capture", begin, wake.clone())?,
            stopper: Worker::start("stop capture", stop, wake)?,
            capture: None,
            frozen: false,
            until: Until::Never,
            pattern: String::new(),
            watch: Watch::default(),
            due: None,
            known: Bench::default(),
            recent: VecDeque::new(),
        })
    }

    /// Shows the window.
    pub fn open(&mut self) {
        self.is_open = true;
        if self.file.is_empty() {
            let plain = date::now().replace('T', "-").replace([':', 'Z'], "");
            self.file = format!("capture-{plain}.wav");
        }
    }

    /// Whether a capture runs.
    pub fn is_running(&self) -> bool {
        self.capture.is_some()
    }

    /// Ends the capture, where one runs: what has come stays in its file, which is then opened.
    pub fn stop(&mut self) {
        if let Some(capture) = self.capture.take() {
            self.stopper.ask(capture);
            self.file.clear();
        }
    }

    /// Whether a capture is being ended.
    pub fn is_ending(&self) -> bool {
        self.stopper.is_busy()
    }

    /// The devices chosen, to be remembered.
    pub fn wanted(&self) -> &Wanted {
        &self.choice.wanted
    }

    /// Draws the window where it is open.
    pub fn show(&mut self, ctx: &Context, bench: &Bench) {
        if !self.is_open {
            return;
        }
        let mut open = true;
        Window::new("Listen")
            .open(&mut open)
            .pivot(egui::Align2::CENTER_CENTER)
            .default_pos(ctx.content_rect().center())
            .collapsible(false)
            .resizable(false)
            .show(ctx, |ui| {
                ui.set_width(470.0);
                ui.label(
                    "Connect the player's line or earphone socket to the input of the sound card, \
                     with the volume at its lowest first. What comes is kept in a file and runs \
                     through the same stages as a recording.",
                );
                ui.add_space(4.0);
                self.choice.show(ui);
                ui.horizontal(|ui| {
                    let label = ui.label("Keep it in");
                    let edit = TextEdit::singleline(&mut self.file).desired_width(330.0);
                    ui.add(edit).labelled_by(label.id);
                });
                ui.add_space(4.0);
                let busy = self.starter.is_busy() || self.is_running();
                let named = !self.file.trim().is_empty();
                ui.horizontal(|ui| {
                    if ui
                        .add_enabled(!busy && named, egui::Button::new("Listen"))
                        .clicked()
                    {
                        let mut request = Request::new(*bench, PathBuf::from(self.file.trim()));
                        request.wanted = self.choice.wanted.clone();
                        self.known = *bench;
                        self.starter.ask(request);
                    }
                    if self.starter.is_busy() {
                        ui.spinner();
                        ui.label("opening the device");
                    }
                });
            });
        self.is_open = open && !ctx.input(|i| i.key_pressed(Key::Escape));
    }

    /// Takes what the capture has brought; `view_s` is the length of the stretch in view.
    pub fn look(&mut self, bench: &Bench, view_s: f64) -> Vec<ListenHand> {
        let mut hands = Vec::new();
        match self.starter.newest() {
            Some(Ok(capture)) => {
                self.capture = Some(capture);
                (self.frozen, self.is_open, self.due) = (false, false, None);
                self.watch = Watch::default();
                self.recent.clear();
            }
            Some(Err(why)) => hands.push(ListenHand::Say(Err(why))),
            None => {}
        }
        if let Some(report) = self.stopper.newest() {
            hands.extend(ended(&report));
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
        let over = events.iter().find_map(|event| match event {
            Event::Ended(report) => Some(report),
            _ => None,
        });
        if let Some(report) = over {
            hands.extend(ended(report));
            self.capture = None;
            self.file.clear();
            return hands;
        }
        hands.extend(events.iter().filter_map(said).map(ListenHand::Say));
        for event in &events {
            if let Event::Characters(characters) = event {
                self.recent.extend(characters);
            }
        }
        let oldest_s = status.captured_s - 2.0 * MOST_S;
        let gone = self.recent.partition_point(|c| c.at_s < oldest_s);
        self.recent.drain(..gone);
        if !self.frozen {
            let now_s = status.captured_s;
            let seen = (&status.meter, now_s);
            if self.due.is_none()
                && let Some(at_s) = self
                    .watch
                    .look(self.until, &self.pattern, &events, seen, bench)
            {
                self.due = Some((at_s, now_s + AFTER_S));
            }
            match self.due {
                Some((at_s, due_s)) if now_s >= due_s => {
                    self.due = None;
                    self.until = Until::Never;
                    self.frozen = true;
                    hands.push(ListenHand::Look(status.file.clone(), Some(at_s)));
                }
                _ => {
                    let tail = capture.tail((view_s + LEAD_S).min(MOST_S));
                    let from_s = tail.begins_at_s();
                    let inside = self.recent.iter().filter(|c| c.at_s >= from_s);
                    hands.push(ListenHand::Roll(Box::new(Rolled {
                        characters: inside.map(|c| c.moved(-from_s)).collect(),
                        recording: tail,
                        name: format!("listening to {}", status.device),
                    })));
                }
            }
        }
        hands
    }

    /// Draws the bar of a running capture; gives what is asked for.
    pub fn bar(&mut self, ui: &mut Ui, theme: Theme) -> Option<ListenHand> {
        let status = self.capture.as_ref()?.status();
        let mut hand = None;
        ui.horizontal_wrapped(|ui| {
            meter_bar(ui, &status.meter, theme);
            let state = match status.state {
                State::Waiting => "waiting for sound",
                State::Listening if self.frozen => "captured behind the still picture",
                State::Listening => "captured",
                State::Stalled => "captured; NOTHING COMES",
                State::Ended => "captured; ended",
            };
            ui.label(format!("{} {state}", units::clock(status.captured_s)));
            let gaps = match status.gaps {
                0 => String::new(),
                n => format!(", {} LOST", units::counted(n as usize, "stretch")),
            };
            let characters = units::counted(status.characters as usize, "character");
            ui.label(format!("{characters}, {} with faults{gaps}", status.faulty));
            let word = if self.frozen { "Go on" } else { "Freeze" };
            if ui
                .button(word)
                .on_hover_text("Stand still and look back over all of it; the capture goes on.")
                .clicked()
            {
                self.frozen = !self.frozen;
                if self.frozen {
                    hand = Some(ListenHand::Look(status.file.clone(), None));
                }
            }
            self.until_ui(ui);
            if ui
                .button("Stop")
                .on_hover_text("End the capture and open it.")
                .clicked()
            {
                self.stop();
            }
        });
        if let Some(hint) = &status.hint {
            ui.label(RichText::new(hint).color(colour(theme, Ink::Short)));
        }
        hand
    }

    fn until_ui(&mut self, ui: &mut Ui) {
        let label = ui.label("until");
        let combo = ComboBox::from_id_salt("until").selected_text(self.until.title());
        let combo = combo.show_ui(ui, |ui| {
            for until in Until::ALL {
                ui.selectable_value(&mut self.until, until, until.title());
            }
        });
        combo.response.labelled_by(label.id);
        if self.until == Until::Bytes {
            let edit = TextEdit::singleline(&mut self.pattern).desired_width(90.0);
            let edit = ui.add(edit.hint_text("0x0D 0A"));
            edit.on_hover_text("A text, or bytes in hexadecimal behind 0x.");
        }
    }
}

/// What is to be done when a capture is over.
fn ended(report: &Report) -> Vec<ListenHand> {
    let kept = report.files.first().cloned();
    let length = units::show_digits(report.captured_s, Unit::Seconds, 4);
    let lost = match report.gap_count {
        0 => "no sample was lost".to_string(),
        n => format!(
            "samples were lost {} (see the report beside the file)",
            units::counted(n as usize, "time")
        ),
    };
    let file = kept
        .as_ref()
        .map_or(String::new(), |f| f.display().to_string());
    let kept_words = format!("{length} are kept in {file}; {lost}.");
    let said = match report.end.as_ref().and_then(End::failure) {
        Some(why) => Err(format!(
            "{why} {kept_words} To go on, listen anew (Ctrl+L)."
        )),
        None => Ok(kept_words),
    };
    let look = kept.map(|file| ListenHand::Look(file, None));
    look.into_iter().chain([ListenHand::Say(said)]).collect()
}

/// What there is to say of an event.
fn said(event: &Event) -> Option<Result<String, String>> {
    let at = |s: f64| units::clock(s);
    match event {
        Event::Gap(gap) => Some(Err(format!(
            "Samples were lost at {}: {}.",
            at(gap.at_s),
            units::show_digits(gap.length_s, Unit::Seconds, 3)
        ))),
        Event::Stalled(s) => Some(Err(format!(
            "Nothing has come since {}; the capture is kept.",
            at(*s)
        ))),
        Event::Resumed(s) => Some(Ok(format!("Sound comes again from {} on.", at(*s)))),
        Event::NextFile(file) => Some(Ok(format!("It goes on in {}.", file.display()))),
        Event::Note(note) => Some(Err(note.clone())),
        Event::Characters(_) | Event::Ended(_) => None,
    }
}
