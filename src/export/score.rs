//! A score as JSON.

use super::Summary;
use super::json::Stretch;
use crate::signal::Traces;
use crate::study::{Found, Miss, Pairing, Score};
use serde::Serialize;

/// Writes a score as one JSON object: the counts, how characters were paired, every character that
/// was not read right, and the summary and the stretch of what was read; `null` stands for a value
/// that is not there.
pub fn score(score: &Score, read: &Traces) -> String {
    let document = Document {
        right: score.right,
        right_with_faults: score.right_with_faults,
        wrong: score.wrong(),
        missing: score.missing(),
        extra: score.extra(),
        paired_by: match score.paired_by {
            Pairing::Time => "time",
            Pairing::Order => "order",
        },
        misses: score.misses.iter().map(Row::of).collect(),
        summary: Summary::of(read),
        stretch: Stretch::of(read),
    };
    // Writing plain figures and texts to memory does not fail.
    let mut text = serde_json::to_string_pretty(&document).unwrap_or_default();
    text.push('\n');
    text
}

#[derive(Serialize)]
struct Document {
    right: usize,
    right_with_faults: usize,
    wrong: usize,
    missing: usize,
    extra: usize,
    paired_by: &'static str,
    misses: Vec<Row>,
    summary: Summary,
    stretch: Stretch,
}

#[derive(Serialize)]
struct Row {
    at_s: Option<f64>,
    expected: Option<u8>,
    seen: Option<u8>,
}

impl Row {
    fn of(miss: &Miss) -> Self {
        let (expected, seen) = match miss.found {
            Found::Wrong { expected, seen } => (Some(expected), Some(seen)),
            Found::Missing { expected } => (Some(expected), None),
            Found::Extra { seen } => (None, Some(seen)),
        };
        Self {
            at_s: miss.at_s,
            expected,
            seen,
        }
    }
}
