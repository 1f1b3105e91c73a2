//! What there is to say about all characters together.

use crate::signal::{Character, Faults, Traces};
use serde::Serialize;

/// Counts and margins over all characters of a reading.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Summary {
    /// Characters.
    pub characters: usize,
    /// Characters with a stop bit that is not mark, breaks among them.
    pub framing_errors: usize,
    /// Characters whose parity bit does not fit.
    pub parity_errors: usize,
    /// Characters that are space throughout.
    pub breaks: usize,
    /// Transitions to space that were no start bit.
    pub false_starts: usize,
    /// Margins of the characters without faults.
    pub margin_percent: Margins,
}

/// Margins over some characters without faults in per cent of a bit; `None` where there is none.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Margins {
    /// The smallest.
    pub least: Option<f64>,
    /// The one in the middle of all.
    pub median: Option<f64>,
}

impl Summary {
    /// Sums up what the framer put out.
    pub fn of(traces: &Traces) -> Self {
        let characters = &traces.characters;
        let count = |is: fn(&Faults) -> bool| characters.iter().filter(|c| is(&c.faults)).count();
        Self {
            characters: characters.len(),
            framing_errors: count(|f| f.framing),
            parity_errors: count(|f| f.parity),
            breaks: count(|f| f.break_),
            false_starts: traces.false_starts_s.len(),
            margin_percent: Margins::of(characters),
        }
    }
}

impl Margins {
    /// The margins of those `characters` that have no fault; the median of an even count is the mean of the middle two.
    pub fn of(characters: &[Character]) -> Self {
        let mut margins: Vec<f64> = characters
            .iter()
            .filter(|c| !c.faults.any())
            .map(|c| c.margin_percent)
            .collect();
        margins.sort_unstable_by(f64::total_cmp);
        let upper = margins.get(margins.len() / 2);
        let lower = margins.get(margins.len().saturating_sub(1) / 2);
        Self {
            least: margins.first().copied(),
            median: upper.zip(lower).map(|(a, b)| (a + b) / 2.0),
        }
    }
}
