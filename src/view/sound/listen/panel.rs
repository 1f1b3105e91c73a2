//! The window in which listening begins.

use super::{ListenDesk, Request};
use crate::picture::{Ink, Theme};
use crate::settings::Bench;
use crate::view::style::colour;
use egui::{Button, Context, Key, TextEdit, Ui, Window};
use std::path::PathBuf;

impl ListenDesk {
    /// Draws the window where it is open.
    pub fn show(&mut self, ctx: &Context, bench: &Bench, theme: Theme) {
        if !self.is_open {
            return;
        }
        let mut open = true;
        Window::new("Listen")
            .open(&mut open)
            .pivot(egui::Align2::CENTER_CENTER)
            .default_pos(ctx.content_rect().center())
            .collapsible(false)
            .resizable(false)
            .show(ctx, |ui| self.body(ui, bench, theme));
        self.is_open &= open && !ctx.input(|i| i.key_pressed(Key::Escape));
    }

    fn body(&mut self, ui: &mut Ui, bench: &Bench, theme: Theme) {
        ui.set_width(470.0);
        ui.label(
            "Connect the player's line or earphone socket to the input of the sound card, with \
             the volume at its lowest first. What comes is kept in a file and runs through the \
             same stages as a recording.",
        );
        ui.add_space(4.0);
        self.choice.show(ui);
        let entered = ui.horizontal(|ui| {
            let label = ui.label("Keep it in");
            let edit = TextEdit::singleline(&mut self.file).desired_width(330.0);
            let edit = ui.add(edit).labelled_by(label.id);
            edit.lost_focus() && ui.input(|i| i.key_pressed(Key::Enter))
        });
        ui.add_space(4.0);
        let named = !self.file.trim().is_empty();
        let busy = self.is_busy();
        let ready = named && !self.starter.is_busy() && self.capture.is_none();
        ui.horizontal(|ui| {
            let button = ui.add_enabled(ready, Button::new("Listen"));
            if std::mem::take(&mut self.wants_focus) {
                button.request_focus();
            }
            if button.clicked() || (entered.inner && ready) {
                let mut request = Request::new(*bench, PathBuf::from(self.file.trim()));
                request.wanted = self.choice.wanted.clone();
                // What was lost is no longer waited for.
                self.lost = None;
                self.begin(request, bench, false);
            }
            if self.starter.is_busy() {
                ui.spinner();
                ui.label("opening the device");
            } else if self.capture.is_some() {
                ui.label("A capture runs; stop it first.");
            } else if !named {
                ui.label("Name a file first.");
            }
        });
        if let Some(complaint) = &self.complaint
            && !busy
        {
            ui.colored_label(colour(theme, Ink::Fault), complaint);
        }
    }
}
