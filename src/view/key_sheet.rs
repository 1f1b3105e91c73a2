//! The sheet of keys.

use super::action::Entry;
use super::menus::MENUS;
use super::style::bold;
use egui::{Context, Key, RichText, ScrollArea, Ui, Window};

/// What the mouse does, beside the keys.
const MOUSE: [(&str, &str); 8] = [
    ("wheel", "nearer and farther at the pointer"),
    ("Shift+wheel", "earlier and later"),
    ("drag on the lanes", "move along the recording"),
    ("drag a lane's lower edge", "change its height"),
    ("click on a lane", "select the character there"),
    ("Shift+click, Ctrl+click", "set mark A, mark B"),
    ("double click on a knob's name", "set its default"),
    ("Shift and drag on a knob", "turn it finely"),
];

/// Draws the sheet; gives whether it stays open.
pub fn key_sheet(ctx: &Context) -> bool {
    let mut open = true;
    let room = ctx.content_rect().size() - egui::vec2(40.0, 90.0);
    Window::new("Keys")
        .open(&mut open)
        .collapsible(false)
        .resizable(false)
        .anchor(egui::Align2::CENTER_CENTER, egui::Vec2::ZERO)
        .show(ctx, |ui| {
            ui.set_max_width(room.x.min(980.0));
            ScrollArea::vertical().max_height(room.y).show(ui, |ui| {
                ui.columns(2, |columns| {
                    let (left, right) = MENUS.split_at(4);
                    for menu in left {
                        menu_keys(&mut columns[0], menu);
                    }
                    for menu in right {
                        menu_keys(&mut columns[1], menu);
                    }
                    head(&mut columns[1], "Mouse");
                    for (what, does) in MOUSE {
                        row(&mut columns[1], what, does);
                    }
                });
            });
        });
    open && !ctx.input(|i| i.key_pressed(Key::Escape))
}

fn menu_keys(ui: &mut Ui, (title, entries): &(&str, &[Entry])) {
    head(ui, title);
    for entry in entries.iter().filter(|e| e.key.is_some()) {
        row(ui, &entry.key_text(), entry.help);
    }
}

fn head(ui: &mut Ui, title: &str) {
    ui.add_space(4.0);
    ui.label(RichText::new(title).family(bold()));
}

/// A key, or what the mouse does, with what comes of it.
fn row(ui: &mut Ui, what: &str, does: &str) {
    ui.horizontal_top(|ui| {
        ui.spacing_mut().item_spacing.y = 1.0;
        ui.allocate_ui(egui::vec2(116.0, 16.0), |ui| {
            ui.set_min_width(116.0);
            ui.add(egui::Label::new(RichText::new(what).small()).wrap());
        });
        ui.add(egui::Label::new(RichText::new(does).small()).wrap());
    });
}
