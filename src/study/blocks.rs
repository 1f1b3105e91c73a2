//! Blocks of characters, and the leaders between them.

use crate::signal::{Character, Edges};
use std::ops::Range;

/// A block ends where the pause behind a character is longer than this many characters.
const PAUSE_CHARACTERS: f64 = 3.0;

/// Steady mark is a leader from this length on, in seconds.
const LEAST_LEADER_S: f64 = 0.25;

/// The blocks: characters in a row of which none is followed by a pause longer than three
/// characters.
pub fn blocks(characters: &[Character]) -> Vec<Range<usize>> {
    let mut start = 0;
    let together = |a: &Character, b: &Character| {
        b.line_start_s - a.line_end_s() <= PAUSE_CHARACTERS * a.length_s()
    };
    characters
        .chunk_by(together)
        .map(|block| {
            let range = start..start + block.len();
            start = range.end;
            range
        })
        .collect()
}

/// The leaders, as begin and end in seconds: where the squarer's cycles, rising edge to rising
/// edge, stay at or below `split_s` for a quarter of a second or more, before, between and behind
/// the [`blocks`]. Whatever the circuit takes for mark counts, noise too.
///
/// Looks at every edge outside the blocks once, which costs a fraction of finding the characters.
pub fn leaders(
    squarer: &Edges,
    characters: &[Character],
    split_s: f64,
    end_s: f64,
) -> Vec<(f64, f64)> {
    let mut found = Vec::new();
    let mut from_s = f64::NEG_INFINITY;
    for block in blocks(characters) {
        steady(
            squarer,
            from_s,
            characters[block.start].at_s,
            split_s,
            &mut found,
        );
        from_s = characters[block.end - 1].end_s();
    }
    steady(squarer, from_s, end_s, split_s, &mut found);
    found
}

/// Adds the stretches of steady mark from `from_s` to `to_s`.
fn steady(squarer: &Edges, from_s: f64, to_s: f64, split_s: f64, found: &mut Vec<(f64, f64)>) {
    let range = squarer.within(from_s, to_s);
    let first_rise = range.start + usize::from(!squarer.rises(range.start));
    let times_s = squarer.times_s().get(first_rise..range.end).unwrap_or(&[]);
    let mut rises = times_s.iter().copied().step_by(2);
    let Some(mut start_s) = rises.next() else {
        return;
    };
    let mut last_s = start_s;
    for rise_s in rises.chain([f64::INFINITY]) {
        if rise_s - last_s > split_s {
            if last_s - start_s >= LEAST_LEADER_S {
                found.push((start_s, last_s));
            }
            start_s = rise_s;
        }
        last_s = rise_s;
    }
}

#[cfg(test)]
mod tests {
    use super::super::made::character;
    use super::*;
    use crate::settings::{Bench, TapeSettings};
    use crate::signal::{Chain, Recording};
    use crate::tape;

    #[test]
    fn a_pause_of_more_than_three_characters_ends_a_block() {
        // Characters of one second: pauses of 0, 3 and 3.1 s.
        let list = [0.0, 1.0, 5.0, 9.1].map(|at_s| character(at_s, 0x41));
        assert_eq!(blocks(&list), [0..3, 3..4]);
        assert!(blocks(&[]).is_empty());
    }

    /// Two blocks on one tape: the leaders are where the tape maker put them.
    #[test]
    fn leaders_are_found_before_between_and_behind_blocks() {
        let settings = |leader_s, trailer_s| TapeSettings {
            leader_s,
            trailer_s,
            sample_rate_hz: 24_000,
            ..Default::default()
        };
        let mut samples = tape::record(b"TIDE", &settings(1.0, 0.75))
            .samples()
            .to_vec();
        let first_s = samples.len() as f64 / 24_000.0;
        // What is too short to be a leader: 0.1 s of mark before silence.
        samples.extend(&*tape::record(b"LOG", &settings(0.5, 0.1)).samples());
        samples.extend([0.0; 24_000]);
        let recording = Recording::new(samples, 24_000);
        let bench = Bench::default();
        let traces = Chain::read(&bench, &recording);
        assert_eq!(traces.bytes(), b"TIDELOG");
        let found = leaders(
            &traces.squarer,
            &traces.characters,
            bench.short.width_s,
            traces.end_s,
        );
        // The two stop bits of the last character are mark too; one of them is in the character.
        let bit_s = 1.0 / 300.0;
        let wanted = [(0.0, 1.0), (first_s - 0.75 - bit_s, first_s + 0.5)];
        assert_eq!(found.len(), 2, "{found:?}");
        for ((from_s, to_s), wanted) in found.iter().zip(wanted) {
            assert!((from_s - wanted.0).abs() < 1.5e-3, "{from_s} {wanted:?}");
            assert!((to_s - wanted.1).abs() < 1.5e-3, "{to_s} {wanted:?}");
        }
    }

    #[test]
    fn no_edges_are_no_leader() {
        assert!(leaders(&Edges::default(), &[], 1e-3, 10.0).is_empty());
        let one = Edges::resting(true);
        assert!(leaders(&one, &[character(1.0, 0)], 1e-3, 0.0).is_empty());
    }
}
