//! The sheet of keys.

use super::action::Entry;
use super::menus::MENUS;
use super::style::bold;
use egui::text::{LayoutJob, TextFormat};
use egui::{Context, FontFamily, FontId, Key, Label, RichText, ScrollArea, TextStyle, Ui, Window};

/// What the mouse does, beside the keys.
const MOUSE: [(&str, &str); 8] = [
    ("wheel", "nearer and farther at the pointer"),
    ("Shift+wheel", "earlier and later"),
    ("drag on the lanes", "move along the recording"),
    (
        "drag a lane's lower edge",
        "change its height against the next one's",
    ),
    ("click on a lane", "select the character there"),
    ("Shift+click, Ctrl+click", "set mark A, mark B"),
    ("double click on a knob's name", "set its default"),
    ("Shift and drag on a knob", "turn it finely"),
];

/// Which menus stand in which column.
const COLUMNS: [&[&str]; 3] = [
    &["Recording", "Keep", "Settings", "Measure"],
    &["Go"],
    &["Look", "Help"],
];
/// Room for a key, or for what the mouse does.
const KEY_WIDTH: f32 = 96.0;

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
            ui.set_max_width(room.x.min(1240.0));
            let scroll = ScrollArea::vertical().max_height(room.y);
            scroll.min_scrolled_height(room.y).show(ui, |ui| {
                ui.columns(COLUMNS.len(), |columns| {
                    for (ui, titles) in columns.iter_mut().zip(COLUMNS) {
                        let menus = MENUS.iter().filter(|m| titles.contains(&m.0));
                        menus.for_each(|menu| menu_keys(ui, menu));
                    }
                    head(&mut columns[1], "Mouse");
                    for (what, does) in MOUSE {
                        row(&mut columns[1], what, "", does);
                    }
                });
            });
        });
    open && !ctx.input(|i| i.key_pressed(Key::Escape))
}

fn menu_keys(ui: &mut Ui, (title, entries): &(&str, &[Entry])) {
    head(ui, title);
    for entry in entries.iter().filter(|e| e.key.is_some()) {
        row(ui, &entry.key_text(), entry.title, entry.help);
    }
}

fn head(ui: &mut Ui, title: &str) {
    ui.add_space(4.0);
    ui.label(RichText::new(title).family(bold()));
}

/// A key, or what the mouse does, with what it is called in the menu and what comes of it.
fn row(ui: &mut Ui, what: &str, title: &str, does: &str) {
    ui.horizontal_top(|ui| {
        ui.spacing_mut().item_spacing.y = 1.0;
        ui.allocate_ui(egui::vec2(KEY_WIDTH, 16.0), |ui| {
            ui.set_min_width(KEY_WIDTH);
            ui.add(Label::new(RichText::new(what).small()).wrap());
        });
        let format = |family: FontFamily| TextFormat {
            font_id: FontId::new(TextStyle::Small.resolve(ui.style()).size, family),
            color: ui.visuals().text_color(),
            ..Default::default()
        };
        let mut job = LayoutJob::default();
        if !title.is_empty() {
            job.append(title, 0.0, format(bold()));
            job.append("  ", 0.0, format(FontFamily::Proportional));
        }
        job.append(does, 0.0, format(FontFamily::Proportional));
        ui.add(Label::new(job).wrap());
    });
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_menu_stands_in_one_column() {
        let mut titles = COLUMNS.concat();
        titles.sort_unstable();
        let mut all: Vec<_> = MENUS.iter().map(|m| m.0).collect();
        all.sort_unstable();
        assert_eq!(titles, all);
    }
}
