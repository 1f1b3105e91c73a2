//! The truth about a tape as JSON, and back.

use super::knob_values::Knobs;
use crate::settings::Bench;
use crate::source::json_reason;
use crate::tape::wear::Noise;
use crate::tape::{Tape, TrueCharacter};
use serde::{Deserialize, Serialize};
use std::path::{Path, PathBuf};

/// Where the truth about a tape lies: beside its recording, under its whole name.
pub fn truth_beside(recording: &Path) -> PathBuf {
    let mut name = recording.as_os_str().to_owned();
    name.push(".json");
    name.into()
}

/// Writes the truth about a tape as one JSON object.
///
/// - `bytes`: what it holds;
/// - `characters`: the same with the second at which each start bit begins;
/// - `recording`: rate and duration;
/// - `tape`: all settings of the tape maker;
/// - `wear`: the settings of wear that differ from their defaults;
/// - `applied`: what came of them: when each drop-out and each click begins, and the powers of
///   signal and noise.
pub fn truth(tape: &Tape) -> String {
    let truth = &tape.truth;
    let bench = Bench {
        tape: truth.tape,
        wear: truth.wear,
        ..Default::default()
    };
    let document = Document {
        bytes: truth.bytes(),
        characters: truth.characters.iter().map(Row::of).collect(),
        recording: Extent {
            rate_hz: tape.recording.rate_hz(),
            duration_s: tape.recording.duration_s(),
        },
        tape: Knobs::all(&bench, "tape"),
        wear: Knobs::changed(&bench, "wear"),
        applied: Applied {
            drop_outs: Events::at(&truth.applied.drop_outs_s),
            clicks: Events::at(&truth.applied.clicks_s),
            noise: truth.applied.noise.as_ref().map(Powers::of),
        },
    };
    // Writing plain figures and texts to memory does not fail.
    let mut text = serde_json::to_string_pretty(&document).unwrap_or_default();
    text.push('\n');
    text
}

/// Reads the characters of a truth that [`truth`] wrote, or that has at least its `characters`, in
/// the order of time.
///
/// # Errors
/// The end of a sentence that says what does not fit.
pub fn read_truth(json: &str) -> Result<Vec<TrueCharacter>, String> {
    let truth: Characters = serde_json::from_str(json).map_err(|e| json_reason(&e))?;
    let characters = truth.characters.into_iter().map(|row| TrueCharacter {
        at_s: row.at_s,
        value: row.value,
    });
    let mut characters: Vec<_> = characters.collect();
    characters.sort_by(|a, b| a.at_s.total_cmp(&b.at_s));
    Ok(characters)
}

#[derive(Serialize)]
struct Document<'a> {
    bytes: Vec<u8>,
    characters: Vec<Row>,
    recording: Extent,
    tape: Knobs<'a>,
    wear: Knobs<'a>,
    applied: Applied<'a>,
}

/// The part of it that is read.
#[derive(Deserialize)]
struct Characters {
    characters: Vec<Row>,
}

#[derive(Serialize, Deserialize)]
struct Row {
    at_s: f64,
    value: u8,
}

impl Row {
    fn of(character: &TrueCharacter) -> Self {
        Self {
            at_s: character.at_s,
            value: character.value,
        }
    }
}

#[derive(Serialize)]
struct Extent {
    rate_hz: u32,
    duration_s: f64,
}

#[derive(Serialize)]
struct Applied<'a> {
    drop_outs: Events<'a>,
    clicks: Events<'a>,
    noise: Option<Powers>,
}

#[derive(Serialize)]
struct Events<'a> {
    count: usize,
    at_s: &'a [f64],
}

impl<'a> Events<'a> {
    fn at(at_s: &'a [f64]) -> Self {
        let count = at_s.len();
        Self { count, at_s }
    }
}

#[derive(Serialize)]
struct Powers {
    signal_rms_v: f64,
    white_rms_v: f64,
    pink_rms_v: f64,
    eb_n0_db: Option<f64>,
}

impl Powers {
    fn of(noise: &Noise) -> Self {
        Self {
            signal_rms_v: noise.signal_rms_v,
            white_rms_v: noise.white_rms_v,
            pink_rms_v: noise.pink_rms_v,
            eb_n0_db: noise.eb_n0_db,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::settings::{TapeSettings, WearSettings};
    use crate::tape::{Content, make};

    #[test]
    fn a_truth_reads_back_and_names_the_wear() {
        let wear = WearSettings {
            speed_percent: 2.0,
            white_noise_db: 20.0,
            drop_outs_per_min: 60.0,
            ..Default::default()
        };
        let tape = make(&Content::bytes(b"tide"), &TapeSettings::default(), &wear);
        let json = truth(&tape);
        assert_eq!(read_truth(&json).unwrap(), tape.truth.characters);
        let json: serde_json::Value = serde_json::from_str(&json).unwrap();
        assert_eq!(json["bytes"], serde_json::json!([116, 105, 100, 101]));
        assert_eq!(json["wear"]["speed"], 2.0);
        assert_eq!(json["wear"].as_object().unwrap().len(), 3);
        assert_eq!(json["tape"]["rate"], 300.0);
        let count = json["applied"]["drop_outs"]["count"].as_u64().unwrap();
        assert_eq!(count as usize, tape.truth.applied.drop_outs_s.len());
        assert!(json["applied"]["noise"]["eb_n0_db"].is_f64());
    }

    #[test]
    fn what_is_no_truth_is_refused() {
        for text in [
            "",
            "[]",
            "{}",
            r#"{"characters": [{"at_s": 1, "value": 256}]}"#,
        ] {
            assert!(read_truth(text).is_err(), "{text}");
        }
        assert_eq!(read_truth(r#"{"characters": []}"#), Ok(vec![]));
    }
}
