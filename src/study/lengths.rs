//! Histograms of half-cycle and cycle lengths.

use super::stretches::stretches;
use crate::signal::Edges;
use std::ops::Range;

/// How often which length occurs.
#[derive(Clone, Debug, PartialEq, Eq, Default)]
pub struct Histogram {
    /// Count of each bin; the bins are equally wide and run from 0 to the limit, which itself lies
    /// beyond the last.
    pub counts: Vec<usize>,
    /// How many are at or beyond the limit.
    pub beyond: usize,
}

/// Histograms of the lengths in some edges.
#[derive(Clone, Debug, PartialEq, Default)]
pub struct Lengths {
    /// Half cycles that are high.
    pub highs: Histogram,
    /// Half cycles that are low.
    pub lows: Histogram,
    /// Cycles, from rising edge to rising edge.
    pub cycles: Histogram,
    /// Width of a bin in seconds.
    pub bin_s: f64,
    /// One stretch of edges in this many was looked at; 1 where all were.
    pub sampled: usize,
}

/// Measures the half cycles and cycles whose edges lie in `range`, into `bins` bins from 0 to
/// `limit_s`. Above [`super::MOST_EDGES`] edges, looks at stretches spread over the range.
pub fn lengths(edges: &Edges, range: Range<usize>, limit_s: f64, bins: usize) -> Lengths {
    let empty = Histogram {
        counts: vec![0; bins],
        beyond: 0,
    };
    let [mut highs, mut lows, mut cycles] = [empty.clone(), empty.clone(), empty];
    let range = range.start..range.end.min(edges.len());
    let (sampled, stretches) = stretches(range);
    for stretch in stretches {
        let times_s = &edges.times_s()[stretch.clone()];
        let rises = |i: usize| edges.rises(stretch.start + i);
        for (i, pair) in times_s.windows(2).enumerate() {
            let halves = if rises(i) { &mut highs } else { &mut lows };
            halves.add(pair[1] - pair[0], limit_s);
        }
        let first_rise = usize::from(!rises(0));
        for cycle in times_s[first_rise..].windows(3).step_by(2) {
            cycles.add(cycle[2] - cycle[0], limit_s);
        }
    }
    Lengths {
        highs,
        lows,
        cycles,
        bin_s: limit_s / bins as f64,
        sampled,
    }
}

impl Histogram {
    fn add(&mut self, length_s: f64, limit_s: f64) {
        let bin = (length_s / limit_s * self.counts.len() as f64) as usize;
        match self.counts.get_mut(bin) {
            Some(count) if length_s < limit_s => *count += 1,
            _ => self.beyond += 1,
        }
    }

    /// How many lengths there are in all.
    pub fn total(&self) -> usize {
        self.counts.iter().sum::<usize>() + self.beyond
    }
}

#[cfg(test)]
mod tests {
    use super::super::made::edges;
    use super::*;

    #[test]
    fn lengths_fall_into_their_bins() {
        // Low, high 1 s, low 2 s, high 1 s, low 6 s, high.
        let some = edges(false, &[1.0, 2.0, 4.0, 5.0, 11.0]);
        let found = lengths(&some, 0..5, 4.0, 4);
        assert_eq!(found.highs.counts, [0, 2, 0, 0]);
        assert_eq!(
            (found.lows.counts, found.lows.beyond),
            (vec![0, 0, 1, 0], 1)
        );
        assert_eq!(
            (found.cycles.counts, found.cycles.beyond),
            (vec![0, 0, 0, 1], 1)
        );
        assert_eq!((found.bin_s, found.sampled), (1.0, 1));
        // From a falling edge on, one cycle is left.
        let found = lengths(&some, 1..99, 4.0, 4);
        assert_eq!((found.cycles.total(), found.highs.total()), (1, 1));
    }

    #[test]
    fn nothing_to_measure_is_an_empty_histogram() {
        let some = edges(true, &[1.0]);
        for range in [0..0, 0..1, 7..9] {
            assert_eq!(lengths(&some, range, 1e-3, 3).highs.total(), 0);
        }
        let two = edges(true, &[1.0, 2.0]);
        assert_eq!(lengths(&two, 0..2, 0.0, 3).lows.beyond, 1);
        assert_eq!(lengths(&two, 0..2, 5.0, 0).lows.beyond, 1);
    }

    /// A million edges: the shares stay, the count does not.
    #[test]
    fn very_many_edges_are_sampled() {
        let mut many = Edges::resting(false);
        let mut time_s = 0.0;
        for i in 0..1_000_000 {
            time_s += if i % 4 < 2 { 0.25 } else { 0.5 };
            many.push(time_s);
        }
        let found = lengths(&many, 0..many.len(), 1.0, 4);
        assert_eq!(found.sampled, 3);
        let (total, short) = (found.highs.total(), found.highs.counts[1]);
        assert!((150_000..200_000).contains(&total));
        assert!(short.abs_diff(total / 2) <= total / 100);
        assert_eq!(found.highs.counts[2], total - short);
    }
}
