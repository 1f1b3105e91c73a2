//! Playing a made tape to the real circuit.

use super::device_choice::DeviceChoice;
use crate::live::{PlayRequest, Player, Playing, Wanted};
use crate::picture::{Ink, Theme};
use crate::settings::Bench;
use crate::tape::Tape;
use crate::units;
use crate::view::style::colour;
use crate::worker::{Outbox, Worker};
use egui::{Button, Context, Key, Modifiers, Ui, Window};
use std::sync::Arc;

/// The window to begin playing, and what plays.
pub struct PlayDesk {
    tape: Option<(Arc<Tape>, Bench)>,
    choice: DeviceChoice,
    repeat: bool,
    /// Why playing did not begin.
    complaint: Option<String>,
    starter: Worker<PlayRequest, Result<Player, String>>,
    player: Option<Player>,
    /// Whether the caution has been read.
    pub cautioned: bool,
}

impl PlayDesk {
    /// Not playing yet.
    ///
    /// # Errors
    /// Where the system gives no thread.
    pub fn start(
        wanted: Wanted,
        cautioned: bool,
        wake: impl Fn() + Clone + Send + 'static,
    ) -> std::io::Result<Self> {
        let begin = |request: PlayRequest, outbox: &Outbox<'_, Result<Player, String>>| {
            outbox.send(Player::start(request));
        };
        Ok(Self {
            tape: None,
            choice: DeviceChoice::start(false, wanted, wake.clone())?,
            repeat: false,
            complaint: None,
            starter: Worker::start("start playing", begin, wake)?,
            player: None,
            cautioned,
        })
    }

    /// Asks where to play a tape.
    pub fn open(&mut self, tape: Arc<Tape>, bench: Bench) {
        self.tape = Some((tape, bench));
        self.complaint = None;
    }

    /// Whether something plays that the window does not show.
    pub fn has_bar(&self) -> bool {
        self.player.is_some() && self.tape.is_none()
    }

    /// Whether threads are at work for it.
    pub fn is_busy(&self) -> bool {
        self.starter.is_busy() || self.choice.is_busy()
    }

    /// The devices chosen, to be remembered.
    pub fn wanted(&self) -> &Wanted {
        &self.choice.wanted
    }

    /// Draws the window where it is open; gives what is to be said.
    pub fn show(&mut self, ctx: &Context, theme: Theme) -> Option<Result<String, String>> {
        let mut said = None;
        match self.starter.newest() {
            Some(Ok(player)) => self.player = Some(player),
            // Said where it was asked for.
            Some(Err(why)) if self.tape.is_some() => self.complaint = Some(why),
            Some(Err(why)) => said = Some(Err(why)),
            None => {}
        }
        if self.tape.is_some() {
            let mut open = true;
            Window::new("Play the tape")
                .open(&mut open)
                .pivot(egui::Align2::CENTER_CENTER)
                .default_pos(ctx.content_rect().center())
                .collapsible(false)
                .resizable(false)
                .show(ctx, |ui| self.body(ui, theme));
            // Taken, so that the tape maker behind it stays.
            let escape = ctx.input_mut(|i| i.consume_key(Modifiers::NONE, Key::Escape));
            if !open || escape {
                self.tape = None;
            }
        }
        if let Some(player) = &self.player {
            match player.state() {
                Playing::Going => {
                    said = player.notes().pop().map(Err);
                    ctx.request_repaint_after(std::time::Duration::from_millis(100));
                }
                Playing::Done => {
                    self.player = None;
                    said = Some(Ok("The tape has been played.".into()));
                }
                Playing::Lost(why) => {
                    self.player = None;
                    if self.tape.is_some() {
                        self.complaint = Some(why);
                    } else {
                        said = Some(Err(why));
                    }
                }
            }
        }
        said
    }

    fn body(&mut self, ui: &mut Ui, theme: Theme) {
        ui.set_width(440.0);
        if !self.cautioned {
            ui.label(
                "Test tapes are loud, steady tones. Turn the volume to its lowest before you \
                 begin, take headphones off, and raise it slowly; loud tones hurt hearing and \
                 loudspeakers. Keep to the level that your circuit's input stands.",
            );
            ui.add_space(4.0);
        }
        self.choice.show(ui);
        ui.checkbox(&mut self.repeat, "Again and again")
            .on_hover_text("Begin again at the end, until it is stopped; a steady tone goes on without a break.");
        ui.add_space(4.0);
        let busy = self.starter.is_busy();
        if self.player.is_some() {
            // Here, too: the bar may lie behind the window, and what plays is loud.
            self.progress(ui);
        } else {
            ui.horizontal(|ui| {
                if ui.add_enabled(!busy, Button::new("Play")).clicked() {
                    self.begin();
                }
                if busy {
                    ui.spinner();
                    ui.label("opening the device");
                }
            });
        }
        if let Some(complaint) = self.complaint.as_ref().filter(|_| !busy) {
            ui.colored_label(colour(theme, Ink::Fault), complaint);
        }
    }

    fn begin(&mut self) {
        let Some((tape, bench)) = &self.tape else {
            return;
        };
        (self.cautioned, self.complaint) = (true, None);
        self.starter.ask(PlayRequest {
            wanted: self.choice.wanted.clone(),
            recording: Arc::new(tape.recording.clone()),
            full_scale_v: bench.source.full_scale_v,
            level_v: None,
            repeat: self.repeat,
        });
    }

    /// Draws the bar of what plays.
    pub fn bar(&self, ui: &mut Ui) {
        if self.has_bar() {
            self.progress(ui);
        }
    }

    /// How far it has come, and the way to stop it.
    fn progress(&self, ui: &mut Ui) {
        let Some(player) = &self.player else { return };
        let progress = player.progress();
        ui.horizontal(|ui| {
            let rounds = match progress.rounds {
                0 => String::new(),
                n => format!(", round {}", n + 1),
            };
            ui.label(format!(
                "Playing on {}: {} of {}{rounds}",
                player.device(),
                units::clock(progress.at_s),
                units::clock(progress.length_s)
            ));
            if ui.button("Stop playing").clicked() {
                player.request_stop();
            }
        });
    }
}
