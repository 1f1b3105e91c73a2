//! The stream of a capture, opened again where its connection to the sound server broke.
//!
//! The client of PulseAudio takes an interrupted wait for the end of its connection, and the system
//! interrupts the waits of a program that is stopped and continued (Ctrl-Z and `fg`; signal(7)).
//! The server and the device are still there then.

use super::Format;
use super::devices::Wanted;
use super::patience::Held;
use super::ring::Intake;
use super::stream::{self, Input};
use std::sync::mpsc::{self, Receiver, TryRecvError};
use std::thread;
use std::time::Instant;

/// A stream and the way to it.
pub(super) struct Line {
    wanted: Wanted,
    channels: u16,
    clock: Instant,
    held: Option<Held>,
    again: Option<Again>,
}

/// A stream that is being opened again.
struct Again {
    /// Why the last one ended.
    why: String,
    opened: Receiver<Result<(Held, Input), String>>,
}

/// How opening again stands.
pub(super) enum Reopened {
    /// It takes time.
    NotYet,
    /// Samples come from here now.
    Open(Intake),
    /// It failed: why the last stream ended.
    Failed(String),
}

impl Line {
    /// Opens the device that is wanted, with at least so many channels.
    ///
    /// # Errors
    /// A sentence.
    pub fn open(wanted: Wanted, channels: u16) -> Result<(Self, Input), String> {
        let clock = Instant::now();
        let (held, input) = stream::open_input(wanted, channels, clock)?;
        let line = Self {
            wanted: Wanted {
                host: input.host.clone(),
                device: Some(input.id.clone()),
                rate_hz: Some(input.format.rate_hz),
            },
            channels,
            clock,
            held: Some(held),
            again: None,
        };
        Ok((line, input))
    }

    /// Begins to open the same device again; false where that cannot be.
    pub fn reopen(&mut self, why: String) -> bool {
        self.held = None;
        let (tell, opened) = mpsc::channel();
        let (wanted, channels, clock) = (self.wanted.clone(), self.channels, self.clock);
        let open = move || {
            let _ = tell.send(stream::open_input(wanted, channels, clock));
        };
        let named = thread::Builder::new().name("sound".into());
        let is_begun = named.spawn(open).is_ok();
        self.again = is_begun.then_some(Again { why, opened });
        is_begun
    }

    /// How that stands; none where nothing is being opened.
    pub fn reopened(&mut self, format: Format) -> Option<Reopened> {
        let again = self.again.take()?;
        let opened = match again.opened.try_recv() {
            Err(TryRecvError::Empty) => {
                self.again = Some(again);
                return Some(Reopened::NotYet);
            }
            Err(TryRecvError::Disconnected) => None,
            Ok(opened) => opened.ok(),
        };
        let same = opened.filter(|(_, input)| input.format == format);
        Some(match same {
            Some((held, input)) => {
                self.held = Some(held);
                Reopened::Open(input.intake)
            }
            None => Reopened::Failed(again.why),
        })
    }
}
