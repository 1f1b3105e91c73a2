//! Sound in the window: listening to a player, and playing to the real circuit.

mod captured;
mod device_choice;
mod listen;
mod meter_bar;
mod play;
mod roll;

pub use listen::{ListenDesk, ListenHand, Rolled};
pub use play::PlayDesk;
