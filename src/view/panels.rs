//! The parts of the window around and between the cards.

use super::action::{Action, Entry};
use super::app::App;
use super::lane_area::lane_area;
use super::menus::MENUS;
use super::message::Message;
use super::read_out::{Ground, character_text, marks_text, pointer_text};
use super::sample;
use super::selection::Selection;
use super::side::{Side, lengths_chart, spectrum_chart};
use super::style::{bold, colour};
use super::survey::Survey;
use crate::picture::{Ink, LaneChoice, Scene};
use crate::settings::PRESETS;
use crate::signal::Traces;
use crate::study::explain;
use crate::units::{self, Unit};
use egui::containers::menu::{MenuButton, MenuConfig};
use egui::{
    Align, Button, Context, Layout, PopupCloseBehavior, RichText, ScrollArea, Ui, UiBuilder,
};
use std::sync::Arc;

/// Name, menus, what is open, and what is to be said.
pub(super) fn head(app: &mut App, ui: &mut Ui) {
    let faint = colour(app.preferences.theme, Ink::Faint);
    ui.horizontal(|ui| {
        ui.label(RichText::new("Pulsewright").family(bold()).size(16.0));
        ui.add_space(6.0);
        for (title, entries) in MENUS {
            menu(ui, title, |ui| {
                for entry in *entries {
                    menu_entry(app, ui, entry);
                }
                if *title == "Settings" {
                    ui.separator();
                    presets(app, ui);
                }
                if *title == "Look" {
                    ui.separator();
                    lane_choice(app, ui);
                }
                if *title == "Keep" {
                    ui.separator();
                    load_address(app, ui);
                }
            });
        }
        ui.add_space(8.0);
        about(app, ui, faint);
        ui.with_layout(Layout::right_to_left(Align::Center), |ui| {
            let word = if app.held.is_some() {
                "Let go"
            } else {
                "Hold traces"
            };
            let action = if app.held.is_some() {
                Action::Release
            } else {
                Action::Hold
            };
            action_button(app, ui, action, word);
            let (can_undo, can_redo) = app.history.can();
            ui.add_enabled_ui(can_redo, |ui| action_button(app, ui, Action::Redo, "Redo"));
            ui.add_enabled_ui(can_undo, |ui| action_button(app, ui, Action::Undo, "Undo"));
            if let Some((name, changed)) = app.shelf.state(&app.session.bench) {
                let star = if changed { " (changed)" } else { "" };
                ui.label(RichText::new(format!("bench {name}{star}")).color(faint));
            }
        });
    });
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
        if let Some(hand) = app.listener.bar(ui, theme) {
            app.take_listen_hand(hand);
        }
        app.player.bar(ui);
    }
}

/// A menu that stays open while something in it is set; what does something closes it.
fn menu(ui: &mut Ui, title: &str, add: impl FnOnce(&mut Ui)) {
    let stays = MenuConfig::new().close_behavior(PopupCloseBehavior::CloseOnClickOutside);
    MenuButton::new(title).config(stays).ui(ui, add);
}

fn about(app: &App, ui: &mut Ui, faint: egui::Color32) {
    match app.session.document() {
        Some(d) => {
            ui.label(RichText::new(&d.about.name).family(bold()));
            let about = format!(
                "{}, {}, {}",
                d.about.format,
                units::show(f64::from(d.about.rate_hz), Unit::Hertz),
                units::clock(d.recording.duration_s())
            );
            ui.label(RichText::new(about).color(faint));
            if !d.about.notes.is_empty() {
                let ink = colour(app.preferences.theme, Ink::Fault);
                let notes = d.about.notes.join("\n");
                ui.label(RichText::new("see note").color(ink))
                    .on_hover_text(notes);
            }
        }
        None => {
            ui.label(RichText::new("no recording").color(faint));
        }
    }
    if let Some(percent) = app.session.opening_percent() {
        ui.spinner();
        ui.label(format!("opening, {percent} %"));
    } else if app.session.is_reading() || app.keeper.is_busy() {
        ui.spinner();
    }
}

/// A button for an action, with its help and key.
fn action_button(app: &mut App, ui: &mut Ui, action: Action, word: &str) {
    let entry = action.entry();
    let help = format!("{} {}", entry.help, bracketed(&entry.key_text()));
    if ui.button(word).on_hover_text(help).clicked() {
        app.act(action, ui.ctx());
    }
}

fn bracketed(key: &str) -> String {
    if key.is_empty() {
        String::new()
    } else {
        format!("({key})")
    }
}

fn menu_entry(app: &mut App, ui: &mut Ui, entry: &Entry) {
    let absent = (entry.action == Action::Sample && sample().is_none())
        || (entry.action == Action::Listen && !cfg!(feature = "live"));
    if absent {
        return;
    }
    let mut button = Button::new(entry.title);
    if entry.key.is_some() {
        button = button.shortcut_text(entry.key_text());
    }
    if ui.add(button).on_hover_text(entry.help).clicked() {
        app.act(entry.action, ui.ctx());
        ui.close();
    }
}

fn presets(app: &mut App, ui: &mut Ui) {
    for preset in &PRESETS {
        let button = ui.button(format!("Preset {}", preset.name));
        if button.on_hover_text(preset.help).clicked() {
            preset.apply(&mut app.session.bench);
            ui.close();
        }
    }
}

fn lane_choice(app: &mut App, ui: &mut Ui) {
    let lanes = &mut app.preferences.lanes;
    let shown = lanes.lanes.iter().filter(|l| l.2).count();
    for (lane, _, is_shown) in &mut lanes.lanes {
        // The last lane cannot be hidden.
        ui.add_enabled_ui(!*is_shown || shown > 1, |ui| {
            ui.checkbox(is_shown, lane.name())
                .on_hover_text("Show this lane.");
        });
    }
    ui.separator();
    let mut by_hand = lanes.scale_v.is_some();
    ui.checkbox(&mut by_hand, "Volts by hand")
        .on_hover_text("Set the height of the source lane yourself.");
    lanes.scale_v = by_hand.then(|| lanes.scale_v.unwrap_or(1.0));
    if let Some(volts) = &mut lanes.scale_v {
        let speed = *volts * 0.01;
        let drag = egui::DragValue::new(volts)
            .speed(speed)
            .range(LaneChoice::VOLTS)
            .custom_formatter(|v, _| units::show_digits(v, Unit::Volts, 3))
            .custom_parser(|t| units::parse(t, Unit::Volts).ok());
        ui.add(drag)
            .on_hover_text("Voltage at the top of the source lane.");
    }
}

fn load_address(app: &mut App, ui: &mut Ui) {
    ui.horizontal(|ui| {
        let label = ui.label("Load address");
        let drag = egui::DragValue::new(&mut app.listing.load_address)
            .hexadecimal(4, false, true)
            .prefix("0x");
        ui.add(drag)
            .labelled_by(label.id)
            .on_hover_text("Address of the first byte, in records and in the listing.");
    });
}

/// What the counts of the held traces mean.
const COUNTS: &str = "Each character now, against the one that began at the same time when the \
    traces were held.\n\
    The same: value and faults are the same, and the margin by 1% of a bit.\n\
    Better: a fault is gone, or the same value has more margin.\n\
    Worse: a fault came, or the same value has less margin.\n\
    Otherwise: another value or fault, or a character that is only in one of the two; which one \
    is right cannot be told.";

/// What the held traces say about the present ones.
fn held_bar(app: &mut App, ui: &mut Ui) {
    let Some(held) = &app.held else { return };
    let c = &held.comparison;
    let text = format!(
        "Against the held traces: {} read the same, {} better, {} worse, {} otherwise.",
        units::counted(c.same, "character"),
        c.better,
        c.worse,
        c.changed
    );
    let any = !c.differences.is_empty();
    ui.horizontal(|ui| {
        ui.label(text).on_hover_text(COUNTS);
        ui.add_enabled_ui(any, |ui| {
            action_button(app, ui, Action::PreviousDifference, "Difference before");
            action_button(app, ui, Action::NextDifference, "Next difference");
        });
    });
}

/// Overview and lanes.
pub(super) fn body(app: &mut App, ui: &mut Ui, traces: &Arc<Traces>) {
    let Some(document) = app.session.document().cloned() else {
        return;
    };
    let (whole, layout) = (app.session.whole(), app.session.layout());
    let theme = app.preferences.theme;
    let moved = app
        .overview
        .show(ui, &document, (&whole, &layout), app.span, theme);
    ui.add_space(3.0);
    let shaped = app
        .shaper
        .look(&document.recording, &app.session.bench.input);
    // In traces worked out for the view alone, the characters have other places.
    let selected = app.selected_in(&whole);
    let selected = selected.and_then(|c| {
        let near = |o: &crate::signal::Character| (o.at_s - c.at_s).abs() < c.instants.bit_s;
        let at = traces
            .characters
            .partition_point(|o| o.at_s < c.at_s - c.instants.bit_s);
        traces.characters.get(at).filter(|o| near(o)).map(|_| at)
    });
    let scene = Scene {
        recording: &document.recording,
        peaks: &document.peaks,
        traces,
        bench: &app.session.bench,
        shaped: Some(&shaped),
        ghost: app.held.as_ref().map(|h| &*h.traces),
        selected,
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
            let whole = app.session.whole();
            let hand = app
                .listing
                .show(ui, &whole.characters, app.selected(), theme);
            if let Some(index) = hand.select {
                app.select(index);
            }
        }
        Some(Side::Spectrum) => {
            let spectrum = survey.and_then(|s| s.spectrum.as_ref());
            spectrum_chart(ui, spectrum, &app.session.bench, theme);
        }
        Some(Side::Lengths) => match survey {
            Some(survey) => lengths_chart(ui, &survey.lengths, &app.session.bench, theme),
            None => {
                ui.spinner();
            }
        },
        None => {}
    }
}

/// What the foot says, for the clipboard: pointer, selection and why, marks.
pub(super) fn foot_text(app: &App, traces: &Traces) -> Vec<String> {
    let Some(document) = app.session.document() else {
        return Vec::new();
    };
    let ground = Ground {
        recording: &document.recording,
        traces,
    };
    let mut rows = Vec::new();
    rows.extend(marks_text(ground, app.marks));
    rows.extend(app.session.layout().advice.iter().cloned());
    rows.extend(app.hover.map(|h| pointer_text(ground, h)));
    let whole = app.session.whole();
    if let Some(c) = app.selected_in(&whole) {
        rows.push(character_text(c));
        if !app.session.is_reading() {
            rows.extend(explain(c, &whole, &app.session.bench));
        }
    }
    rows
}

/// The details: what lies under the pointer, what is selected and why it is so, the marks.
pub(super) fn foot(app: &mut App, ui: &mut Ui, traces: &Traces) {
    let faint = colour(app.preferences.theme, Ink::Faint);
    let rows = foot_text(app, traces);
    let area = ui.available_rect_before_wrap();
    let (left, right) = area.split_left_right_at_x(area.right() - 140.0);
    ui.scope_builder(UiBuilder::new().max_rect(left), |ui| {
        let scroll = ScrollArea::vertical()
            .id_salt("details")
            .auto_shrink([false; 2]);
        scroll.show(ui, |ui| {
            ui.spacing_mut().item_spacing.y = 1.0;
            if rows.is_empty() {
                let hint = "Point at a lane to read it; click a character to learn about it. \
                            Wheel: nearer and farther. Drag: move. ? shows all keys.";
                ui.label(RichText::new(hint).color(faint));
            }
            for row in &rows {
                ui.label(row);
            }
        });
    });
    let layout = Layout::top_down(Align::Max);
    ui.scope_builder(UiBuilder::new().max_rect(right).layout(layout), |ui| {
        let shown = units::show_digits(app.span.length_s(), Unit::Seconds, 4);
        ui.label(RichText::new(format!("{shown} shown")).color(faint));
        action_button(app, ui, Action::CopyReadOut, "Copy read-out");
    });
}

/// What stands where no recording is open: the ways to begin.
pub(super) fn empty(app: &mut App, ui: &mut Ui) {
    let ctx: Context = ui.ctx().clone();
    ui.vertical_centered(|ui| {
        ui.add_space((ui.available_height() / 2.0 - 150.0).max(10.0));
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
            choose(ui, Action::Sample, "Try the tide log of Saltmere");
        }
        #[cfg(feature = "live")]
        choose(ui, Action::Listen, "Listen to a player…");
        choose(ui, Action::MakeTape, "Make a tape…");
        choose(ui, Action::Keys, "See the keys");
    });
}
