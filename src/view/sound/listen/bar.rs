//! The bar of a capture that runs, or was lost.

use super::super::meter_bar::meter_bar;
use super::super::roll::Until;
use super::{ListenDesk, ListenHand};
use crate::live::{State, Status};
use crate::picture::{Ink, Span, Theme};
use crate::settings::Bench;
use crate::units;
use crate::view::Action;
use crate::view::style::colour;
use egui::{ComboBox, RichText, TextEdit, Ui};

impl ListenDesk {
    /// Draws the bar; gives what is asked for.
    pub fn bar(&mut self, ui: &mut Ui, bench: &Bench, theme: Theme) -> Option<ListenHand> {
        match self.capture.as_ref().map(|c| c.status()) {
            Some(status) => self.running(ui, &status, bench, theme),
            None if self.has_bar() => self.lost_bar(ui, bench, theme),
            None => None,
        }
    }

    fn running(
        &mut self,
        ui: &mut Ui,
        status: &Status,
        bench: &Bench,
        theme: Theme,
    ) -> Option<ListenHand> {
        let fault = colour(theme, Ink::Fault);
        let mut hand = None;
        ui.horizontal_wrapped(|ui| {
            meter_bar(ui, &status.meter, theme);
            let time = units::clock(status.captured_s);
            match status.state {
                State::Waiting => ui.label("waiting for the first sample"),
                State::Stalled => ui.label(
                    RichText::new(format!("{time} captured and kept; NOTHING COMES")).color(fault),
                ),
                _ if self.is_rolling() => ui.label(format!("{time} captured")),
                _ => ui.label(format!("{time} captured while this stands still")),
            };
            if status.state == State::Stalled {
                hand = self.reconnect_button(ui, bench);
            }
            let characters = units::counted(status.characters as usize, "character");
            ui.label(format!("{characters}, {} with faults", status.faulty));
            if status.gaps > 0 {
                let gaps = units::counted(status.gaps as usize, "gap");
                ui.label(RichText::new(gaps).color(fault))
                    .on_hover_text("Samples are missing there; the lanes mark the places.");
            }
            self.freeze_button(ui, status.captured_s);
            self.until_ui(ui);
            if ui
                .button("Stop")
                .on_hover_text("End the capture and open it.")
                .clicked()
            {
                self.stop();
            }
        });
        if let Some(hint) = &status.hint {
            ui.label(RichText::new(hint).color(colour(theme, Ink::Short)));
        }
        hand
    }

    fn freeze_button(&mut self, ui: &mut Ui, now_s: f64) {
        let (word, help) = match self.is_rolling() {
            true => (
                "Freeze",
                "Stand still and look back over all of it; the capture goes on.",
            ),
            false => ("Go on", "Show what comes, as it comes."),
        };
        if ui.button(word).on_hover_text(help).clicked() {
            if self.is_rolling() {
                let shown = self.rolled.unwrap_or(Span::new(now_s, super::ABOUT_S));
                self.freeze(shown);
            } else {
                self.go_on();
            }
        }
    }

    fn until_ui(&mut self, ui: &mut Ui) {
        let label = ui.label("until");
        let combo = ComboBox::from_id_salt("until").selected_text(self.until.title());
        let combo = combo.show_ui(ui, |ui| {
            for until in Until::ALL {
                ui.selectable_value(&mut self.until, until, until.title());
            }
        });
        combo.response.labelled_by(label.id);
        if self.until == Until::Bytes {
            let edit = TextEdit::singleline(&mut self.pattern).desired_width(90.0);
            let edit = ui.add(edit.hint_text("0x0D 0A"));
            edit.on_hover_text("A text, or bytes in hexadecimal after 0x.");
        }
    }

    /// What was lost, and the way to go on.
    fn lost_bar(&mut self, ui: &mut Ui, bench: &Bench, theme: Theme) -> Option<ListenHand> {
        let mut hand = None;
        ui.horizontal_wrapped(|ui| {
            if self.is_beginning_again() {
                ui.spinner();
                ui.label("Connecting again.");
                return;
            }
            let Some(lost) = &self.lost else { return };
            ui.label(RichText::new(&lost.why).color(colour(theme, Ink::Fault)));
            hand = self.reconnect_button(ui, bench);
            if ui
                .button("Leave it")
                .on_hover_text("What was captured stays open and in its file.")
                .clicked()
            {
                self.lost = None;
            }
        });
        hand
    }

    fn reconnect_button(&mut self, ui: &mut Ui, bench: &Bench) -> Option<ListenHand> {
        let entry = Action::Reconnect.entry();
        let help = format!("{} ({})", entry.help, entry.key_text());
        let clicked = ui.button(entry.title).on_hover_text(help).clicked();
        let refused = clicked.then(|| self.reconnect(bench))?.err()?;
        Some(ListenHand::Say(Err(refused)))
    }
}
