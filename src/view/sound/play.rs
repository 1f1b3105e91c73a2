//! Playing a made tape to the real circuit.

use super::device_choice::DeviceChoice;
use crate::live::{PlayRequest, Player, Playing, Wanted};
use crate::settings::Bench;
use crate::tape::Tape;
use crate::units;
use crate::worker::{Outbox, Worker};
use egui::{Context, Key, Ui, Window};
use std::sync::Arc;

/// The window to begin playing, and what plays.
pub struct PlayDesk {
    tape: Option<(Arc<Tape>, Bench)>,
    choice: DeviceChoice,
    repeat: bool,
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
            starter: Worker::start("start playing", begin, wake)?,
            player: None,
            cautioned,
        })
    }

    /// Asks where to play a tape.
    pub fn open(&mut self, tape: Arc<Tape>, bench: Bench) {
        self.tape = Some((tape, bench));
    }

    /// Whether something plays.
    pub fn is_playing(&self) -> bool {
        self.player.is_some()
    }

    /// The devices chosen, to be remembered.
    pub fn wanted(&self) -> &Wanted {
        &self.choice.wanted
    }

    /// Draws the window where it is open; gives what is to be said.
    pub fn show(&mut self, ctx: &Context) -> Option<Result<String, String>> {
        let mut said = match self.starter.newest() {
            Some(Ok(player)) => {
                self.player = Some(player);
                None
            }
            Some(Err(why)) => Some(Err(why)),
            None => None,
        };
        if let Some((tape, bench)) = self.tape.clone() {
            let mut open = true;
            let mut begin = false;
            Window::new("Play the tape")
                .open(&mut open)
                .pivot(egui::Align2::CENTER_CENTER)
                .default_pos(ctx.content_rect().center())
                .collapsible(false)
                .resizable(false)
                .show(ctx, |ui| {
                    ui.set_width(440.0);
                    if !self.cautioned {
                        ui.label(
                            "Test tapes are loud, steady tones. Turn the volume to its lowest \
                             before you begin, take headphones off, and raise it slowly; loud \
                             tones hurt hearing and loudspeakers. Keep to the level that your \
                             circuit's input stands.",
                        );
                    }
                    self.choice.show(ui);
                    ui.checkbox(&mut self.repeat, "Again and again");
                    begin = ui.button("Play").clicked();
                });
            if begin {
                self.cautioned = true;
                self.starter.ask(PlayRequest {
                    wanted: self.choice.wanted.clone(),
                    recording: Arc::new(tape.recording.clone()),
                    full_scale_v: bench.source.full_scale_v,
                    level_v: None,
                    repeat: self.repeat,
                });
            }
            if begin || !open || ctx.input(|i| i.key_pressed(Key::Escape)) {
                self.tape = None;
            }
        }
        if let Some(player) = &self.player {
            match player.state() {
                Playing::Going => {
                    ctx.request_repaint_after(std::time::Duration::from_millis(100));
                }
                Playing::Done => {
                    self.player = None;
                    said = Some(Ok("The tape has been played.".into()));
                }
                Playing::Lost(why) => {
                    self.player = None;
                    said = Some(Err(why));
                }
            }
        }
        said
    }

    /// Draws the bar of what plays.
    pub fn bar(&mut self, ui: &mut Ui) {
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
