//! The parts of the window around and between the cards.

use super::action::Action;
use super::app::App;
use super::head::action_button;
use super::lane_area::lane_area;
use super::message::Message;
use super::opening::Document;
use super::overview_strip::Stamp;
use super::sample;
use super::selection::Selection;
use super::side::{Side, lengths_chart, spectrum_chart};
use super::style::{bold, colour};
use super::survey::Survey;
use crate::picture::{Ink, OverviewSpec, Scene, Span, overview, shortened};
use crate::signal::Traces;
use crate::study::Comparison;
use crate::units;
use egui::{Align, Button, Context, Layout, RichText, ScrollArea, Ui};
use std::sync::Arc;

/// The least width of the panel beside the lanes: a row of the listing.
pub(super) const SIDE_LEAST: f32 = 316.0;
/// Letters of the name of a recent recording, at the most.
const RECENT_LETTERS: usize = 36;
/// Recent recordings that an empty window offers, at the most.
const RECENT_OFFERED: usize = 3;
/// The least width that it leaves to the lanes.
const LANES_LEAST: f32 = 420.0;

/// The greatest width of the panel beside the lanes, of so much for both.
pub(super) fn side_most(room: f32) -> f32 {
    (room - LANES_LEAST).max(SIDE_LEAST)
}

/// What is to be said, and what the held traces say; below the cards, so that those stay in
/// their place under the hand.
pub(super) fn said(app: &mut App, ui: &mut Ui) {
    let message = app.messages.present().map(|message| match message {
        Message::Done(text) => (text.clone(), Ink::Squarer),
        Message::Failed(text) => (text.clone(), Ink::Fault),
    });
    if let Some((text, ink)) = message {
        ui.horizontal_wrapped(|ui| {
            ui.label(RichText::new(text).color(colour(app.preferences.theme, ink)));
            if ui.small_button("Dismiss").clicked() {
                app.messages.put(None);
            }
        });
    }
    held_bar(app, ui);
    #[cfg(feature = "live")]
    {
        let theme = app.preferences.theme;
        if let Some(hand) = app.listener.bar(ui, &app.session.bench, theme) {
            app.take_listen_hand(hand);
        }
        app.player.bar(ui);
    }
}

/// What the counts of the held traces mean.
const COUNTS: &str = "Each character now, against the one that stood in its place when the traces \
    were held.\n\
    Other bytes: it has another value. Which of the two is right cannot be told.\n\
    Margins: the same byte without a fault, with at least 1% of a bit less or more.\n\
    Faults: one that it did not have, or no longer has.\n\
    One character may be counted more than once. Select it to see what it was.";

/// What the held traces say about the present ones.
fn counts(c: &Comparison) -> String {
    let mut text = format!(
        "Against the held traces, in {}: {} differ; margin less in {}, more in {}; faults new in \
         {}, gone in {}",
        units::counted(c.both, "character"),
        units::counted(c.other_value, "byte"),
        c.less_margin,
        c.more_margin,
        c.fault_came,
        c.fault_went
    );
    if c.new + c.gone > 0 {
        text += &format!("; characters only now {}, only held {}", c.new, c.gone);
    }
    text + "."
}

/// The bar for held traces.
fn held_bar(app: &mut App, ui: &mut Ui) {
    let Some(held) = &app.held else { return };
    let c = &held.comparison;
    let text = counts(c);
    let any = !c.differences.is_empty();
    ui.horizontal_wrapped(|ui| {
        ui.label(text).on_hover_text(COUNTS);
        ui.add_enabled_ui(any, |ui| {
            action_button(app, ui, Action::PreviousDifference, "Difference before");
            action_button(app, ui, Action::NextDifference, "Next difference");
        });
    });
}

/// The overview: of the recording, or of all that was captured. Gives the stretch of the recording
/// that is to be shown where the hand has moved it.
fn whole_strip(app: &mut App, ui: &mut Ui, document: &Document) -> Option<Span> {
    let theme = app.preferences.theme;
    #[cfg(feature = "live")]
    if app.session.is_stretch() {
        let (listener, by_s) = (&app.listener, document.recording.begins_at_s());
        let captured = listener.captured();
        let shown = (captured.stamp(), captured.traces.end_s);
        let span = app.span.moved(by_s);
        let draw = |strip, density| listener.overview(strip, density);
        let moved = app.overview.show(ui, shown, span, theme, draw);
        moved.into_iter().for_each(|span| app.stand_still(span));
        return None;
    }
    let (whole, layout) = (app.session.whole(), app.session.layout());
    let (_, samples) = document.recording.kept();
    let shown = (
        Stamp::Read(Arc::clone(&whole)),
        document.recording.duration_s(),
    );
    app.overview
        .show(ui, shown, app.span, theme, |strip, density| {
            let spec = OverviewSpec {
                duration_s: document.recording.duration_s(),
                samples: samples.len(),
                extent: &|range| document.peaks.extent(samples, range),
                gaps: document.recording.gaps(),
                traces: &whole,
                margins: &layout.margins,
                blocks: &layout.blocks,
                leaders: &layout.leaders,
            };
            overview(&spec, strip, density)
        })
}

/// Overview and lanes.
pub(super) fn body(app: &mut App, ui: &mut Ui, traces: &Arc<Traces>) {
    let Some(document) = app.session.document().cloned() else {
        return;
    };
    let whole = app.session.whole();
    let theme = app.preferences.theme;
    let moved = whole_strip(app, ui, &document);
    ui.add_space(3.0);
    let shaped = app
        .shaper
        .look(&document.recording, &app.session.bench.input);
    let summary = app.summarizer.look(traces, &app.session.bench, app.span);
    // In traces worked out for the view alone, the characters have other places.
    let selected = app.selected.and_then(|s| s.among(&traces.characters));
    let scene = Scene {
        recording: &document.recording,
        peaks: &document.peaks,
        traces,
        bench: &app.session.bench,
        shaped: Some(&shaped),
        summary,
        ghost: app.held.as_ref().map(|h| &*h.traces),
        selected: selected.map(Selection::chosen),
        marks: app.marks,
    };
    let hand = lane_area(ui, &scene, app.span, &mut app.preferences.lanes, theme);
    app.hover = hand.hover;
    if let Some(at_s) = hand.clicked_s {
        let hit = whole.characters.partition_point(|c| c.line_end_s() < at_s);
        let inside = whole
            .characters
            .get(hit)
            .is_some_and(|c| c.line_start_s <= at_s);
        app.selected = Selection::of(&whole.characters, hit).filter(|_| inside);
        app.stands_at_s = None;
    }
    if let Some(which) = hand.mark {
        app.mark(which);
    }
    if let Some(span) = moved.or(hand.span) {
        app.go_to(span);
    }
}

/// The panel beside the lanes.
pub(super) fn side(app: &mut App, ui: &mut Ui, survey: Option<&Survey>) {
    ui.add_space(2.0);
    ui.horizontal(|ui| {
        for side in Side::ALL {
            ui.selectable_value(&mut app.preferences.side, Some(side), side.title());
        }
        ui.with_layout(Layout::right_to_left(Align::Center), |ui| {
            if ui
                .small_button("Close")
                .on_hover_text("Close this panel.")
                .clicked()
            {
                app.preferences.side = None;
            }
        });
    });
    ui.add_space(2.0);
    let theme = app.preferences.theme;
    match app.preferences.side {
        Some(Side::Listing) => {
            let (listed, before) = app.listed();
            let selected = app.selected.map(|s| s.chosen().after(before));
            let hand = app.listing.show(ui, &listed.characters, selected, theme);
            hand.into_iter().for_each(|range| app.select_listed(range));
        }
        Some(chart) => {
            let room = ui.available_height();
            let scroll = ScrollArea::vertical().auto_shrink(false);
            scroll.show(ui, |ui| match (chart, survey) {
                (Side::Spectrum, _) => {
                    let spectrum = survey.and_then(|s| s.spectrum.as_ref());
                    spectrum_chart(ui, room, spectrum, &app.session.bench, theme);
                }
                (_, Some(survey)) => lengths_chart(ui, room, survey, &app.session.bench, theme),
                (_, None) => {
                    ui.spinner();
                }
            });
        }
        None => {}
    }
}

/// What stands where no recording is open: the ways to begin.
pub(super) fn empty(app: &mut App, ui: &mut Ui) {
    let ctx: Context = ui.ctx().clone();
    ui.vertical_centered(|ui| {
        ui.add_space((ui.available_height() / 2.0 - 200.0).max(6.0));
        let title = "See what each stage makes of a tape";
        ui.label(RichText::new(title).family(bold()).size(21.0));
        ui.add_space(8.0);
        ui.label(
            "Drop a recording on this window, or open one: WAV, FLAC, MP3, Ogg, AIFF or M4A.\n\
             It runs through the circuit above, from left to right; every stage gets a lane.",
        );
        ui.add_space(12.0);
        let mut choose = |ui: &mut Ui, action: Action, word: &str| {
            let button = Button::new(RichText::new(word).size(14.0)).min_size([230.0, 30.0].into());
            if ui.add(button).on_hover_text(action.entry().help).clicked() {
                app.act(action, &ctx);
            }
            ui.add_space(4.0);
        };
        choose(ui, Action::Open, "Open a recording…");
        choose(ui, Action::OpenPath, "Type its path…");
        if sample().is_some() {
            choose(ui, Action::Sample, "Open the sample");
        }
        #[cfg(feature = "live")]
        choose(ui, Action::Listen, "Listen to a player…");
        choose(ui, Action::MakeTape, "Make a tape…");
        choose(ui, Action::Keys, "See the keys");
        recent(app, ui, RECENT_OFFERED);
    });
}

/// At most so many of the recordings that were open last, to open one of them again.
pub(super) fn recent(app: &mut App, ui: &mut Ui, most: usize) {
    let paths = app.preferences.recent.paths();
    let paths = paths[..paths.len().min(most)].to_vec();
    if paths.is_empty() {
        return;
    }
    ui.add_space(4.0);
    ui.weak("Recent");
    for path in paths {
        let name = path.file_name().unwrap_or_default().to_string_lossy();
        let button = Button::new(shortened(&name, RECENT_LETTERS)).small();
        let button = ui.add(button).on_hover_text(path.display().to_string());
        if button.clicked() {
            app.open(path);
            ui.close();
        }
    }
}
