//! Closing the window: asked about where something would be lost, put off while something is still
//! being written, and done once.

use super::app::App;
use super::loose_tape::{Fate, ask_fate};
use egui::{Context, Id, Modal, ViewportCommand};

/// How far closing has come.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub(super) enum Closing {
    /// Nobody has asked for it.
    #[default]
    Open,
    /// It is asked about.
    Asked,
    /// It is agreed to, and waits for what is still being written.
    Agreed,
    /// What is to be remembered is kept, and the window may go.
    Done,
}

/// What the window is about when it is to be closed.
#[derive(Clone, Copy, Debug, Default)]
struct Affairs {
    /// A named bench has changes.
    unsaved: bool,
    /// A made tape is in no file.
    loose: bool,
    /// A capture runs.
    listening: bool,
    /// A file is being written, or a capture is being ended.
    writing: bool,
}

impl Affairs {
    fn would_lose(self) -> bool {
        self.unsaved || self.loose || self.listening
    }
}

impl Closing {
    /// The next step; `requested` where the window has just been asked to close.
    fn step(self, requested: bool, affairs: Affairs) -> Self {
        let asked = self == Closing::Asked || (self == Closing::Open && requested);
        match self {
            _ if asked && affairs.would_lose() => Closing::Asked,
            Closing::Open if !requested => Closing::Open,
            Closing::Done => Closing::Done,
            _ if affairs.writing || affairs.listening => Closing::Agreed,
            _ => Closing::Done,
        }
    }
}

impl App {
    /// Takes closing one step further.
    pub(super) fn mind_closing(&mut self, ctx: &Context) {
        let requested = ctx.input(|i| i.viewport().close_requested());
        let before = self.closing;
        self.closing = before.step(requested, self.affairs());
        match self.closing {
            Closing::Open => return,
            Closing::Asked => self.ask_closing(ctx),
            Closing::Agreed => self.wait_to_close(ctx),
            Closing::Done if before == Closing::Done => return,
            Closing::Done => {
                self.remember(ctx);
                if !requested {
                    ctx.send_viewport_cmd(ViewportCommand::Close);
                }
                return;
            }
        }
        if requested {
            ctx.send_viewport_cmd(ViewportCommand::CancelClose);
        }
    }

    fn affairs(&self) -> Affairs {
        let (listening, ending) = cfg_select! {
            feature = "live" => { (self.listener.is_running(), self.listener.is_ending()) }
            _ => { (false, false) }
        };
        Affairs {
            unsaved: matches!(self.shelf.state(&self.session.bench), Some((_, true))),
            loose: self.loose.is_there(),
            listening,
            writing: self.keeper.is_busy() || ending,
        }
    }

    /// Asks about what would be lost: a made tape, the changes of a bench, the rest of what is
    /// played in.
    fn ask_closing(&mut self, ctx: &Context) {
        let Affairs {
            unsaved,
            loose,
            listening,
            ..
        } = self.affairs();
        if loose {
            if let Some(fate) = ask_fate(ctx, "Closing", "Close without it") {
                self.decide(fate, ctx);
                if fate != Fate::Lose {
                    self.closing = Closing::Open;
                }
                ctx.request_repaint();
            }
            return;
        }
        let bench = self.shelf.state(&self.session.bench).map(|s| s.0);
        let bench = bench.filter(|_| unsaved).map(str::to_string);
        let (mut agreed, mut save, mut stay) = (false, false, false);
        let modal = Modal::new(Id::unique("closing")).show(ctx, |ui| {
            ui.set_width(380.0);
            match &bench {
                Some(name) => ui.heading(format!("The bench '{name}' has changes")),
                None => ui.heading("A capture is running"),
            };
            if listening {
                ui.label(
                    "Closing ends the capture that is running. What has been captured so far is \
                     kept in its file.",
                );
            }
            ui.add_space(6.0);
            ui.horizontal(|ui| {
                if unsaved {
                    save = ui.button("Save and close").clicked();
                    agreed = ui.button("Close without saving").clicked();
                } else {
                    agreed = ui.button("End it and close").clicked();
                }
                stay = ui.button("Stay").clicked();
            });
        });
        if save {
            match self.shelf.save(&self.session.bench) {
                Ok(_) => agreed = true,
                Err(why) => self.messages.failed(why),
            }
        }
        if stay || modal.should_close() {
            self.closing = Closing::Open;
        } else if agreed {
            self.closing = Closing::Agreed;
            ctx.request_repaint();
        }
    }

    /// Ends a capture, and says what closing waits for.
    fn wait_to_close(&mut self, ctx: &Context) {
        #[cfg(feature = "live")]
        self.listener.stop();
        let modal = Modal::new(Id::unique("closing")).show(ctx, |ui| {
            ui.set_width(380.0);
            ui.horizontal(|ui| {
                ui.spinner();
                ui.label("A file is still being written. The window closes when it is there.");
            });
            ui.add_space(6.0);
            ui.button("Stay").clicked()
        });
        if modal.inner || modal.should_close() {
            self.closing = Closing::Open;
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const NOTHING: Affairs = Affairs {
        unsaved: false,
        loose: false,
        listening: false,
        writing: false,
    };

    #[test]
    fn a_window_with_nothing_under_way_closes_when_it_is_asked_to() {
        assert_eq!(Closing::Open.step(false, NOTHING), Closing::Open);
        assert_eq!(Closing::Open.step(true, NOTHING), Closing::Done);
        assert_eq!(Closing::Done.step(false, NOTHING), Closing::Done);
    }

    #[test]
    fn what_would_be_lost_is_asked_about_and_the_question_stays() {
        let unsaved = Affairs {
            unsaved: true,
            ..NOTHING
        };
        let listening = Affairs {
            listening: true,
            ..NOTHING
        };
        let loose = Affairs {
            loose: true,
            ..NOTHING
        };
        for (affairs, then) in [
            (unsaved, Closing::Done),
            (loose, Closing::Done),
            (listening, Closing::Agreed),
        ] {
            assert_eq!(Closing::Open.step(false, affairs), Closing::Open);
            let asked = Closing::Open.step(true, affairs);
            assert_eq!(asked, Closing::Asked);
            assert_eq!(asked.step(false, affairs), Closing::Asked);
            assert_eq!(Closing::Agreed.step(false, affairs), then);
        }
    }

    /// A capture that ends by itself while it is asked about leaves nothing to ask.
    #[test]
    fn a_question_that_has_lost_its_ground_is_over() {
        assert_eq!(Closing::Asked.step(false, NOTHING), Closing::Done);
    }

    #[test]
    fn closing_waits_for_what_is_being_written() {
        let writing = Affairs {
            writing: true,
            ..NOTHING
        };
        let agreed = Closing::Open.step(true, writing);
        assert_eq!(agreed, Closing::Agreed);
        assert_eq!(agreed.step(false, writing), Closing::Agreed);
        assert_eq!(agreed.step(true, writing), Closing::Agreed);
        assert_eq!(agreed.step(false, NOTHING), Closing::Done);
    }
}
