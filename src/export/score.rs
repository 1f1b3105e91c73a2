//! A score as JSON.

use crate::study::{Found, Miss, Pairing, Score};
use serde::Serialize;

/// Writes a score as one JSON object: the counts, how characters were paired, and every character
/// that was not read right; `null` stands for a value that is not there.
pub fn score(score: &Score) -> String {
    let document = Document {
        right: score.right,
        wrong: score.wrong(),
        missing: score.missing(),
        extra: score.extra(),
        paired_by: match score.paired_by {
            Pairing::Time => "time",
            Pairing::Order => "order",
        },
        misses: score.misses.iter().map(Row::of).collect(),
    };
    // Writing plain figures and texts to memory does not fail.
    let mut text = serde_json::to_string_pretty(&document).unwrap_or_default();
    text.push('\n');
    text
}

#[derive(Serialize)]
struct Document {
    right: usize,
    wrong: usize,
    missing: usize,
    extra: usize,
    paired_by: &'static str,
    misses: Vec<Row>,
}

#[derive(Serialize)]
struct Row {
    at_s: f64,
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
