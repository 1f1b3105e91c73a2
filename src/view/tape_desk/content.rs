//! What is to be recorded: a text, bytes or a pattern.

use crate::settings::{Bench, Choice};
use crate::study::hexadecimal;
use crate::tape::{Content, Extent, Pattern};
use egui::{ComboBox, DragValue, TextEdit, Ui};

/// A kind of content.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Kind {
    Text,
    Hex,
    Pattern(Pattern),
}

/// What is chosen and written.
pub(super) struct ContentChoice {
    kind: Kind,
    texts: Vec<String>,
    count: u32,
    run_of: u8,
}

impl Default for ContentChoice {
    fn default() -> Self {
        Self {
            kind: Kind::Text,
            texts: vec!["SALTMERE 06:40 3.2 M\n".into()],
            count: 64,
            run_of: 0x55,
        }
    }
}

impl ContentChoice {
    /// Draws what is chosen.
    pub fn show(&mut self, ui: &mut Ui) {
        ui.horizontal(|ui| {
            let label = ui.label("Content");
            let name = match self.kind {
                Kind::Text => "text",
                Kind::Hex => "bytes in hexadecimal",
                Kind::Pattern(pattern) => pattern.word(),
            };
            let combo = ComboBox::from_id_salt("content")
                .width(190.0)
                .selected_text(name);
            let combo = combo.show_ui(ui, |ui| {
                ui.selectable_value(&mut self.kind, Kind::Text, "text");
                ui.selectable_value(&mut self.kind, Kind::Hex, "bytes in hexadecimal");
                for index in 0..Pattern::WORDS.len() {
                    let pattern = Pattern::from_index(index);
                    ui.selectable_value(&mut self.kind, Kind::Pattern(pattern), pattern.word());
                }
            });
            combo.response.labelled_by(label.id);
            if let Kind::Pattern(pattern) = self.kind {
                let (word, range) = match pattern.tone() {
                    Some(_) => ("for seconds", 1..=3600),
                    None => ("bytes", 1..=1_000_000),
                };
                let label = ui.label(word);
                ui.add(DragValue::new(&mut self.count).range(range))
                    .labelled_by(label.id);
                if pattern == Pattern::Run {
                    let label = ui.label("of");
                    let drag = DragValue::new(&mut self.run_of).hexadecimal(2, false, true);
                    ui.add(drag.prefix("0x")).labelled_by(label.id);
                }
            } else if ui
                .button("Add a block")
                .on_hover_text("Another block, with a leader before it.")
                .clicked()
            {
                self.texts.push(String::new());
            }
        });
        if matches!(self.kind, Kind::Pattern(_)) {
            return;
        }
        let mut gone = None;
        let several = self.texts.len() > 1;
        for (i, text) in self.texts.iter_mut().enumerate() {
            ui.horizontal(|ui| {
                let width = ui.available_width() - if several { 76.0 } else { 0.0 };
                let edit = TextEdit::multiline(text)
                    .desired_rows(2)
                    .desired_width(width);
                let edit = ui.add(edit);
                edit.widget_info(|| {
                    egui::WidgetInfo::labeled(
                        egui::Role::MultilineTextInput,
                        true,
                        format!("Block {}", i + 1),
                    )
                });
                if several && ui.small_button("Remove").clicked() {
                    gone = Some(i);
                }
            });
        }
        if let Some(i) = gone {
            self.texts.remove(i);
        }
    }

    /// The content as set.
    ///
    /// # Errors
    /// A sentence that says what is missing.
    pub fn content(&self, bench: &Bench) -> Result<Content, String> {
        let blocks = match self.kind {
            Kind::Text => Ok(self.texts.iter().map(|t| t.as_bytes().to_vec()).collect()),
            Kind::Hex => {
                let bytes = self.texts.iter().map(|t| hexadecimal(t.trim()));
                let all: Option<Vec<Vec<u8>>> = bytes.collect();
                all.ok_or("Write two hexadecimal digits for each byte, like 53 41 4C.")
            }
            Kind::Pattern(pattern) => {
                let extent = match pattern.tone() {
                    Some(_) => Extent::For(f64::from(self.count)),
                    None => Extent::Count(self.count as usize),
                };
                return Content::pattern(pattern, extent, self.run_of, &bench.tape);
            }
        };
        let blocks: Vec<Vec<u8>> = blocks?;
        if blocks.iter().all(Vec::is_empty) {
            return Err("There is nothing to record yet.".into());
        }
        Ok(Content::Blocks(blocks))
    }
}
