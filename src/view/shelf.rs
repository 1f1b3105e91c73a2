//! Named benches: save, open, compare, rename, delete.

use super::shelf_ask::{Answer, Question};
use super::style::bold;
use crate::settings::{Bench, read_bench, write_bench};
use crate::store::{Store, write_text};
use egui::{Context, Grid, Key, RichText, ScrollArea, TextEdit, Ui, Window};

/// The file with the settings of the last session.
const LAST: &str = "last.toml";

/// The named benches and the window that shows them.
pub struct Shelf {
    store: Store,
    is_open: bool,
    /// Whether the window has just been opened.
    fresh: bool,
    name: String,
    names: Vec<String>,
    compared: Option<(String, Bench)>,
    question: Option<Question>,
    /// The bench that is open: its name, and its settings as saved.
    current: Option<(String, Bench)>,
}

/// What the hand did on the shelf.
pub enum ShelfHand {
    /// These settings are to be used.
    Use(Box<Bench>),
    /// Something is to be said.
    Say(Result<String, String>),
}

impl Shelf {
    /// The shelf of a store.
    pub fn new(store: Store) -> Self {
        Self {
            store,
            is_open: false,
            fresh: false,
            name: String::new(),
            names: Vec::new(),
            compared: None,
            question: None,
            current: None,
        }
    }

    /// The settings of the last session, where there are any. A file that does not read is set
    /// aside, and what to say of it is the error.
    ///
    /// # Errors
    /// A sentence.
    pub fn last(&self) -> Result<Option<Bench>, String> {
        let read = |text: &str| read_bench(text).map_err(|e| e.to_string());
        self.store
            .read_or_set_aside(LAST, "The settings of the last session", read)
    }

    /// Takes the bench of this name for the open one, where it is there and reads.
    pub fn take_up(&mut self, name: &str) {
        if let Ok(bench) = self.load(name) {
            self.current = Some((name.into(), bench));
            self.name = name.into();
        }
    }

    /// Keeps the settings for the next session.
    ///
    /// # Errors
    /// A sentence.
    pub fn keep_last(&self, bench: &Bench) -> Result<(), String> {
        self.store.write(LAST, &write_bench(bench))
    }

    /// The name of the open bench, and whether the settings differ from what is saved.
    pub fn state(&self, bench: &Bench) -> Option<(&str, bool)> {
        let (name, saved) = self.current.as_ref()?;
        Some((name, saved != bench))
    }

    /// Shows the window.
    pub fn open(&mut self) {
        (self.is_open, self.fresh) = (true, true);
        self.names = self.store.bench_names();
    }

    /// Saves under the open bench's name, or shows the window where there is none.
    ///
    /// # Errors
    /// A sentence.
    pub fn save(&mut self, bench: &Bench) -> Result<Option<String>, String> {
        match self.current.as_ref().map(|c| c.0.clone()) {
            Some(name) => self.save_as(&name, bench).map(Some),
            None => {
                self.open();
                Ok(None)
            }
        }
    }

    fn save_as(&mut self, name: &str, bench: &Bench) -> Result<String, String> {
        write_text(&self.store.bench_path(name)?, &write_bench(bench))?;
        self.current = Some((name.into(), *bench));
        self.names = self.store.bench_names();
        Ok(format!("The bench '{name}' is saved."))
    }

    fn load(&self, name: &str) -> Result<Bench, String> {
        let text = self.store.bench(name)?;
        let text = text.ok_or_else(|| format!("The bench '{name}' is not there any more."))?;
        read_bench(&text)
            .map_err(|e| format!("The bench '{name}' could not be read and is left as it is. {e}"))
    }

    /// Draws the window where it is open.
    pub fn show(&mut self, ctx: &Context, bench: &Bench) -> Option<ShelfHand> {
        if !self.is_open {
            return None;
        }
        let mut hand = None;
        let mut open = true;
        Window::new("Benches")
            .open(&mut open)
            .pivot(egui::Align2::CENTER_CENTER)
            .default_pos(ctx.content_rect().center())
            .default_width(440.0)
            .collapsible(false)
            .show(ctx, |ui| {
                ui.label("A bench is a saved set of all settings.");
                ui.add_space(4.0);
                hand = self.saving(ui, bench);
                ui.separator();
                hand = self.list(ui).or(hand.take());
                self.comparison(ui, bench);
            });
        // With a question open, the key answers that.
        let escape = self.question.is_none() && ctx.input(|i| i.key_pressed(Key::Escape));
        if !open || escape {
            self.is_open = false;
            self.compared = None;
        }
        hand.or(self.ask(ctx))
    }

    /// Draws the open question, and does what is answered.
    fn ask(&mut self, ctx: &Context) -> Option<ShelfHand> {
        let answer = self.question.as_mut()?.show(ctx)?;
        self.question = None;
        let said = match answer {
            Answer::No => return None,
            Answer::Delete(name) => self.delete(&name),
            Answer::Rename(from, to) => self.rename(&from, &to),
        };
        self.names = self.store.bench_names();
        Some(ShelfHand::Say(said))
    }

    fn delete(&mut self, name: &str) -> Result<String, String> {
        self.store.delete_bench(name)?;
        self.current.take_if(|c| c.0 == name);
        self.compared.take_if(|c| c.0 == name);
        Ok(format!("The bench '{name}' is deleted."))
    }

    fn rename(&mut self, from: &str, to: &str) -> Result<String, String> {
        self.store.rename_bench(from, to)?;
        let own = [&mut self.current, &mut self.compared];
        for (name, _) in own.into_iter().flatten().filter(|c| c.0 == from) {
            *name = to.into();
        }
        if self.name == from {
            self.name = to.into();
        }
        Ok(format!("The bench '{from}' is called '{to}' now."))
    }

    fn saving(&mut self, ui: &mut Ui, bench: &Bench) -> Option<ShelfHand> {
        let exists = self.names.contains(&self.name.trim().to_string());
        ui.horizontal(|ui| {
            let label = ui.label("Name");
            let edit = TextEdit::singleline(&mut self.name).desired_width(220.0);
            let edit = ui
                .add(edit.hint_text("deck in the attic"))
                .labelled_by(label.id);
            if std::mem::take(&mut self.fresh) {
                edit.request_focus();
            }
            let enter = edit.lost_focus() && ui.input(|i| i.key_pressed(Key::Enter));
            let own = self
                .current
                .as_ref()
                .is_some_and(|c| c.0 == self.name.trim());
            let word = if exists && !own {
                "Save over it"
            } else {
                "Save"
            };
            let save = ui.add_enabled(!self.name.trim().is_empty(), egui::Button::new(word));
            let again = exists && !own;
            (save.clicked() || (enter && !again && !self.name.trim().is_empty())).then(|| {
                let name = self.name.trim().to_string();
                ShelfHand::Say(self.save_as(&name, bench))
            })
        })
        .inner
    }

    fn list(&mut self, ui: &mut Ui) -> Option<ShelfHand> {
        if self.names.is_empty() {
            ui.weak("There is no saved bench yet.");
        }
        let mut hand = None;
        let mut compare = None;
        ScrollArea::vertical()
            .max_height(160.0)
            .id_salt("names")
            .show(ui, |ui| {
                for name in self.names.clone() {
                    ui.horizontal(|ui| {
                        let text = RichText::new(&name);
                        let own = self.current.as_ref().is_some_and(|c| c.0 == name);
                        ui.label(if own { text.family(bold()) } else { text });
                        if ui.small_button("Open").clicked() {
                            hand = Some(match self.load(&name) {
                                Ok(bench) => {
                                    self.current = Some((name.clone(), bench));
                                    self.name = name.clone();
                                    ShelfHand::Use(Box::new(bench))
                                }
                                Err(why) => ShelfHand::Say(Err(why)),
                            });
                        }
                        if ui.small_button("Compare").clicked() {
                            compare = Some(name.clone());
                        }
                        if ui.small_button("Rename…").clicked() {
                            self.question = Some(Question::rename(&name));
                        }
                        if ui.small_button("Delete…").clicked() {
                            self.question = Some(Question::Delete(name));
                        }
                    });
                }
            });
        if let Some(name) = compare {
            match self.load(&name) {
                Ok(bench) => self.compared = Some((name, bench)),
                Err(why) => hand = Some(ShelfHand::Say(Err(why))),
            }
        }
        hand
    }

    fn comparison(&self, ui: &mut Ui, bench: &Bench) {
        let Some((name, other)) = &self.compared else {
            return;
        };
        ui.separator();
        let differences = bench.differences(other);
        if differences.is_empty() {
            ui.label(format!("'{name}' is the same as the present settings."));
            return;
        }
        ScrollArea::vertical()
            .max_height(220.0)
            .id_salt("compared")
            .show(ui, |ui| {
                Grid::new("compared")
                    .striped(true)
                    .num_columns(3)
                    .show(ui, |ui| {
                        for head in ["setting", "now", name] {
                            ui.label(RichText::new(head).family(bold()));
                        }
                        ui.end_row();
                        for knob in differences {
                            ui.label(knob.id());
                            ui.label(knob.show_in(bench));
                            ui.label(knob.show_in(other));
                            ui.end_row();
                        }
                    });
            });
    }
}
