//! Pulses of a trace in a span of time.

use super::stretches::stretches;
use crate::signal::Edges;

/// What there is to say of the pulses in a span.
#[derive(Clone, Copy, Debug, PartialEq, Default)]
pub struct Pulses {
    /// High pulses that begin and end within the span.
    pub whole_highs: usize,
    /// Those pulses a second.
    pub per_second: f64,
    /// Part of the span that is high, 0 to 1.
    pub duty: f64,
    /// Shortest whole high pulse in seconds.
    pub shortest_high_s: Option<f64>,
    /// Longest whole high pulse in seconds.
    pub longest_high_s: Option<f64>,
    /// Shortest whole low pulse in seconds.
    pub shortest_low_s: Option<f64>,
    /// Longest whole low pulse in seconds.
    pub longest_low_s: Option<f64>,
    /// One stretch of edges in this many was looked at for duty and lengths; 1 where all were and
    /// everything is exact. The count always is.
    pub sampled: usize,
}

/// Measures the pulses from `from_s` to `to_s`. Above [`super::MOST_EDGES`] edges, duty and lengths
/// come from stretches spread over the span. An empty span has the duty of its level.
pub fn pulses(edges: &Edges, from_s: f64, to_s: f64) -> Pulses {
    let range = edges.within(from_s, to_s);
    let span_s = to_s - from_s;
    if !(span_s > 0.0 && span_s.is_finite()) {
        return Pulses {
            duty: f64::from(u8::from(edges.level_at(from_s))),
            sampled: 1,
            ..Default::default()
        };
    }
    let behind_first_rise = range.len() - usize::from(!edges.rises(range.start)).min(range.len());
    let whole_highs = behind_first_rise / 2;
    let (sampled, stretches) = stretches(range.clone());
    let mut sum = Sum::default();
    for stretch in stretches {
        let times_s = &edges.times_s()[stretch.clone()];
        for (i, pair) in times_s.windows(2).enumerate() {
            sum.add(edges.rises(stretch.start + i), pair[1] - pair[0]);
        }
    }
    // The pieces of pulses at the ends of the span.
    let inside = &edges.times_s()[range.clone()];
    let head_s = inside.first().copied().unwrap_or(to_s) - from_s;
    let tail_s = inside.last().map_or(0.0, |last| to_s - last);
    if sampled == 1 {
        sum.high_s += if edges.level_at(from_s) { head_s } else { 0.0 };
        sum.high_s += if edges.level_at(to_s) { tail_s } else { 0.0 };
        sum.all_s = span_s;
    }
    Pulses {
        whole_highs,
        per_second: whole_highs as f64 / span_s,
        duty: (sum.high_s / sum.all_s).clamp(0.0, 1.0),
        shortest_high_s: sum.extremes[1].map(|e| e.0),
        longest_high_s: sum.extremes[1].map(|e| e.1),
        shortest_low_s: sum.extremes[0].map(|e| e.0),
        longest_low_s: sum.extremes[0].map(|e| e.1),
        sampled,
    }
}

/// Pulses added up.
#[derive(Default)]
struct Sum {
    high_s: f64,
    all_s: f64,
    /// Shortest and longest, low and high.
    extremes: [Option<(f64, f64)>; 2],
}

impl Sum {
    fn add(&mut self, high: bool, length_s: f64) {
        let extremes = &mut self.extremes[usize::from(high)];
        let (least, most) = extremes.unwrap_or((length_s, length_s));
        *extremes = Some((least.min(length_s), most.max(length_s)));
        self.all_s += length_s;
        self.high_s += if high { length_s } else { 0.0 };
    }
}

#[cfg(test)]
mod tests {
    use super::super::made::edges;
    use super::*;

    #[test]
    fn whole_pulses_are_counted_and_pieces_belong_to_the_duty() {
        // High up to 1, low to 3, high to 4, low to 8, high to 11, low.
        let some = edges(true, &[1.0, 3.0, 4.0, 8.0, 11.0]);
        let all = pulses(&some, 0.0, 20.0);
        assert_eq!((all.whole_highs, all.per_second), (2, 0.1));
        assert_eq!(all.duty, 5.0 / 20.0);
        assert_eq!(
            (all.shortest_high_s, all.longest_high_s),
            (Some(1.0), Some(3.0))
        );
        assert_eq!(
            (all.shortest_low_s, all.longest_low_s),
            (Some(2.0), Some(4.0))
        );
        // The last pulse is cut: part of the duty, not of the count.
        let part = pulses(&some, 2.0, 10.0);
        assert_eq!((part.whole_highs, part.duty), (1, 3.0 / 8.0));
        assert_eq!(part.longest_high_s, Some(1.0));
    }

    #[test]
    fn a_span_without_edges_has_the_duty_of_its_level() {
        let some = edges(true, &[1.0, 3.0]);
        for (from_s, to_s, duty) in [
            (0.0, 0.5, 1.0),
            (1.5, 2.0, 0.0),
            (5.0, 5.0, 1.0),
            (2.0, 1.0, 0.0),
        ] {
            let found = pulses(&some, from_s, to_s);
            assert_eq!(
                (found.duty, found.whole_highs, found.shortest_low_s),
                (duty, 0, None)
            );
        }
        assert_eq!(pulses(&Edges::default(), 0.0, f64::NAN).duty, 0.0);
    }

    #[test]
    fn very_many_edges_are_sampled_but_counted() {
        let mut many = Edges::resting(false);
        for i in 0..1_000_000 {
            many.push(f64::from(i / 2) + if i % 2 == 0 { 0.0 } else { 0.25 });
        }
        let found = pulses(&many, -1.0, 500_000.0);
        assert_eq!((found.sampled, found.whole_highs), (3, 500_000));
        assert!((found.duty - 0.25).abs() < 1e-3);
        assert_eq!(
            (found.shortest_high_s, found.longest_low_s),
            (Some(0.25), Some(0.75))
        );
    }
}
