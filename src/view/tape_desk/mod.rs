//! The tape maker: what is recorded, how, and what wear does to it, with the first characters as
//! they will look.

mod content;
mod knobs;
mod made;
mod preview;

pub use made::{as_document, as_files, clipped};

use super::session::Session;
use crate::picture::Theme;
use crate::settings::Bench;
use crate::tape::{Content, Tape, check, make};
use crate::units::{self, Unit};
use crate::worker::{Outbox, Worker};
use content::ContentChoice;
use egui::{Context, Key, Ui, Window};
use knobs::knobs;
use preview::Preview;
use std::sync::Arc;

/// What a made tape is for.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum For {
    /// To be run through the chain.
    Chain,
    /// To be saved, with the truth about it.
    File,
    /// To be played to the real circuit.
    #[cfg(feature = "live")]
    Player,
}

/// A made tape.
pub struct Made {
    /// The tape.
    pub tape: Arc<Tape>,
    /// What it is for.
    pub what_for: For,
}

struct Request {
    content: Content,
    bench: Bench,
}

/// The window of the tape maker.
pub struct TapeDesk {
    is_open: bool,
    choice: ContentChoice,
    maker: Worker<(Request, For), Made>,
    preview: Preview,
}

impl TapeDesk {
    /// A closed tape maker.
    ///
    /// # Errors
    /// Where the system gives no thread.
    pub fn start(wake: impl Fn() + Clone + Send + 'static) -> std::io::Result<Self> {
        Ok(Self {
            is_open: false,
            choice: ContentChoice::default(),
            maker: Worker::start("make tape", make_whole, wake.clone())?,
            preview: Preview::start(wake)?,
        })
    }

    /// Shows the window.
    pub fn open(&mut self) {
        self.is_open = true;
    }

    /// Whether a tape is being made.
    pub fn is_busy(&self) -> bool {
        self.maker.is_busy()
    }

    /// Whether a tape or the picture of one is being made.
    pub fn is_at_work(&self) -> bool {
        self.maker.is_busy() || self.preview.is_busy()
    }

    /// Draws the window where it is open; gives a tape that has been made.
    pub fn show(&mut self, ctx: &Context, session: &mut Session, theme: Theme) -> Option<Made> {
        self.preview.look();
        if self.is_open {
            let mut open = true;
            Window::new("Tape maker")
                .open(&mut open)
                .pivot(egui::Align2::CENTER_CENTER)
                .default_pos(ctx.content_rect().center())
                .default_size([760.0, 560.0])
                .collapsible(false)
                .show(ctx, |ui| self.body(ui, &mut session.bench, theme));
            self.is_open = open && !ctx.input(|i| i.key_pressed(Key::Escape));
        }
        self.maker.newest()
    }

    fn body(&mut self, ui: &mut Ui, bench: &mut Bench, theme: Theme) {
        self.choice.show(ui);
        ui.separator();
        knobs(ui, bench);
        ui.separator();
        let content = self.choice.content(bench).and_then(|content| {
            check(&content, &bench.tape, &bench.wear)?;
            Ok(content)
        });
        self.preview.of(&content, bench);
        self.preview.show(ui, theme);
        ui.separator();
        self.buttons(ui, content.ok(), bench);
    }

    fn buttons(&mut self, ui: &mut Ui, content: Option<Content>, bench: &Bench) {
        ui.horizontal(|ui| {
            let ready = content.is_some() && !self.is_busy();
            let choices: &[(&str, &str, For)] = &[
                (
                    "Open it as the recording",
                    "Run the tape through the circuit, in place of what is open.",
                    For::Chain,
                ),
                (
                    "Save…",
                    "Write it as WAV, with the truth about it as JSON beside it.",
                    For::File,
                ),
                #[cfg(feature = "live")]
                ("Play…", "Play it to the real circuit.", For::Player),
            ];
            for (word, help, what_for) in choices {
                let button = ui.add_enabled(ready, egui::Button::new(*word));
                if button.on_hover_text(*help).clicked()
                    && let Some(content) = content.clone()
                {
                    let request = Request {
                        content,
                        bench: *bench,
                    };
                    self.maker.ask((request, *what_for));
                }
            }
            if self.is_busy() {
                ui.spinner();
            }
            let level_db = 20.0 * (bench.tape.level_v / bench.source.full_scale_v).log10();
            let length = self.preview.length_s().filter(|_| content.is_some());
            let length = length.map_or(String::new(), |s| format!("{} long, ", units::clock(s)));
            ui.label(format!(
                "{length}level {} ({} of full scale)",
                units::show_digits(bench.tape.level_v, Unit::Volts, 3),
                units::show_digits(level_db, Unit::Decibels, 3)
            ));
        });
    }
}

fn make_whole((request, what_for): (Request, For), outbox: &Outbox<'_, Made>) {
    let Request { content, bench } = request;
    let tape = Arc::new(make(&content, &bench.tape, &bench.wear));
    outbox.send(Made { tape, what_for });
}
