//! Sound in and out: capture from a player, and playing to the real circuit.
//!
//! Samples of a capture go from the sound card's callback, which only copies, through a ring
//! without locks to a thread that keeps them in a file as they come, looks for what is missing and
//! runs them through the same stages as a file. Sound servers hang and devices go: every wait has
//! a deadline, and streams live and die on threads of their own.

mod capture;
mod consumer;
mod devices;
mod format;
mod gaps;
mod keep;
mod line;
mod meter;
mod mute;
mod names;
mod outline;
mod patience;
mod play;
mod report;
mod reserve;
mod ring;
mod seam;
mod stream;
mod tail;
mod voice;
mod watch;

pub use capture::{Capture, Event, Request, State, Status};
pub use devices::{Device, Host, Side, Wanted, hosts};
pub use format::Format;
pub use gaps::{GapFinder, no_loss};
pub use meter::Meter;
pub use names::{default_name, name_again};
pub use outline::Outline;
pub use play::{PlayRequest, Player, Playing, Progress};
pub use report::{End, Report};
pub use ring::Feed;
pub use seam::loop_end;
