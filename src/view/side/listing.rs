//! All characters as address, hexadecimal and text, in step with the selection.

use crate::picture::{Chosen, Ink, MONO_ADVANCE, Theme};
use crate::signal::Character;
use crate::study;
use crate::view::style::colour;
use egui::{
    Align2, FontId, Id, Key, Pos2, Rect, Role, ScrollArea, Sense, Stroke, TextEdit, Ui, Vec2,
    WidgetInfo,
};
use std::ops::Range;

/// Characters in a row.
const ROW: usize = 8;
/// Size of the lettering.
const SIZE: f32 = 13.0;
const ROW_HEIGHT: f32 = 19.0;

/// The listing with its search.
#[derive(Default)]
pub struct Listing {
    /// What is looked for, as typed.
    pub pattern: String,
    /// Whether the search wants the keyboard.
    pub wants_focus: bool,
    complaint: Option<String>,
    followed: Option<Chosen>,
    /// Address of the first character.
    pub load_address: u32,
}

impl Listing {
    /// A listing whose first character has this address.
    pub fn starting_at(load_address: u32) -> Self {
        Self {
            load_address,
            ..Default::default()
        }
    }

    /// The characters of the next place of the pattern after (or before) the selection.
    pub fn find(
        &mut self,
        characters: &[Character],
        selected: Option<usize>,
        forward: bool,
    ) -> Option<Range<usize>> {
        self.complaint = None;
        let pattern = match study::parse_pattern(&self.pattern) {
            Ok(pattern) => pattern,
            Err(why) => {
                self.complaint = Some(why);
                return None;
            }
        };
        let last = characters.len().saturating_sub(1);
        let from = selected.unwrap_or(if forward { last } else { 0 });
        let found = study::find(characters, &pattern, from, forward);
        if found.is_none() {
            self.complaint = Some(format!("'{}' does not occur.", self.pattern));
        }
        found
    }

    /// Draws the listing; gives the characters that are to be selected.
    pub fn show(
        &mut self,
        ui: &mut Ui,
        characters: &[Character],
        selected: Option<Chosen>,
        theme: Theme,
    ) -> Option<Range<usize>> {
        let first = selected.map(|s| s.first);
        let mut hand = ui.horizontal(|ui| self.search(ui, characters, first)).inner;
        if ui.input(|i| i.key_pressed(Key::Escape)) {
            self.complaint = None;
        }
        if let Some(complaint) = &self.complaint {
            ui.colored_label(colour(theme, Ink::Fault), complaint);
        }
        if characters.is_empty() {
            ui.weak("No character yet: turn the knobs until the framer finds some.");
            return hand;
        }
        let rows = characters.len().div_ceil(ROW);
        let mut area = ScrollArea::vertical().auto_shrink([false; 2]);
        let spacing = ui.spacing().item_spacing.y;
        if selected != self.followed {
            self.followed = selected;
            if let Some(index) = first {
                let row = (index / ROW) as f32 * (ROW_HEIGHT + spacing);
                area = area.vertical_scroll_offset((row - ui.available_height() / 2.0).max(0.0));
            }
        }
        area.show_rows(ui, ROW_HEIGHT, rows, |ui, visible| {
            for row in visible {
                let first = row * ROW;
                let row = &characters[first..(first + ROW).min(characters.len())];
                let places = (first, characters.len());
                if let Some(hit) = self.row(ui, row, places, selected, theme) {
                    let hit = first + hit;
                    self.followed = Some(Chosen {
                        first: hit,
                        count: 1,
                    });
                    hand = Some(hit..hit + 1);
                }
            }
        });
        hand
    }

    fn search(
        &mut self,
        ui: &mut Ui,
        characters: &[Character],
        selected: Option<usize>,
    ) -> Option<Range<usize>> {
        let id = Id::unique("find");
        if std::mem::take(&mut self.wants_focus) {
            // Before it is drawn, so that it takes what has been typed already.
            ui.memory_mut(|m| m.request_focus(id));
        }
        let edit = TextEdit::singleline(&mut self.pattern)
            .id(id)
            .hint_text("text, or 0x41 4C")
            .desired_width(ui.available_width() - 118.0);
        let edit = ui.add(edit);
        edit.widget_info(|| WidgetInfo::labeled(Role::SearchInput, true, "Find"));
        let edit = edit.on_hover_text("A text, or bytes in hexadecimal after 0x.");
        let enter = edit.lost_focus() && ui.input(|i| i.key_pressed(Key::Enter));
        let next = ui
            .button("Next")
            .on_hover_text("Find next (Ctrl+G).")
            .clicked();
        let previous = ui
            .button("Before")
            .on_hover_text("Find previous (Ctrl+Shift+G).")
            .clicked();
        if enter {
            edit.request_focus();
        }
        (enter || next || previous)
            .then(|| self.find(characters, selected, !previous))
            .flatten()
    }

    /// Draws the row that begins with character `first` of `count`; gives the place in it that was
    /// clicked.
    fn row(
        &self,
        ui: &mut Ui,
        row: &[Character],
        (first, count): (usize, usize),
        selected: Option<Chosen>,
        theme: Theme,
    ) -> Option<usize> {
        let font = FontId::monospace(SIZE);
        let advance = SIZE * MONO_ADVANCE;
        let size = Vec2::new(ui.available_width(), ROW_HEIGHT);
        let (area, response) = ui.allocate_exact_size(size, Sense::click());
        let address = self.load_address as usize + first;
        let text: String = row.iter().map(|c| letter(c.value)).collect();
        response.widget_info(|| {
            let hex: Vec<_> = row.iter().map(|c| format!("{:02X}", c.value)).collect();
            let label = format!("{address:04X} {} {text}", hex.join(" "));
            WidgetInfo::labeled(Role::ListItem, true, label)
        });
        let last = self.load_address as usize + count.saturating_sub(1);
        let digits = format!("{last:04X}").len();
        let hex_x = area.left() + (digits as f32 + 1.6) * advance;
        let text_x = hex_x + (ROW as f32 * 3.0 + 0.6) * advance;
        let painter = ui.painter();
        let y = area.center().y;
        let put = |x: f32, text: String, ink: Ink| {
            let at = Pos2::new(x, y);
            painter.text(
                at,
                Align2::LEFT_CENTER,
                text,
                font.clone(),
                colour(theme, ink),
            );
        };
        put(area.left(), format!("{address:0digits$X}"), Ink::Faint);
        for (i, c) in row.iter().enumerate() {
            let x = [
                hex_x + i as f32 * 3.0 * advance,
                text_x + i as f32 * advance,
            ];
            if selected.is_some_and(|s| s.holds(first + i)) {
                let edge = Stroke::new(1.0, colour(theme, Ink::Selection));
                // Letters stand next to each other, and so do their grounds.
                for (x, letters, beside) in [(x[0], 2.0, 2.0), (x[1], 1.0, 0.0)] {
                    let at = Pos2::new(x - beside, area.top());
                    let size = Vec2::new(letters * advance + 2.0 * beside, area.height());
                    let around = Rect::from_min_size(at, size);
                    painter.rect_filled(around, 0.0, colour(theme, Ink::Selected));
                    for y in [around.top() + 0.5, around.bottom() - 0.5] {
                        painter.hline(around.x_range(), y, edge);
                    }
                }
            }
            let ink = if c.faults.any() {
                Ink::Fault
            } else {
                Ink::Text
            };
            put(x[0], format!("{:02X}", c.value), ink);
            put(x[1], letter(c.value).to_string(), ink);
            if c.faults.any() {
                // A fault has a sign besides its colour.
                let y = y + SIZE * 0.62;
                let under = x[0]..=x[0] + 2.0 * advance;
                painter.hline(under, y, egui::Stroke::new(1.5, colour(theme, Ink::Fault)));
            }
        }
        let at = response
            .clicked()
            .then(|| response.interact_pointer_pos())??;
        let place = if at.x >= text_x - 2.0 {
            (at.x - text_x) / advance
        } else {
            (at.x - hex_x + advance / 2.0) / (3.0 * advance)
        };
        (place >= 0.0 && (place as usize) < row.len()).then_some(place as usize)
    }
}

/// A byte as one letter of text.
fn letter(value: u8) -> char {
    if (32..127).contains(&value) {
        char::from(value)
    } else {
        '·'
    }
}
