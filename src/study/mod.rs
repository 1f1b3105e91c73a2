//! What can be measured, found and explained in recordings, traces and characters.
//!
//! Everything here looks at results and changes none. What may be called on a recording of hours
//! has a bounded cost: above [`MOST_EDGES`] edges, stretches spread over the whole are looked at,
//! and the result says so.

mod advice;
mod align;
mod bits;
mod blocks;
mod compare;
mod explain;
mod find;
mod lengths;
mod partner;
mod pulses;
mod score;
mod spectrum;
mod stretches;
mod tones;
mod two_means;

pub use advice::{Advice, InMemory, Reread, Tally, advise};
pub use bits::tape_bit_s;
pub use blocks::{blocks, leaders};
pub use compare::{Comparison, Difference, compare};
pub use explain::explain;
pub use find::{find, hexadecimal, parse_pattern};
pub use lengths::{Histogram, Lengths, lengths};
pub use pulses::{Pulses, pulses};
pub use score::{Found, Miss, Pairing, Score, score, score_bytes};
pub use spectrum::{Peak, Spectrum, WINDOW_NAME, spectrum};
pub use stretches::MOST_EDGES;
pub use tones::{Tones, between_tones_s, tones};

/// Traces and characters for tests.
#[cfg(test)]
mod made {
    use crate::signal::{Character, Edges, Faults, Instants};

    /// A trace with edges at these times.
    pub fn edges(starts_high: bool, times_s: &[f64]) -> Edges {
        let mut edges = Edges::resting(starts_high);
        times_s.iter().for_each(|&t| edges.push(t));
        edges
    }

    /// A character of ten bits of 0.1 s without a fault, on a line that does not delay.
    pub fn character(at_s: f64, value: u8) -> Character {
        Character {
            at_s,
            line_start_s: at_s,
            value,
            faults: Faults::default(),
            margin_percent: 40.0,
            instants: Instants {
                first_s: at_s + 0.05,
                bit_s: 0.1,
                whole: 10,
                half: false,
            },
        }
    }
}
