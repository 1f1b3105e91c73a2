//! Stretches that are missing from a recording.

use crate::units::{self, Unit};
use serde::{Deserialize, Serialize};
use std::fmt;

/// Why samples are missing.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum Cause {
    /// The sound system gave fewer samples than its clock asks for; the length is known to some
    /// milliseconds.
    System,
    /// This program did not take them in time; the length is exact.
    Program,
}

/// Samples that are missing from a recording. It has no length on the recording, where the sample
/// before it stands next to the one behind it.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub struct Gap {
    /// Where they are missing, in seconds on the recording.
    pub at_s: f64,
    /// How much is missing, in seconds.
    pub length_s: f64,
    /// Why.
    pub cause: Cause,
}

impl Gap {
    /// The gap as it lies on a recording that begins `by_s` later.
    pub fn moved(self, by_s: f64) -> Self {
        Self {
            at_s: self.at_s + by_s,
            ..self
        }
    }

    /// The gaps of some, in the order of time, at which samples are missing from `from_s` to
    /// `to_s`.
    pub fn within(gaps: &[Self], from_s: f64, to_s: f64) -> &[Self] {
        let from = gaps.partition_point(|g| g.at_s < from_s);
        let to = gaps.partition_point(|g| g.at_s <= to_s);
        &gaps[from..to.max(from)]
    }

    /// `3 gaps, 1.2 s lost`; `gap, 12 ms lost` for a single one.
    pub fn words(gaps: &[Self]) -> String {
        let lost_s = gaps.iter().map(|g| g.length_s).sum();
        let lost = units::show_digits(lost_s, Unit::Seconds, 3);
        match gaps.len() {
            1 => format!("gap, {lost} lost"),
            n => format!("{n} gaps, {lost} lost"),
        }
    }
}

impl fmt::Display for Gap {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let who = match self.cause {
            Cause::System => "the sound system lost about",
            Cause::Program => "this program could not keep up and lost",
        };
        let (at, ms) = (units::clock(self.at_s), self.length_s * 1e3);
        write!(f, "at {at} {who} {ms:.0} ms of samples")
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn those_in_a_stretch_are_found_and_said_together() {
        let gap = |at_s, length_s| Gap {
            at_s,
            length_s,
            cause: Cause::System,
        };
        let gaps = [gap(1.0, 0.012), gap(2.0, 1.0), gap(2.0, 0.2), gap(5.0, 0.1)];
        assert_eq!(Gap::within(&gaps, 1.5, 5.0), &gaps[1..]);
        assert_eq!(Gap::within(&gaps, 3.0, 4.0), &[]);
        assert_eq!(Gap::within(&gaps, 4.0, 3.0), &[]);
        assert_eq!(Gap::words(&gaps[..1]), "gap, 12 ms lost");
        assert_eq!(Gap::words(&gaps[1..3]), "2 gaps, 1.2 s lost");
        assert_eq!(
            gap(61.0, 0.012).to_string(),
            "at 1:01.000 the sound system lost about 12 ms of samples"
        );
    }
}
