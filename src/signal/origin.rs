//! Where in the recording a space begins that shows on the line only later.

use super::Edges;
use crate::settings::{ShortSettings, Trigger};

/// Goes back from an edge of the line to the edge of the recording it comes from. Asked in the
/// order of time, it searches on from where it was.
#[derive(Clone, Debug)]
pub(super) struct OriginFinder {
    width_s: f64,
    half_cycle_limit_s: f64,
    near_short: usize,
    near_squared: usize,
}

impl OriginFinder {
    /// A finder for a short one-shot with these settings.
    pub(super) fn new(settings: &ShortSettings) -> Self {
        let width_s = settings.width_s;
        Self {
            width_s,
            half_cycle_limit_s: match settings.trigger {
                Trigger::Both => width_s,
                Trigger::Rising | Trigger::Falling => width_s / 2.0,
            },
            near_short: 0,
            near_squared: 0,
        }
    }

    /// The line fell at `line_s` because the short one-shot timed out at or before it; the trigger
    /// that started this timing lies one width earlier. The space begins with that trigger, or,
    /// where the half cycle behind it is still one of mark, with the edge that ends it.
    pub(super) fn find_s(&mut self, line_s: f64, short: &Edges, squared: &Edges) -> f64 {
        let behind = short.count_until_near(self.near_short, line_s);
        self.near_short = behind;
        let Some(time_out) = (0..behind).rev().take(2).find(|&i| short.rises(i)) else {
            return line_s;
        };
        let trigger_s = short.times_s()[time_out] - self.width_s;
        // The release was computed by adding the width: take the edge itself.
        let nearest = squared
            .count_until_near(self.near_squared, trigger_s + self.width_s * 1e-6)
            .saturating_sub(1);
        self.near_squared = nearest;
        let edges = squared.times_s();
        match (edges.get(nearest), edges.get(nearest + 1)) {
            (Some(&start), Some(&next)) if next - start < self.half_cycle_limit_s => next,
            (Some(&start), _) => start,
            _ => line_s,
        }
    }
}
