//! Pulsewright runs a recording of two-tone cassette audio through a model of the circuit that
//! turns it back into bytes, and keeps what every stage of that circuit puts out.
//!
//! The layers, each of which may use only those above it, are listed in `DEVELOPERS.md` and
//! enforced by `tests/layers.rs`.

pub mod cli;
pub mod date;
pub mod export;
pub mod glossary;
#[cfg(feature = "live")]
pub mod live;
pub mod picture;
pub mod reference;
pub mod settings;
pub mod signal;
pub mod source;
pub mod store;
pub mod study;
pub mod tape;
pub mod timing;
pub mod units;
#[cfg(feature = "window")]
pub mod view;
pub mod worker;
