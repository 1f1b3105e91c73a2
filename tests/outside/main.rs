//! The stages against numpy and scipy on the same samples. Each module has a script beside it
//! that computes the reference in a way of its own.

mod chain;
mod circuit;
mod input_network;
mod python;
mod spectrum;
mod squarer;
mod tones;
mod wear_levels;
mod wear_noise;
mod wear_speed;
mod worn;
