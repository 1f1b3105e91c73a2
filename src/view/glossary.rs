//! The words of the trade, for those who do not know them.

use super::style::bold;
use crate::glossary::WORDS;
use egui::{Context, Grid, Key, Label, RichText, ScrollArea, Window};

/// Draws the glossary; gives whether it stays open.
pub fn glossary(ctx: &Context) -> bool {
    let mut open = true;
    let room = ctx.content_rect().size() - egui::vec2(40.0, 90.0);
    Window::new("Words")
        .open(&mut open)
        .collapsible(false)
        .resizable(false)
        .pivot(egui::Align2::CENTER_CENTER)
        .default_pos(ctx.content_rect().center())
        .show(ctx, |ui| {
            ui.set_max_width(room.x.min(680.0));
            let scroll = ScrollArea::vertical().max_height(room.y);
            scroll.min_scrolled_height(room.y).show(ui, |ui| {
                Grid::new("words")
                    .num_columns(2)
                    .striped(true)
                    .show(ui, |ui| {
                        for (word, meaning) in WORDS {
                            ui.label(RichText::new(*word).family(bold()));
                            ui.scope(|ui| {
                                ui.set_max_width(520.0);
                                ui.add(Label::new(*meaning).wrap());
                            });
                            ui.end_row();
                        }
                    });
            });
        });
    open && !ctx.input(|i| i.key_pressed(Key::Escape))
}
