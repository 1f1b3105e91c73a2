//! The window as a whole: what it holds, and the order in which a frame is made.

use super::action::Action;
use super::cards::cards;
use super::closing::Closing;
use super::file_ask::{FileAsk, Purpose};
use super::foot::foot;
use super::glossary::glossary;
use super::head::{close_left_menu, head};
use super::history::History;
use super::keep::{Keeper, Outcome, Waiting};
use super::key_sheet::key_sheet;
use super::keys::{self, pressed};
use super::knob_row::take_refusal;
use super::lane_area::Hover;
use super::loose_tape::LooseTape;
use super::memory::Memory;
use super::message::{Mend, Messages};
use super::overview_strip::OverviewStrip;
use super::preferences::Preferences;
use super::room::{ScreenFit, in_room};
use super::selection::Selection;
use super::session::{News, Session};
use super::shaper::Shaper;
use super::shelf::{Shelf, ShelfHand};
use super::side::Listing;
#[cfg(feature = "live")]
use super::sound::{ListenDesk, PlayDesk};
use super::style::{self, colour};
use super::summarizer::Summarizer;
use super::survey::{Survey, Surveyor};
use super::tape_desk::{For, TapeDesk};
use super::{Request, panels};
use crate::picture::{Ink, Lane, Marks, Span, Theme};
use crate::settings::Knob;
use crate::signal::Traces;
use crate::store::Store;
use crate::study::Comparison;
use egui::{CentralPanel, Context, Frame, Margin, Panel, Ui};
use std::sync::Arc;

/// The stretch shown first, in seconds.
pub(super) const FIRST_LOOK_S: f64 = 0.1;

/// Traces that are held behind the present ones.
pub(super) struct Held {
    pub traces: Arc<Traces>,
    pub comparison: Comparison,
}

/// The window's state.
pub struct App {
    pub(super) session: Session,
    pub(super) surveyor: Surveyor,
    pub(super) shaper: Shaper,
    pub(super) summarizer: Summarizer,
    pub(super) overview: OverviewStrip,
    pub(super) ask: FileAsk,
    pub(super) keeper: Keeper,
    pub(super) shelf: Shelf,
    pub(super) tape_desk: TapeDesk,
    #[cfg(feature = "live")]
    pub(super) listener: ListenDesk,
    #[cfg(feature = "live")]
    pub(super) player: PlayDesk,
    /// Length of the stretch that rolls while listening, in seconds.
    #[cfg(feature = "live")]
    pub(super) roll_s: f64,
    /// The stretch to show when the file being opened is there.
    pub(super) look_at: Option<Span>,
    /// What waits for the name of its file.
    pub(super) waiting: Option<Waiting>,
    pub(super) loose: LooseTape,
    pub(super) history: History,
    pub(super) store: Store,
    pub(super) preferences: Preferences,
    pub(super) listing: Listing,
    pub(super) span: Span,
    pub(super) selected: Option<Selection>,
    /// The instant that was gone to last, where that was no character.
    pub(super) stands_at_s: Option<f64>,
    pub(super) marks: Marks,
    pub(super) hover: Option<Hover>,
    pub(super) held: Option<Held>,
    pub(super) messages: Messages,
    pub(super) keys_shown: bool,
    pub(super) words_shown: bool,
    /// The knob that was turned last, or has the focus.
    pub(super) knob_in_hand: Option<&'static Knob>,
    /// The lane that keys make higher or lower.
    pub(super) lane: Lane,
    /// Whether the window has still to go to the first character.
    first_look: bool,
    pub(super) closing: Closing,
    screen_fit: ScreenFit,
}

impl App {
    /// The window for a request, with what `store` remembers.
    ///
    /// # Errors
    /// Where the system gives no thread.
    pub fn new(ctx: &Context, request: Request, store: Store) -> std::io::Result<Self> {
        let Memory {
            preferences,
            shelf,
            bench,
            messages,
        } = Memory::recall(request.bench, &store);
        style::set_fonts(ctx);
        style::set_theme(ctx, preferences.theme);
        let wake = ctx.clone();
        let wake = move || wake.request_repaint();
        let mut session = Session::start(bench, wake.clone())?;
        if let Some(file) = request.file {
            session.open(file);
        }
        let listing = Listing::starting_at(preferences.load_address);
        Ok(Self {
            session,
            surveyor: Surveyor::start(wake.clone())?,
            shaper: Shaper::start(wake.clone())?,
            summarizer: Summarizer::start(wake.clone())?,
            overview: OverviewStrip::default(),
            ask: FileAsk::default(),
            keeper: Keeper::new(),
            shelf,
            tape_desk: TapeDesk::start(wake.clone())?,
            #[cfg(feature = "live")]
            listener: ListenDesk::start(preferences.input.clone(), wake.clone())?,
            #[cfg(feature = "live")]
            player: PlayDesk::start(
                preferences.output.clone(),
                preferences.cautioned,
                wake.clone(),
            )?,
            #[cfg(feature = "live")]
            roll_s: 3.0 * FIRST_LOOK_S,
            look_at: None,
            waiting: None,
            loose: LooseTape::default(),
            history: History::new(bench),
            store,
            preferences,
            listing,
            span: Span::new(0.0, FIRST_LOOK_S),
            selected: None,
            stands_at_s: None,
            marks: [None; 2],
            hover: None,
            held: None,
            messages,
            keys_shown: false,
            words_shown: false,
            knob_in_hand: None,
            lane: Lane::Source,
            first_look: false,
            closing: Closing::default(),
            screen_fit: ScreenFit::default(),
        })
    }

    /// Draws the window into `ui` and takes what the hand does.
    pub fn show(&mut self, ui: &mut Ui) {
        self.screen_fit.mind(ui.ctx());
        self.take_news(ui.ctx());
        self.take_files(ui.ctx());
        self.messages.fade(ui.ctx());
        #[cfg(feature = "live")]
        self.take_sound(ui.ctx());
        for action in pressed(ui) {
            self.act(action, ui.ctx());
        }
        if keys::dismisses(ui) {
            self.messages.put(None);
        }
        close_left_menu(ui.ctx());
        let paper = colour(self.preferences.theme, Ink::Paper);
        ui.painter().rect_filled(ui.max_rect(), 0.0, paper);
        let before = self.session.bench;
        in_room(ui, |ui| self.page(ui));
        self.show_windows(ui.ctx());
        if self.session.bench != before {
            self.messages.mended(Mend::Setting);
        }
        if let Some(why) = take_refusal(ui.ctx()) {
            self.messages.failed_until(Mend::Setting, why);
        }
        let held = ui.input(|i| i.pointer.any_down());
        self.history.note(&self.session.bench, held);
        self.mind_loose_tape(ui.ctx());
        self.mind_closing(ui.ctx());
    }

    /// Draws what the window always shows.
    fn page(&mut self, ui: &mut Ui) {
        let traces = self.session.traces(self.span);
        let survey = self.survey(&traces);
        let theme = self.preferences.theme;
        let paper = Frame::NONE.fill(colour(theme, Ink::Paper));
        let sides = |top, bottom| Margin {
            left: 10,
            right: 10,
            top,
            bottom,
        };
        Panel::top("head")
            .frame(paper.inner_margin(sides(6, 6)))
            .show_separator_line(false)
            .show(ui, |ui| head(self, ui));
        Panel::top("path")
            .frame(paper.inner_margin(sides(0, 8)))
            .show_separator_line(false)
            .show(ui, |ui| {
                let knob = cards(ui, &mut self.session, survey.as_ref(), theme);
                self.knob_in_hand = knob.or(self.knob_in_hand);
            });
        if self.has_bar() {
            Panel::top("said")
                .frame(paper.inner_margin(sides(0, 5)))
                .show_separator_line(false)
                .show(ui, |ui| panels::said(self, ui));
        }
        if self.session.document().is_some() {
            foot(self, ui, &traces, paper.inner_margin(sides(4, 6)));
            if self.preferences.side.is_some() {
                let side = Panel::right("side")
                    .frame(paper.inner_margin(Margin {
                        left: 6,
                        right: 10,
                        top: 0,
                        bottom: 0,
                    }))
                    .default_size(self.preferences.side_width)
                    .size_range(panels::SIDE_LEAST..=panels::side_most(ui.available_width()))
                    .show(ui, |ui| panels::side(self, ui, survey.as_ref()));
                self.preferences.side_width = side.response.rect.width();
            }
        }
        CentralPanel::no_frame()
            .frame(paper.inner_margin(sides(0, 0)))
            .show(ui, |ui| match self.session.document() {
                Some(_) => panels::body(self, ui, &traces),
                None => panels::empty(self, ui),
            });
    }

    /// Whether there is something to say between the cards and the lanes.
    fn has_bar(&self) -> bool {
        let sound = cfg_select! {
            feature = "live" => { self.listener.has_bar() || self.player.has_bar() }
            _ => { false }
        };
        sound || self.messages.present().is_some() || self.held.is_some()
    }

    fn survey(&mut self, traces: &Arc<Traces>) -> Option<Survey> {
        let recording = &self.session.document()?.recording;
        let survey = self
            .surveyor
            .look(recording, traces, self.span, &self.session.bench);
        survey.cloned()
    }

    fn hear(&mut self, news: News) {
        match news {
            News::Opened => {
                self.messages.mended(Mend::Opening);
                let path = self.session.document().map(|d| d.path.clone());
                if let Some(path) = path.filter(|p| !p.as_os_str().is_empty()) {
                    self.preferences.recent.opened(&path);
                }
                (self.selected, self.stands_at_s) = (None, None);
                self.held = None;
                self.marks = [None; 2];
                self.first_look = true;
                let note = self.session.document().and_then(|d| d.channel_note.clone());
                note.into_iter().for_each(|note| self.messages.done(note));
                self.surveyor.forget();
                self.summarizer.forget();
                self.overview.forget();
                let first = Span::new(0.0, FIRST_LOOK_S);
                self.span = self.look_at.unwrap_or(first).kept_within(self.end_s());
            }
            News::Refused(why) => {
                self.look_at = None;
                self.preferences.recent.forget_lost();
                self.messages.failed_until(Mend::Opening, why);
            }
            News::Read => {
                self.messages.mended(Mend::Reading);
                if self.first_look {
                    self.look_at_first_character();
                }
                let whole = self.session.whole();
                self.selected = self.selected.and_then(|s| s.among(&whole.characters));
                if let Some(held) = &mut self.held {
                    held.comparison = self.session.compared(&held.traces);
                }
            }
            News::Reopened => {
                self.messages.mended(Mend::Opening);
                self.surveyor.forget();
                self.overview.forget();
                self.go_to(self.span);
            }
        }
    }

    fn take_news(&mut self, ctx: &Context) {
        for news in self.session.look(self.held.as_ref().map(|h| &h.traces)) {
            self.hear(news);
        }
        while let Some(outcome) = self.keeper.outcome() {
            match outcome {
                Outcome::Done(what) => self.messages.done(what),
                Outcome::Tape(what, tape) => {
                    self.messages.done(what);
                    self.loose.saved(&tape);
                }
                Outcome::Failed(why) => self.messages.failed(why),
                Outcome::Image(image) => {
                    ctx.copy_image(image);
                    self.messages.done("The picture is on the clipboard.");
                }
            }
        }
        if self.session.opening_percent().is_some()
            || self.session.is_reading()
            || self.keeper.is_busy()
        {
            ctx.request_repaint_after(std::time::Duration::from_millis(60));
        }
    }

    fn look_at_first_character(&mut self) {
        if let Some(span) = self.look_at {
            // It may lie behind the beginning that is shown first.
            if self.session.document().is_some_and(|d| d.whole) {
                (self.look_at, self.first_look) = (None, false);
                self.go_to(span);
            }
            return;
        }
        if let Some(first) = self.session.whole().characters.first() {
            self.first_look = false;
            let from_s = first.at_s - FIRST_LOOK_S / 20.0;
            self.span = Span::new(from_s, FIRST_LOOK_S).kept_within(self.end_s());
        }
    }

    fn take_files(&mut self, ctx: &Context) {
        match self.ask.show(ctx) {
            Some((Purpose::Recording, path)) => self.open(path),
            Some((purpose, path)) => match (self.waiting.take(), purpose) {
                (Some(Waiting::View(view)), Purpose::Keep(kept)) => {
                    self.keeper.keep(ctx, *view, kept, path);
                }
                (Some(Waiting::Tape(tape, bench)), Purpose::Tape) => {
                    self.keeper.keep_tape(ctx, tape, *bench, path);
                }
                _ => {}
            },
            None => {}
        }
        if !self.ask.is_open() {
            self.waiting = None;
        }
    }

    fn show_windows(&mut self, ctx: &Context) {
        if self.keys_shown {
            self.keys_shown = key_sheet(ctx);
        }
        if self.words_shown {
            self.words_shown = glossary(ctx);
        }
        let theme = self.preferences.theme;
        if let Some(made) = self.tape_desk.show(ctx, &mut self.session, theme) {
            match made.what_for {
                For::Chain => {
                    self.look_elsewhere();
                    self.session.show_tape(&made.tape);
                    self.loose.hold(made.tape);
                }
                #[cfg(feature = "live")]
                For::Player => self.player.open(made.tape, self.session.bench),
                For::File => self.ask_to_save(made.tape, ctx),
            }
        }
        match self.shelf.show(ctx, &self.session.bench) {
            Some(ShelfHand::Use(bench)) => self.session.bench = *bench,
            Some(ShelfHand::Say(said)) => self.messages.say(said),
            None => {}
        }
    }

    /// Where the recording ends, in seconds.
    pub(super) fn end_s(&self) -> f64 {
        let document = self.session.document();
        document.map_or(FIRST_LOOK_S, |d| d.recording.duration_s())
    }

    /// Changes the ground of the page.
    pub(super) fn turn_page(&mut self, ctx: &Context) {
        self.preferences.theme = match self.preferences.theme {
            Theme::Light => Theme::Dark,
            Theme::Dark => Theme::Light,
        };
        style::set_theme(ctx, self.preferences.theme);
    }

    /// Does what a menu, a key or a button asks for.
    pub fn act(&mut self, action: Action, ctx: &Context) {
        self.messages.pass();
        super::acting::act(self, action, ctx);
    }
}

impl eframe::App for App {
    fn ui(&mut self, ui: &mut Ui, _frame: &mut eframe::Frame) {
        self.show(ui);
    }
}
