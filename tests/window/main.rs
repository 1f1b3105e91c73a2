//! The window, driven by its accessible labels, without a display.
#![cfg(feature = "window")]

mod benches;
mod controls;
mod desk;
mod files;
mod foot;
mod going;
mod keys;
mod lanes;
mod layout;
mod listing;
mod manners;
mod pictures;
mod raster;
mod real;
#[cfg(feature = "live")]
mod sound;
mod tapes;
