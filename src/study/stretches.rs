//! Bounded looks at very many edges.

use std::ops::Range;

/// Up to this many edges, all are looked at.
pub const MOST_EDGES: usize = 400_000;

/// Edges of one stretch, where not all are looked at.
const STRETCH: usize = 1000;

/// Stretches of a range of edges that hold about [`MOST_EDGES`] at most, spread evenly, and the
/// count of stretches of which one was taken: 1 where it is the whole range.
pub(super) fn stretches(range: Range<usize>) -> (usize, impl Iterator<Item = Range<usize>>) {
    let one_in = range.len().div_ceil(MOST_EDGES).max(1);
    let stretch = if one_in == 1 {
        range.len().max(1)
    } else {
        STRETCH
    };
    let starts = range.clone().step_by(stretch * one_in);
    let taken = starts.map(move |start| start..(start + stretch).min(range.end));
    (one_in, taken)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn few_edges_are_one_stretch_and_many_are_thinned() {
        let all = |range: Range<usize>| {
            let (one_in, taken) = stretches(range);
            (one_in, taken.collect::<Vec<_>>())
        };
        let (one_in, taken) = all(5..400_005);
        assert_eq!((one_in, taken.len(), &taken[0]), (1, 1, &(5..400_005)));
        assert_eq!(all(5..5), (1, vec![]));
        let (one_in, taken) = all(7..1_000_007);
        assert_eq!((one_in, taken.len()), (3, 334));
        assert_eq!(taken[1], 3007..4007);
        assert_eq!(taken[333], 999_007..1_000_007);
    }
}
