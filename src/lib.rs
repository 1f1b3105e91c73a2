//! Pulsewright runs a recording of two-tone cassette audio through a model of the circuit that
//! turns it back into bytes, and keeps what every stage of that circuit puts out.
//!
//! The layers, each of which may use only those above it, are listed in `DEVELOPERS.md` and
//! enforced by `tests/layers.rs`.

pub mod settings;
pub mod signal;
pub mod timing;
pub mod units;
