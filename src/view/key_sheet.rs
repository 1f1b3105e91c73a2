//! The sheet of keys.

use super::action::{Action, MENUS};
use super::style::bold;
use egui::{Context, Grid, Key, RichText, ScrollArea, Window};

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
    let room = ctx.content_rect().height() - 120.0;
    Window::new("Keys")
        .open(&mut open)
        .collapsible(false)
        .resizable(false)
        .anchor(egui::Align2::CENTER_CENTER, egui::Vec2::ZERO)
        .show(ctx, |ui| {
            ScrollArea::vertical().max_height(room).show(ui, |ui| {
                Grid::new("keys")
                    .num_columns(2)
                    .spacing([18.0, 3.0])
                    .show(ui, |ui| {
                        for (menu, entries) in MENUS {
                            ui.label(RichText::new(*menu).family(bold()));
                            ui.end_row();
                            for entry in entries.iter().filter(|e| e.key.is_some()) {
                                ui.monospace(entry.key_text());
                                let help = if entry.action == Action::Keys {
                                    "Show or hide this sheet."
                                } else {
                                    entry.help
                                };
                                ui.label(help);
                                ui.end_row();
                            }
                        }
                        ui.label(RichText::new("Mouse").family(bold()));
                        ui.end_row();
                        for (what, does) in MOUSE {
                            ui.label(what);
                            ui.label(does);
                            ui.end_row();
                        }
                    });
            });
        });
    open && !ctx.input(|i| i.key_pressed(Key::Escape))
}
