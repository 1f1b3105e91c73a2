//! The model of the circuit: from samples to edges to characters.
//!
//! Every stage is a small state machine that is fed piece by piece and gives the same output, bit
//! for bit, however its input is cut. Nothing here touches a clock, a file or a thread.

mod chain;
mod character;
mod edges;
mod framer;
mod gap;
mod input_network;
mod level;
mod near;
mod one_shot;
mod origin;
mod rc;
mod recording;
mod samples;
mod sinc;
mod squarer;

pub use chain::{Chain, Drained, Traces};
pub use character::{Character, Faults, Instants, faulty, least_margin_percent};
pub use edges::{EdgeRun, Edges};
pub use framer::Framer;
pub use gap::{Cause, Gap};
pub use input_network::InputNetwork;
pub use level::{LevelSum, Levels};
pub use near::partition_near;
pub use one_shot::OneShot;
pub use recording::{Recording, repair};
pub use samples::{PIECE, Pieces, Samples, extent_of};
pub use sinc::Sinc;
pub use squarer::Squarer;
