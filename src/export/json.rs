//! A whole reading as JSON.

use super::Summary;
use super::knob_values::Knobs;
use crate::settings::{Bench, Knob, STAGES, knobs_of};
use crate::signal::{Character, Gap, Levels, Traces};
use crate::source::About;
use crate::study::{Advice, Tally};
use serde::ser::SerializeMap;
use serde::{Serialize, Serializer};
use std::collections::BTreeMap;

/// A recording, what is known about it, and what the stages made of it with some settings.
#[derive(Clone, Copy, Debug)]
pub struct Reading<'a> {
    /// Where the recording comes from.
    pub about: &'a About,
    /// Its level figures.
    pub levels: &'a Levels,
    /// The settings.
    pub bench: &'a Bench,
    /// What the stages put out.
    pub traces: &'a Traces,
}

/// Writes a reading as one JSON object: `characters`, `settings`, `recording`, `summary` and
/// `advice`, the best first.
///
/// Settings stand by stage and knob, quantities in seconds, hertz, volts or bauds, words as text.
/// Those of the tape maker and of wear are left out: they have no part in a reading.
pub fn json(reading: &Reading<'_>, advice: &[Advice]) -> String {
    let document = Document {
        characters: reading.traces.characters.iter().map(Row::of).collect(),
        settings: Stages(reading.bench),
        recording: Origin::of(reading),
        summary: Summary::of(reading.traces),
        advice: advice.iter().map(Change::of).collect(),
    };
    // Writing plain figures and texts to memory does not fail.
    let mut text = serde_json::to_string_pretty(&document).unwrap_or_default();
    text.push('\n');
    text
}

#[derive(Serialize)]
struct Document<'a> {
    characters: Vec<Row>,
    settings: Stages<'a>,
    recording: Origin<'a>,
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

#[derive(Serialize)]
struct Origin<'a> {
    name: &'a str,
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
