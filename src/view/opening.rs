//! Ways to open a recording: the system's dialog, a dropped file, a typed path.

use egui::{Align2, Context, Key, TextEdit, Window};
use std::path::PathBuf;
use std::sync::mpsc::{Receiver, channel};
use std::thread;

/// The state of opening.
#[derive(Default)]
pub struct Opening {
    dialog: Option<Receiver<Option<PathBuf>>>,
    typed: Option<Typed>,
}

struct Typed {
    path: String,
    note: &'static str,
}

const NO_DIALOG: &str = "The system's file dialog gave no file. If it did not show at all, \
    this desktop has no dialog service (a desktop portal or zenity); type the path here, or drop \
    the file on the window.";

impl Opening {
    /// Asks the system's dialog, which runs on a thread of its own.
    pub fn ask(&mut self, ctx: &Context) {
        if self.dialog.is_some() {
            return;
        }
        let (sender, receiver) = channel();
        let ctx = ctx.clone();
        let spawned = thread::Builder::new().name("dialog".into()).spawn(move || {
            let file = rfd::FileDialog::new()
                .set_title("Open a recording")
                .pick_file();
            let _ = sender.send(file);
            ctx.request_repaint();
        });
        match spawned {
            Ok(_) => self.dialog = Some(receiver),
            Err(_) => self.type_path(NO_DIALOG),
        }
    }

    /// Lets the user type a path.
    pub fn type_path(&mut self, note: &'static str) {
        self.typed.get_or_insert(Typed {
            path: String::new(),
            note,
        });
    }

    /// Draws what is to be drawn and gives the file that was chosen.
    pub fn show(&mut self, ctx: &Context) -> Option<PathBuf> {
        let dropped = ctx.input(|i| i.raw.dropped_files.first().map(|f| f.path().to_path_buf()));
        dropped
            .or_else(|| self.from_dialog())
            .or_else(|| self.from_typing(ctx))
    }

    fn from_dialog(&mut self) -> Option<PathBuf> {
        let answer = self.dialog.as_ref()?.try_recv();
        match answer {
            Err(std::sync::mpsc::TryRecvError::Empty) => None,
            Ok(Some(path)) => {
                self.dialog = None;
                Some(path)
            }
            _ => {
                self.dialog = None;
                self.type_path(NO_DIALOG);
                None
            }
        }
    }

    fn from_typing(&mut self, ctx: &Context) -> Option<PathBuf> {
        let typed = self.typed.as_mut()?;
        let (mut open, mut chosen) = (true, false);
        Window::new("Open a recording by its path")
            .anchor(Align2::CENTER_CENTER, egui::Vec2::ZERO)
            .collapsible(false)
            .resizable(false)
            .open(&mut open)
            .show(ctx, |ui| {
                ui.set_width(460.0);
                if !typed.note.is_empty() {
                    ui.label(typed.note);
                }
                let entry = TextEdit::singleline(&mut typed.path)
                    .hint_text("recordings/tape-7.wav")
                    .desired_width(f32::INFINITY);
                let entry = ui.add(entry);
                if !entry.lost_focus() && ui.memory(|m| m.focused().is_none()) {
                    entry.request_focus();
                }
                let enter = ui.input(|i| i.key_pressed(Key::Enter));
                chosen = ui.button("Open").clicked() || (entry.lost_focus() && enter);
            });
        let path = PathBuf::from(typed.path.trim());
        let chosen = chosen && !path.as_os_str().is_empty();
        if chosen || !open || ctx.input(|i| i.key_pressed(Key::Escape)) {
            self.typed = None;
        }
        chosen.then_some(path)
    }
}
