//! The head of the window: name, menus, what is open, undo and redo.

use super::action::{Action, Entry};
use super::app::App;
use super::hint::hint_beside;
use super::menus::MENUS;
use super::panels::recent;
use super::sample;
use super::style::{bold, colour};
use crate::picture::{Ink, LaneChoice, shortened};
use crate::settings::PRESETS;
use crate::units::{self, Unit};
use egui::containers::menu::{MenuButton, MenuConfig};
use egui::{Align, Button, Context, Label, Layout, Order, Popup, PopupCloseBehavior, RichText, Ui};

/// Letters of a recording's name in the head, at the most.
const NAME_LETTERS: usize = 40;
/// Width of a few letters, in points.
const LETTERS_WIDTH: f32 = 28.0;

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
                if *title == "Recording" {
                    recent(app, ui, usize::MAX);
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
                let name = shortened(name, 16);
                ui.label(RichText::new(format!("bench {name}{star}")).color(faint));
            }
            // What is left of the row; a long name must not run into the rest.
            ui.with_layout(Layout::left_to_right(Align::Center), |ui| {
                about(app, ui, faint);
            });
        });
    });
}

/// A menu that stays open while something in it is set; what does something closes it.
fn menu(ui: &mut Ui, title: &str, add: impl FnOnce(&mut Ui)) {
    let stays = MenuConfig::new().close_behavior(PopupCloseBehavior::CloseOnClickOutside);
    MenuButton::new(title).config(stays).ui(ui, add);
}

/// Closes an open menu when the hand drags something that lies under it.
pub(super) fn close_left_menu(ctx: &Context) {
    let drags = ctx.input(|i| i.pointer.is_decidedly_dragging());
    let origin = ctx.input(|i| i.pointer.press_origin()).filter(|_| drags);
    let under = |at| {
        let layer = ctx.layer_id_at(at);
        layer.is_none_or(|l| matches!(l.order, Order::Background | Order::Middle))
    };
    if origin.is_some_and(under) {
        Popup::close_all(ctx);
    }
}

/// What is open, in what room there is.
fn about(app: &App, ui: &mut Ui, faint: egui::Color32) {
    if let Some(percent) = app.session.opening_percent() {
        ui.spinner();
        ui.label(format!("opening, {percent} %"));
    } else if app.session.is_reading() || app.keeper.is_busy() {
        ui.spinner();
    }
    let Some(d) = app.session.document() else {
        ui.label(RichText::new("no recording").color(faint));
        return;
    };
    if !d.about.notes.is_empty() {
        let ink = colour(app.preferences.theme, Ink::Fault);
        let notes = d.about.notes.join("\n");
        ui.label(RichText::new("see note").color(ink))
            .on_hover_text(notes);
    }
    let channels = match d.about.channels {
        0 => String::new(),
        n => format!("{}, ", units::counted(n as usize, "channel")),
    };
    let about = format!(
        "{}, {channels}{}, {}",
        d.about.format,
        units::show(f64::from(d.about.rate_hz), Unit::Hertz),
        units::clock(d.recording.duration_s())
    );
    let name = shortened(&d.about.name, NAME_LETTERS);
    let hint = format!("{}\n{about}", d.about.name);
    for text in [
        RichText::new(name).family(bold()),
        RichText::new(about).color(faint),
    ] {
        // What has no room for a few letters is left to the hint.
        if ui.available_width() >= LETTERS_WIDTH {
            ui.add(Label::new(text).truncate()).on_hover_text(&hint);
        }
    }
}

/// A button for an action, with its help and key.
pub(super) fn action_button(app: &mut App, ui: &mut Ui, action: Action, word: &str) {
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
        || (matches!(entry.action, Action::Listen | Action::Reconnect) && !cfg!(feature = "live"));
    if absent {
        return;
    }
    let mut button = Button::new(entry.title);
    if entry.key.is_some() {
        button = button.shortcut_text(entry.key_text());
    }
    if hint_beside(ui.add(button), entry.help).clicked() {
        app.act(entry.action, ui.ctx());
        ui.close();
    }
}

fn presets(app: &mut App, ui: &mut Ui) {
    for preset in &PRESETS {
        let button = ui.button(format!("Preset {}", preset.name));
        if hint_beside(button, preset.help).clicked() {
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
            .update_while_editing(false)
            .range(LaneChoice::VOLTS)
            .custom_formatter(|v, _| units::show_digits(v, Unit::Volts, 3))
            .custom_parser(|t| units::parse(t, Unit::Volts).ok());
        ui.horizontal(|ui| {
            let label = ui.label("Volts at the top");
            ui.add(drag)
                .labelled_by(label.id)
                .on_hover_text("Voltage at the top of the source lane.");
        });
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
