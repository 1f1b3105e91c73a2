//! How a capture ends, and begins again where it was lost.

use super::{ListenDesk, ListenHand, Stand, words};
use crate::live::{End, Report, Request, State};
use crate::settings::Bench;

/// A capture that was lost, or could not be begun again.
pub(super) struct Lost {
    /// What happened, in sentences.
    pub why: String,
    /// What was captured.
    pub request: Request,
}

impl ListenDesk {
    /// What is to be done when a capture is over.
    pub(super) fn ended(&mut self, report: &Report) -> Vec<ListenHand> {
        self.file.clear();
        let mut hands = Vec::new();
        // What rolled stays in view; what stands still does so by itself.
        let rolled = self.rolled.take().filter(|_| self.stand == Stand::Rolls);
        if self.stand != Stand::Away
            && report.captured_s > 0.0
            && let Some((file, begins_at_s)) =
                report.files.last().zip(report.file_begins_at_s.last())
        {
            let span = self.look.take().or(rolled).map(|s| s.moved(-begins_at_s));
            hands.push(ListenHand::Look(file.clone(), span));
        }
        let kept = words::kept(report);
        let failure = report.end.as_ref().and_then(End::failure);
        let said = failure.map_or(kept.clone(), |why| format!("{why} {kept}"));
        let again = std::mem::take(&mut self.again);
        match self.request.take() {
            Some(mut request) if again || failure.is_some() => {
                // The same device again, though it may no longer be the usual one.
                let wanted = &mut request.wanted;
                wanted.host = wanted.host.take().or_else(|| report.host.clone());
                wanted.device.get_or_insert_with(|| report.device.clone());
                let lost = Lost { why: said, request };
                if again {
                    let bench = self.known;
                    self.begin(lost.request.clone(), &bench, true);
                }
                self.lost = Some(lost);
            }
            _ => {
                let ended_well = failure.is_none();
                let said = if ended_well { Ok(said) } else { Err(said) };
                hands.push(ListenHand::Say(said));
            }
        }
        hands
    }

    /// Listens to the same device again, into another file: where it was lost, or where nothing
    /// comes from it.
    ///
    /// # Errors
    /// A sentence, where there is no reason to.
    pub fn reconnect(&mut self, bench: &Bench) -> Result<(), String> {
        if self.is_beginning_again() {
            return Ok(());
        }
        if let Some(lost) = &self.lost {
            let request = lost.request.clone();
            self.begin(request, bench, true);
            return Ok(());
        }
        let Some(capture) = &self.capture else {
            return Err("Nothing is listened to; Recording, Listen begins.".into());
        };
        if capture.status().state != State::Stalled {
            return Err("Nothing has stalled; there is nothing to connect again.".into());
        }
        self.again = true;
        self.end();
        Ok(())
    }

    /// Whether a lost capture is under way to begin again.
    pub(super) fn is_beginning_again(&self) -> bool {
        self.again || (self.lost.is_some() && self.starter.is_busy())
    }

    /// Ends the capture, where one runs: what has come stays in its file, which is then opened.
    pub fn stop(&mut self) {
        if self.stand == Stand::Away {
            self.stand = Stand::Frozen;
        }
        self.end();
    }

    fn end(&mut self) {
        if let Some(capture) = self.capture.take() {
            self.stopper.ask(capture);
        }
    }
}
