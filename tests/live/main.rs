//! Sound in and out, through a virtual sound card: a PulseAudio server of the test's own, with two
//! outputs that play into nothing in real time and whose monitors are inputs. `paplay` is the
//! player.

mod arrivals;
mod card;
mod feed;
mod listen;
mod loss;
mod play;
mod samples;
