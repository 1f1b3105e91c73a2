//! A whole reading as JSON.

use super::Summary;
use super::knob_values::Knobs;
use crate::settings::{Bench, Knob, STAGES, knobs_of};
use crate::signal::{Character, Gap, Levels, Traces};
use crate::source::About;
use crate::study::{self, Advice, Tally};
use serde::ser::SerializeMap;
use serde::{Serialize, Serializer};
use std::borrow::Cow;
use std::collections::BTreeMap;
use std::ops::Range;
use std::path::Path;

/// A recording, what is known about it, and what the stages made of it with some settings.
#[derive(Clone, Copy, Debug)]
pub struct Reading<'a> {
    /// The file as it was named, `-` for standard input.
    pub path: &'a Path,
    /// Where the recording comes from.
    pub about: &'a About,
    /// Its level figures.
    pub levels: &'a Levels,
    /// The settings.
    pub bench: &'a Bench,
    /// What the stages put out.
    pub traces: &'a Traces,
}

/// Writes a reading as one JSON object:
///
/// - `characters`: value, faults, margin, and the second at which each begins in the recording;
/// - `blocks`: the index of the first character of each, how many it has, and from when to when;
/// - `summary`: counts and margins of these characters;
/// - `stretch`: which part of the recording they are from, all of it where no other was asked for;
/// - `recording`: its format, its levels, its gaps and notes on it;
/// - `settings`: those it was read with;
/// - `advice`: changes that read the whole recording better, the best first.
///
/// Settings stand by stage and knob, quantities in seconds, hertz, volts or bauds, words as text.
/// Those of the tape maker and of wear are left out: they have no part in a reading.
pub fn json(reading: &Reading<'_>, advice: &[Advice]) -> String {
    let document = Document {
        characters: reading.traces.characters.iter().map(Row::of).collect(),
        settings: Stages(reading.bench),
        recording: Origin::of(reading),
        stretch: Stretch::of(reading.traces),
        blocks: blocks(&reading.traces.characters),
        summary: Summary::of(reading.traces),
        advice: advice.iter().map(Change::of).collect(),
    };
    // Writing plain figures and texts to memory does not fail.
    let mut text = serde_json::to_string_pretty(&document).unwrap_or_default();
    text.push('\n');
    text
}

/// The entry of a recording that could not be read, in a list of readings: its `recording` with the
/// `path` alone, and `error`, a sentence.
pub fn json_unread(path: &Path, error: &str) -> String {
    let path = path.to_string_lossy();
    let entry = serde_json::json!({ "recording": { "path": path }, "error": error });
    format!("{entry:#}\n")
}

#[derive(Serialize)]
struct Document<'a> {
    characters: Vec<Row>,
    settings: Stages<'a>,
    recording: Origin<'a>,
    stretch: Stretch,
    blocks: Vec<Block>,
    summary: Summary,
    advice: Vec<Change<'a>>,
}

/// A change that was tried, with its knobs as flags take them.
#[derive(Serialize)]
struct Change<'a> {
    says: &'a str,
    changes: BTreeMap<String, String>,
    before: Count,
    after: Count,
}

#[derive(Serialize)]
struct Count {
    characters: usize,
    without_fault: usize,
    least_margin_percent: Option<f64>,
}

impl<'a> Change<'a> {
    fn of(advice: &'a Advice) -> Self {
        let changes = advice.changes.iter();
        Self {
            says: &advice.says,
            changes: changes.map(|(k, v)| (k.id(), k.show(*v))).collect(),
            before: Count::of(&advice.before),
            after: Count::of(&advice.after),
        }
    }
}

impl Count {
    fn of(tally: &Tally) -> Self {
        Self {
            characters: tally.characters,
            without_fault: tally.sound,
            least_margin_percent: tally.least_margin_percent,
        }
    }
}

#[derive(Serialize)]
struct Row {
    at_s: f64,
    value: u8,
    faults: Vec<&'static str>,
    margin_percent: f64,
}

impl Row {
    fn of(character: &Character) -> Self {
        Self {
            at_s: character.at_s,
            value: character.value,
            faults: character.faults.words(),
            margin_percent: character.margin_percent,
        }
    }
}

/// A part of a recording in seconds.
#[derive(Serialize)]
pub(super) struct Stretch {
    from_s: f64,
    to_s: f64,
}

impl Stretch {
    /// The part that the traces are of.
    pub fn of(traces: &Traces) -> Self {
        Self {
            from_s: traces.start_s,
            to_s: traces.end_s,
        }
    }
}

#[derive(Serialize)]
struct Block {
    first: usize,
    characters: usize,
    from_s: f64,
    to_s: f64,
}

fn blocks(characters: &[Character]) -> Vec<Block> {
    let blocks = study::blocks(characters).into_iter();
    let block = |range: Range<usize>| Block {
        first: range.start,
        characters: range.len(),
        from_s: characters[range.start].at_s,
        to_s: characters[range.end - 1].end_s(),
    };
    blocks.map(block).collect()
}

#[derive(Serialize)]
struct Origin<'a> {
    name: &'a str,
    path: Cow<'a, str>,
    format: &'a str,
    rate_hz: u32,
    channels: u32,
    frames: u64,
    duration_s: f64,
    peak_v: f64,
    rms_v: f64,
    mean_v: f64,
    clipped: usize,
    gaps: &'a [Gap],
    notes: &'a [String],
}

impl<'a> Origin<'a> {
    fn of(reading: &Reading<'a>) -> Self {
        let (about, levels) = (reading.about, reading.levels);
        Self {
            name: &about.name,
            path: reading.path.to_string_lossy(),
            format: &about.format,
            rate_hz: about.rate_hz,
            channels: about.channels,
            frames: about.frames,
            duration_s: about.duration_s(),
            peak_v: levels.peak_v,
            rms_v: levels.rms_v,
            mean_v: levels.mean_v,
            clipped: levels.clipped,
            gaps: &about.gaps,
            notes: &about.notes,
        }
    }
}

/// The settings of all stages that a recording passes.
struct Stages<'a>(&'a Bench);

impl Serialize for Stages<'_> {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        let stages = STAGES
            .iter()
            .filter(|(stage, _)| knobs_of(stage).all(Knob::shapes_a_reading));
        let mut map = serializer.serialize_map(None)?;
        for (stage, _) in stages {
            map.serialize_entry(stage, &Knobs::all(self.0, stage))?;
        }
        map.end()
    }
}
