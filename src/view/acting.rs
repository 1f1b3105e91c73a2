//! What the actions do.

use super::action::Action;
use super::app::{App, FIRST_LOOK_S, Held};
use super::file_ask::Purpose;
use super::foot::foot_text;
use super::keep::{Kept, View, Waiting};
use super::message::{Mend, Message};
use super::read_out::snapped_s;
use super::sample;
use super::selection::Selection;
use super::side::Side;
use crate::picture::{Lane, LaneChoice, Span};
use crate::settings::Bench;
use crate::signal::{Character, Traces};
use crate::study::Comparison;
use crate::tape::Tape;
use egui::Context;
use std::ops::Range;
use std::sync::Arc;

/// How many times as high a key makes a lane.
const LANE_STEP: f32 = 1.2;

/// Does an action.
pub(super) fn act(app: &mut App, action: Action, ctx: &Context) {
    match action {
        Action::Open => app.ask.ask(ctx, Purpose::Recording, ""),
        Action::OpenPath => app.ask.type_path(Purpose::Recording, "", ""),
        Action::Sample => match sample() {
            Some(path) => app.open(path),
            None => app
                .messages
                .failed("The sample recording is not beside the program."),
        },
        Action::MakeTape => app.tape_desk.open(),
        #[cfg(feature = "live")]
        Action::Listen => app.listener.open(),
        #[cfg(feature = "live")]
        Action::Reconnect => {
            if let Err(why) = app.listener.reconnect(&app.session.bench) {
                app.messages.failed(why);
            }
        }
        #[cfg(not(feature = "live"))]
        Action::Listen | Action::Reconnect => app
            .messages
            .failed("This build cannot listen: it has no sound."),
        Action::SavePng => app.ask_to_keep(Kept::Png, ctx),
        Action::SaveSvg => app.ask_to_keep(Kept::Svg, ctx),
        Action::SaveBytes => app.ask_to_keep(Kept::Bytes, ctx),
        Action::SaveListing => app.ask_to_keep(Kept::Listing, ctx),
        Action::SaveVcd => app.ask_to_keep(Kept::Vcd, ctx),
        Action::SaveCsv => app.ask_to_keep(Kept::Csv, ctx),
        Action::SaveIntelHex => app.ask_to_keep(Kept::IntelHex, ctx),
        Action::SaveSRecords => app.ask_to_keep(Kept::SRecords, ctx),
        Action::CopyPicture => {
            if let Some(view) = app.view() {
                app.keeper.copy_picture(ctx, view);
            }
        }
        Action::Undo => app.session.bench = app.history.undo().unwrap_or(app.session.bench),
        Action::Redo => app.session.bench = app.history.redo().unwrap_or(app.session.bench),
        Action::ResetKnob => match app.knob_in_hand {
            Some(knob) => knob.set_clamped(&mut app.session.bench, knob.default()),
            None => app.messages.done("No knob has been turned yet."),
        },
        Action::ResetAll => app.session.bench = Bench::default(),
        Action::SaveBench => match app.shelf.save(&app.session.bench) {
            Ok(said) => app.messages.put(said.map(Message::Done)),
            Err(why) => app.messages.failed(why),
        },
        Action::Benches => app.shelf.open(),
        Action::Hold => app.hold(),
        Action::Release => app.held = None,
        Action::TakeAdvice => app.take_advice(),
        Action::NextDifference => app.go_difference(true),
        Action::PreviousDifference => app.go_difference(false),
        Action::NextCharacter => app.step(1),
        Action::PreviousCharacter => app.step(-1),
        Action::NextFault => app.go_fault(true),
        Action::PreviousFault => app.go_fault(false),
        Action::NextBlock => app.go_block(true),
        Action::PreviousBlock => app.go_block(false),
        Action::Weaker => app.go_weaker(true),
        Action::Stronger => app.go_weaker(false),
        Action::NextFalseStart => app.go_false_start(true),
        Action::PreviousFalseStart => app.go_false_start(false),
        Action::Find => {
            app.preferences.side = Some(Side::Listing);
            app.listing.wants_focus = true;
        }
        Action::FindNext => app.find(true),
        Action::FindPrevious => app.find(false),
        Action::Earlier => app.go_to(app.span.moved(-app.span.length_s() / 8.0)),
        Action::Later => app.go_to(app.span.moved(app.span.length_s() / 8.0)),
        Action::Nearer => app.zoom(0.5),
        Action::Farther => app.zoom(2.0),
        Action::Begin => app.go_to(app.span.moved(-app.span.from_s)),
        Action::End => app.go_to(app.span.moved(app.end_s() - app.span.to_s)),
        Action::Whole => app.go_to(Span::new(0.0, app.end_s())),
        Action::ShowSelected => app.show_selected(),
        Action::MarkA => app.mark(0),
        Action::MarkB => app.mark(1),
        Action::ClearMarks => app.marks = [None; 2],
        Action::CopyReadOut => {
            let traces = app.session.traces(app.span);
            ctx.copy_text(foot_text(app, &traces).join("\n"));
            app.messages.done("The read-out is on the clipboard.");
        }
        Action::Details => app.preferences.details = !app.preferences.details,
        Action::Listing => app.turn_side(Side::Listing),
        Action::Spectrum => app.turn_side(Side::Spectrum),
        Action::Lengths => app.turn_side(Side::Lengths),
        Action::HigherLane => app.resize_lane(LANE_STEP),
        Action::LowerLane => app.resize_lane(1.0 / LANE_STEP),
        Action::NextLane => app.choose_next_lane(),
        Action::ResetLanes => app.preferences.lanes = LaneChoice::default(),
        Action::Theme => app.turn_page(ctx),
        Action::Words => app.words_shown = !app.words_shown,
        Action::Keys => app.keys_shown = !app.keys_shown,
    }
}

impl App {
    /// Makes way for what is opened by hand.
    pub(super) fn look_elsewhere(&mut self) {
        self.look_at = None;
        #[cfg(feature = "live")]
        if self.listener.leave() {
            self.messages
                .done("The capture goes on and is kept; Go on shows it again.");
        }
    }

    /// Shows this stretch, as far as it lies on the recording.
    pub(super) fn go_to(&mut self, span: Span) {
        self.span = span.kept_within(self.end_s());
    }

    fn zoom(&mut self, factor: f64) {
        let hold_s = self.hover.map_or(self.span.middle_s(), |h| h.at_s);
        self.go_to(self.span.zoomed(factor, hold_s));
    }

    fn turn_side(&mut self, side: Side) {
        let open = self.preferences.side == Some(side);
        self.preferences.side = (!open).then_some(side);
    }

    /// Makes the lane at the pointer, or the one chosen last, so many times as high.
    fn resize_lane(&mut self, factor: f32) {
        self.lane = self.hover.map_or(self.lane, |h| h.lane);
        self.preferences.lanes.grow(self.lane, factor);
    }

    /// Chooses the next of the lanes that are shown, after the last the first.
    fn choose_next_lane(&mut self) {
        let shown = self.preferences.lanes.shown().map(|l| l.0);
        let shown: Vec<Lane> = shown.collect();
        let here = shown.iter().position(|l| *l == self.lane);
        let next = here.map_or(0, |i| (i + 1) % shown.len());
        self.lane = shown.get(next).copied().unwrap_or(self.lane);
        let name = self.lane.name();
        let said = format!("Up and Down change the height of the lane '{name}'.");
        self.messages.done(said);
    }

    /// Selects a character and moves there where it is not in view.
    pub(super) fn select(&mut self, index: usize) {
        self.select_all(index..index + 1);
    }

    /// Selects characters and moves there where they are not in view: to the first of them where
    /// the view does not hold them all.
    pub(super) fn select_all(&mut self, range: Range<usize>) {
        let whole = self.session.whole();
        let Some([first, rest @ ..]) = whole.characters.get(range.clone()) else {
            return;
        };
        self.selected = Selection::all_of(&whole.characters, range);
        self.stands_at_s = None;
        let ends = |last: &Character| (first.line_start_s, last.line_end_s());
        let all = ends(rest.last().unwrap_or(first));
        let (from_s, to_s) = match all.1 - all.0 <= self.span.length_s() {
            true => all,
            false => ends(first),
        };
        if from_s < self.span.from_s || to_s > self.span.to_s {
            let middle_s = (from_s + to_s) / 2.0;
            self.go_to(self.span.moved(middle_s - self.span.middle_s()));
        }
    }

    /// The selected character, where these traces of the whole recording have it.
    pub(super) fn selected_in<'a>(&self, whole: &'a Traces) -> Option<&'a Character> {
        whole.characters.get(self.selected()?)
    }

    fn hold(&mut self) {
        #[cfg(feature = "live")]
        if self.listener.is_rolling() {
            self.messages
                .failed("The traces roll; freeze them first, then hold them.");
            return;
        }
        if self.session.is_reading() {
            self.messages.failed_until(
                Mend::Reading,
                "The recording is still being read with these settings; hold its traces when it is.",
            );
            return;
        }
        let traces = self.session.whole();
        let comparison = Comparison {
            both: traces.characters.len(),
            ..Comparison::default()
        };
        self.held = self.session.document().map(|_| Held { traces, comparison });
    }

    fn take_advice(&mut self) {
        match self.session.advice().first().cloned() {
            Some(advice) => advice.apply(&mut self.session.bench),
            None => self
                .messages
                .done("No change of settings is advised at present."),
        }
    }

    fn find(&mut self, forward: bool) {
        let (listed, before) = self.listed();
        self.preferences.side = Some(Side::Listing);
        let selected = self.selected().map(|i| i + before);
        let found = self.listing.find(&listed.characters, selected, forward);
        found
            .into_iter()
            .for_each(|range| self.select_listed(range));
    }

    fn show_selected(&mut self) {
        let whole = self.session.whole();
        let c = self.selected_in(&whole);
        let around = |c: &Character| {
            let length_s = c.line_end_s() - c.at_s;
            Span::new(c.at_s - length_s * 0.25, length_s * 1.5)
        };
        self.go_to(c.map_or(Span::new(self.span.middle_s(), FIRST_LOOK_S), around));
    }

    /// Sets a mark at the pointer, on the nearest edge; in the middle of the view where the
    /// pointer is elsewhere.
    pub(super) fn mark(&mut self, which: usize) {
        let traces = self.session.traces(self.span);
        let at_s = self
            .hover
            .map_or(self.span.middle_s(), |h| snapped_s(h, &traces));
        self.marks[which] = Some(at_s);
    }

    /// What is in view, as it is now; nothing and a message where there is nothing to keep.
    fn view(&mut self) -> Option<View> {
        let frozen = self.session.frozen();
        let Some((document, frozen)) = self.session.document().zip(frozen) else {
            self.messages.failed_until(
                Mend::Opening,
                "Open a recording first; then there is something to keep.",
            );
            return None;
        };
        if !document.whole && self.session.opening_percent().is_some() {
            self.messages.failed_until(
                Mend::Opening,
                "The rest of the recording is still being opened; try again when it is.",
            );
            return None;
        }
        Some(View {
            name: document.about.name.clone(),
            frozen,
            captured: self.captured().cloned(),
            span: self.span,
            lanes: self.preferences.lanes,
            marks: self.marks,
            load_address: self.listing.load_address,
        })
    }

    /// Asks where to save a made tape, with the settings as they are now.
    pub(super) fn ask_to_save(&mut self, tape: Arc<Tape>, ctx: &Context) {
        if !self.ask.is_open() {
            self.ask.ask(ctx, Purpose::Tape, "tape.wav");
            self.waiting = Some(Waiting::Tape(tape, Box::new(self.session.bench)));
        }
    }

    /// Asks where to keep what is in view now.
    fn ask_to_keep(&mut self, kept: Kept, ctx: &Context) {
        if self.ask.is_open() {
            return;
        }
        let Some(view) = self.view() else { return };
        if view.captured.is_some() && matches!(kept, Kept::Vcd | Kept::Csv) {
            self.messages.failed(
                "While the lanes roll, only their last stretch has traces; freeze them first, and \
                 keep the traces of all that was captured.",
            );
            return;
        }
        let stem = view.name.rsplit_once('.');
        let stem = stem.map_or(view.name.as_str(), |n| n.0);
        let suggestion = format!("{stem}.{}", kept.ending());
        self.ask.ask(ctx, Purpose::Keep(kept), &suggestion);
        self.waiting = Some(Waiting::View(Box::new(view)));
    }
}
