//! Which file? The system's dialog, a dropped file, or a typed path; and whether a file that
//! exists may be replaced.

use super::keep::Kept;
use crate::export::truth_beside;
use egui::{Align2, Context, Key, Modal, TextEdit, Window};
use std::path::{Path, PathBuf};
use std::sync::mpsc::{Receiver, TryRecvError, channel};
use std::thread;
use std::time::{Duration, Instant};

/// What a file is wanted for.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Purpose {
    /// To open a recording.
    Recording,
    /// To write what is kept.
    Keep(Kept),
    /// To write a made tape.
    Tape,
}

impl Purpose {
    /// What the question is called.
    fn title(self) -> &'static str {
        match self {
            Purpose::Recording => "Open a recording",
            Purpose::Keep(kept) => kept.title(),
            Purpose::Tape => "Save the tape",
        }
    }

    /// Whether a file is to be written.
    fn writes(self) -> bool {
        self != Purpose::Recording
    }
}

/// A dialog that answers sooner than a person can was never shown.
const TOO_SOON: Duration = Duration::from_millis(200);

const NO_DIALOG: &str = "This desktop shows no file dialog: there is neither a desktop portal nor \
    zenity. Type the path here; a recording can also be dropped on the window.";

/// The question for a file, at most one at a time.
#[derive(Default)]
pub struct FileAsk {
    dialog: Option<Dialog>,
    typed: Option<Typed>,
    replace: Option<(Purpose, PathBuf)>,
    /// Whether to ask for typed paths alone.
    pub typed_only: bool,
}

struct Dialog {
    purpose: Purpose,
    suggestion: String,
    asked: Instant,
    answer: Receiver<Option<PathBuf>>,
}

struct Typed {
    purpose: Purpose,
    path: String,
    note: &'static str,
    fresh: bool,
}

impl FileAsk {
    /// Asks with the system's dialog, which runs on a thread of its own. `suggestion` is the file
    /// name for what is to be written.
    pub fn ask(&mut self, ctx: &Context, purpose: Purpose, suggestion: &str) {
        if self.is_open() {
            return;
        }
        if self.typed_only {
            return self.type_path(purpose, suggestion, NO_DIALOG);
        }
        let (sender, answer) = channel();
        let (ctx, name) = (ctx.clone(), suggestion.to_string());
        let spawned = thread::Builder::new().name("dialog".into()).spawn(move || {
            let dialog = rfd::FileDialog::new().set_title(purpose.title());
            let file = if purpose.writes() {
                dialog.set_file_name(&name).save_file()
            } else {
                dialog.pick_file()
            };
            let _ = sender.send(file);
            ctx.request_repaint();
        });
        match spawned {
            Ok(_) => {
                let asked = Instant::now();
                self.dialog = Some(Dialog {
                    purpose,
                    suggestion: suggestion.into(),
                    asked,
                    answer,
                });
            }
            Err(_) => self.type_path(purpose, suggestion, NO_DIALOG),
        }
    }

    /// Asks for a typed path.
    pub fn type_path(&mut self, purpose: Purpose, suggestion: &str, note: &'static str) {
        self.typed = Some(Typed {
            purpose,
            path: suggestion.into(),
            note,
            fresh: true,
        });
    }

    /// Whether a question is open.
    pub fn is_open(&self) -> bool {
        self.dialog.is_some() || self.typed.is_some() || self.replace.is_some()
    }

    /// Draws what is to be drawn, and gives the file that was chosen with what it is for.
    pub fn show(&mut self, ctx: &Context) -> Option<(Purpose, PathBuf)> {
        let dropped = ctx.input(|i| i.raw.dropped_files.first().map(|f| f.path().to_path_buf()));
        if let Some(path) = dropped {
            return Some((Purpose::Recording, path));
        }
        let chosen = self.dialog_answer().or_else(|| self.typed_answer(ctx));
        if let Some((purpose, path)) = chosen.clone().filter(|c| c.0.writes()) {
            let path = with_ending(purpose, path);
            if replaced(purpose, &path).is_none() {
                return Some((purpose, path));
            }
            self.replace = Some((purpose, path));
        } else if chosen.is_some() {
            return chosen;
        }
        self.replace_answer(ctx)
    }

    fn dialog_answer(&mut self) -> Option<(Purpose, PathBuf)> {
        let dialog = self.dialog.as_ref()?;
        let answer = match dialog.answer.try_recv() {
            Err(TryRecvError::Empty) => return None,
            answer => answer.ok().flatten(),
        };
        let dialog = self.dialog.take()?;
        if answer.is_none() && dialog.asked.elapsed() < TOO_SOON {
            self.type_path(dialog.purpose, &dialog.suggestion, NO_DIALOG);
        }
        Some((dialog.purpose, answer?))
    }

    fn typed_answer(&mut self, ctx: &Context) -> Option<(Purpose, PathBuf)> {
        let typed = self.typed.as_mut()?;
        let purpose = typed.purpose;
        let (word, hint) = if purpose.writes() {
            ("Write", "notes/tape-7")
        } else {
            ("Open", "recordings/tape-7.wav")
        };
        let (mut open, mut chosen, mut cancelled) = (true, false, false);
        Window::new(purpose.title())
            .anchor(Align2::CENTER_CENTER, egui::Vec2::ZERO)
            .collapsible(false)
            .resizable(false)
            .open(&mut open)
            .show(ctx, |ui| {
                ui.set_width(480.0);
                if !typed.note.is_empty() {
                    ui.label(typed.note);
                }
                ui.horizontal(|ui| {
                    let label = ui.label("Path");
                    let edit = TextEdit::singleline(&mut typed.path)
                        .hint_text(hint)
                        .desired_width(f32::INFINITY);
                    let edit = ui.add(edit).labelled_by(label.id);
                    if std::mem::take(&mut typed.fresh) {
                        edit.request_focus();
                    }
                    let enter = ui.input(|i| i.key_pressed(Key::Enter));
                    chosen = edit.lost_focus() && enter;
                });
                ui.horizontal(|ui| {
                    chosen |= ui.button(word).clicked();
                    cancelled = ui.button("Cancel").clicked();
                });
            });
        let (purpose, path) = (typed.purpose, PathBuf::from(typed.path.trim()));
        let chosen = chosen && !path.as_os_str().is_empty();
        if chosen || cancelled || !open || ctx.input(|i| i.key_pressed(Key::Escape)) {
            self.typed = None;
        }
        chosen.then_some((purpose, path))
    }

    fn replace_answer(&mut self, ctx: &Context) -> Option<(Purpose, PathBuf)> {
        let (purpose, path) = self.replace.clone()?;
        let mut answer = None;
        let modal = Modal::new(egui::Id::unique("replace")).show(ctx, |ui| {
            ui.set_width(380.0);
            ui.heading("Replace this file?");
            let old = replaced(purpose, &path).unwrap_or_else(|| path.clone());
            ui.label(format!("{} exists already.", shown(&old)));
            ui.add_space(6.0);
            ui.horizontal(|ui| {
                if ui.button("Replace it").clicked() {
                    answer = Some(true);
                }
                if ui.button("Write nothing").clicked() {
                    answer = Some(false);
                }
            });
        });
        if modal.should_close() {
            answer = Some(false);
        }
        let answer = answer?;
        self.replace = None;
        answer.then_some((purpose, path))
    }
}

/// The path with the ending that goes with what is written, where it has none.
fn with_ending(purpose: Purpose, path: PathBuf) -> PathBuf {
    match purpose {
        _ if path.extension().is_some() => path,
        Purpose::Keep(kept) => path.with_extension(kept.ending()),
        Purpose::Tape => path.with_extension("wav"),
        Purpose::Recording => path,
    }
}

/// The file that writing would replace, if any; of a tape, also the truth beside it.
fn replaced(purpose: Purpose, path: &Path) -> Option<PathBuf> {
    let beside = (purpose == Purpose::Tape).then(|| truth_beside(path));
    let mut written = std::iter::once(path.to_path_buf()).chain(beside);
    written.find(|p| p.exists())
}

/// A file for a message: its name is enough to know it by.
fn shown(path: &Path) -> String {
    path.file_name().map_or_else(
        || path.display().to_string(),
        |n| n.to_string_lossy().into_owned(),
    )
}
