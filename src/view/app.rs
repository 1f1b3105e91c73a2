//! The window as a whole.

use super::cards::cards;
use super::lane_area::{keys, lane_area};
use super::opening::Opening;
use super::overview_strip::overview_strip;
use super::session::{News, Session};
use super::style::{self, bold, colour};
use super::{Request, sample};
use crate::picture::{Ink, Scene, Span, Theme, glyph, time_label};
use crate::signal::{Character, Traces};
use crate::units::{self, Unit};
use egui::{CentralPanel, Context, Frame, Key, Margin, Modifiers, Panel, RichText, Ui};
use std::sync::Arc;

/// The stretch shown first, in seconds.
const FIRST_LOOK_S: f64 = 0.1;

/// The window's state.
pub struct App {
    session: Session,
    opening: Opening,
    span: Span,
    selected: Option<usize>,
    hover_s: Option<f64>,
    theme: Theme,
    message: Option<String>,
    /// Whether the window has still to go to the first character.
    first_look: bool,
}

impl App {
    /// The window for a request.
    ///
    /// # Errors
    /// Where the system gives no thread.
    pub fn new(ctx: &Context, request: Request) -> std::io::Result<Self> {
        style::set_fonts(ctx);
        style::set_theme(ctx, Theme::Light);
        let wake = ctx.clone();
        let mut session = Session::start(request.bench, move || wake.request_repaint())?;
        if let Some(file) = request.file {
            session.open(file);
        }
        Ok(Self {
            session,
            opening: Opening::default(),
            span: Span::new(0.0, FIRST_LOOK_S),
            selected: None,
            hover_s: None,
            theme: Theme::Light,
            message: None,
            first_look: false,
        })
    }

    /// Draws the window into `ui` and takes what the hand does.
    pub fn show(&mut self, ui: &mut Ui) {
        self.news();
        if let Some(path) = self.opening.show(ui.ctx()) {
            self.message = None;
            self.session.open(path);
        }
        self.shortcuts(ui);
        let traces = self.session.traces(self.span);
        let paper = Frame::NONE.fill(colour(self.theme, Ink::Paper));
        let margin = |x, y| Margin::symmetric(x, y);
        Panel::top("head")
            .frame(paper.inner_margin(margin(10, 6)))
            .show_separator_line(false)
            .show(ui, |ui| self.head(ui));
        Panel::top("path")
            .frame(paper.inner_margin(Margin {
                left: 10,
                right: 10,
                top: 0,
                bottom: 8,
            }))
            .show_separator_line(false)
            .show(ui, |ui| {
                cards(ui, &mut self.session, &traces, self.span, self.theme)
            });
        Panel::bottom("foot")
            .frame(paper.inner_margin(margin(10, 5)))
            .show_separator_line(false)
            .show(ui, |ui| self.foot(ui, &traces));
        CentralPanel::no_frame()
            .frame(paper.inner_margin(Margin {
                left: 10,
                right: 10,
                top: 0,
                bottom: 0,
            }))
            .show(ui, |ui| self.body(ui, &traces));
        if self.session.is_opening() || self.session.is_reading() {
            ui.ctx()
                .request_repaint_after(std::time::Duration::from_millis(50));
        }
    }

    fn news(&mut self) {
        match self.session.look() {
            Some(News::Opened) => {
                self.selected = None;
                self.message = None;
                self.first_look = true;
                self.span = Span::new(0.0, FIRST_LOOK_S).kept_within(self.end_s());
            }
            Some(News::Refused(why)) => self.message = Some(why),
            Some(News::Read) if self.first_look => {
                self.first_look = false;
                if let Some(first) = self.session.whole().characters.first() {
                    let from_s = first.at_s - FIRST_LOOK_S / 20.0;
                    self.span = Span::new(from_s, FIRST_LOOK_S).kept_within(self.end_s());
                }
            }
            Some(News::Reopened | News::Read) | None => {}
        }
    }

    fn end_s(&self) -> f64 {
        self.session
            .document()
            .map_or(FIRST_LOOK_S, |d| d.recording.duration_s())
    }

    fn go_to(&mut self, span: Span) {
        self.span = span.kept_within(self.end_s());
    }

    fn shortcuts(&mut self, ui: &Ui) {
        if ui.input_mut(|i| i.consume_key(Modifiers::COMMAND, Key::O)) {
            self.opening.ask(ui.ctx());
        }
        if let Some(span) = keys(ui, self.span, self.end_s()) {
            self.go_to(span);
        }
    }

    fn head(&mut self, ui: &mut Ui) {
        ui.horizontal(|ui| {
            ui.label(RichText::new("Pulsewright").family(bold()).size(16.0));
            ui.add_space(8.0);
            if ui
                .button("Open…")
                .on_hover_text("Open a recording (Ctrl+O).")
                .clicked()
            {
                self.opening.ask(ui.ctx());
            }
            if ui
                .button("Path…")
                .on_hover_text("Open a recording by its path.")
                .clicked()
            {
                self.opening.type_path("");
            }
            ui.add_space(8.0);
            match self.session.document() {
                Some(d) => {
                    ui.label(RichText::new(&d.about.name).family(bold()));
                    let about = format!(
                        "{}, {} Hz, {}",
                        d.about.format,
                        d.about.rate_hz,
                        units::clock(d.recording.duration_s())
                    );
                    let notes = d.about.notes.join("\n");
                    let label =
                        ui.label(RichText::new(about).color(colour(self.theme, Ink::Faint)));
                    if !notes.is_empty() {
                        label.on_hover_text(&notes);
                        let ink = colour(self.theme, Ink::Fault);
                        ui.label(RichText::new("damaged file").color(ink))
                            .on_hover_text(notes);
                    }
                }
                None => {
                    ui.label(RichText::new("no recording").color(colour(self.theme, Ink::Faint)));
                }
            }
            if self.session.is_opening() {
                ui.spinner();
                ui.label("opening");
            } else if self.session.is_reading() {
                ui.spinner();
            }
            ui.with_layout(egui::Layout::right_to_left(egui::Align::Center), |ui| {
                let (other, word) = match self.theme {
                    Theme::Light => (Theme::Dark, "Dark page"),
                    Theme::Dark => (Theme::Light, "Light page"),
                };
                if ui
                    .button(word)
                    .on_hover_text("Change the ground of the page.")
                    .clicked()
                {
                    self.theme = other;
                    style::set_theme(ui.ctx(), other);
                }
                let whole = ui
                    .button("Whole recording")
                    .on_hover_text("Show all of it (0).");
                if whole.clicked() {
                    self.go_to(Span::new(0.0, self.end_s()));
                }
            });
        });
        if let Some(message) = &self.message {
            let mut gone = false;
            ui.horizontal(|ui| {
                ui.label(RichText::new(message).color(colour(self.theme, Ink::Fault)));
                gone = ui.small_button("Dismiss").clicked();
            });
            if gone {
                self.message = None;
            }
        }
    }

    fn body(&mut self, ui: &mut Ui, traces: &Arc<Traces>) {
        let Some(document) = self.session.document() else {
            self.empty(ui);
            return;
        };
        let whole = self.session.whole();
        let moved = overview_strip(ui, document, &whole, self.span, self.theme);
        ui.add_space(4.0);
        let scene = Scene {
            recording: &document.recording,
            peaks: &document.peaks,
            traces,
            bench: &self.session.bench,
            selected: self.selected,
        };
        let hand = lane_area(ui, &scene, self.span, self.theme);
        self.hover_s = hand.hover_s;
        if let Some(at_s) = hand.clicked_s {
            let hit = |c: &Character| (c.line_start_s..c.line_end_s()).contains(&at_s);
            self.selected = traces.characters.iter().position(hit);
        }
        if let Some(span) = moved.or(hand.span) {
            self.go_to(span);
        }
    }

    /// What stands where no recording is open.
    fn empty(&mut self, ui: &mut Ui) {
        ui.vertical_centered(|ui| {
            ui.add_space((ui.available_height() / 2.0 - 90.0).max(10.0));
            ui.label(
                RichText::new("See what each stage makes of a tape")
                    .family(bold())
                    .size(20.0),
            );
            ui.add_space(6.0);
            ui.label(
                "Drop a recording on this window, or open one: WAV, FLAC, MP3, Ogg, AIFF, M4A.",
            );
            ui.add_space(10.0);
            if ui.button("Open a recording…").clicked() {
                self.opening.ask(ui.ctx());
            }
            if let Some(path) = sample()
                && ui.button("Try the bundled tide log").clicked()
            {
                self.session.open(path);
            }
        });
    }

    fn foot(&self, ui: &mut Ui, traces: &Traces) {
        ui.horizontal(|ui| {
            let step_s = self.span.length_s() / 2000.0;
            let text = match (
                self.hover_s,
                self.selected.and_then(|i| traces.characters.get(i)),
            ) {
                (_, Some(c)) => character_text(c),
                (Some(at_s), None) => format!("at {}", time_label(at_s, step_s)),
                _ => "Drag to move, wheel to zoom, arrows and + - work too; a double click on \
                      a knob's name sets its default."
                    .into(),
            };
            ui.label(RichText::new(text).color(colour(self.theme, Ink::Faint)));
            ui.with_layout(egui::Layout::right_to_left(egui::Align::Center), |ui| {
                let shown = units::show_digits(self.span.length_s(), Unit::Seconds, 4);
                ui.label(
                    RichText::new(format!("{shown} shown")).color(colour(self.theme, Ink::Faint)),
                );
            });
        });
    }
}

/// A character in words.
fn character_text(c: &Character) -> String {
    let faults = if c.faults.any() {
        c.faults.words().join(", ")
    } else {
        "no fault".into()
    };
    format!(
        "{:02X} {} at {}: {faults}, margin {} of a bit",
        c.value,
        glyph(c.value),
        time_label(c.at_s, 1e-6),
        units::show_digits(c.margin_percent, Unit::Percent, 3)
    )
}

impl eframe::App for App {
    fn ui(&mut self, ui: &mut Ui, _frame: &mut eframe::Frame) {
        self.show(ui);
    }
}
