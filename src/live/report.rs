//! What there is to say about a capture, for people and as the JSON file beside it.
//!
//! `tide.wav` gets `tide.capture.json`: device, format, files, gaps, how it ended. It is written at
//! the beginning, with each change, and at the end, so that it is there even where the program is
//! killed.

use super::Format;
use super::format::sample_name;
use crate::export;
use crate::signal::Gap;
use crate::source::{Sample, report_path};
use serde::Serialize;
use std::path::PathBuf;

/// How a capture ended.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case", tag = "how", content = "why")]
pub enum End {
    /// It was stopped.
    Stopped,
    /// The length that was asked for has been reached.
    Complete,
    /// The device or the sound server was lost: the sentence says how.
    Lost(String),
    /// The file could not be written on: the sentence says why.
    NotKept(String),
}

impl End {
    /// The sentence of an end that was not wanted.
    pub fn failure(&self) -> Option<&str> {
        match self {
            Self::Stopped | Self::Complete => None,
            Self::Lost(why) | Self::NotKept(why) => Some(why),
        }
    }
}

/// What is known of a capture.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Report {
    /// Name of the sound system; none where the samples came from elsewhere.
    pub host: Option<String>,
    /// Name of the device.
    pub device: String,
    /// Frames a second.
    pub rate_hz: u32,
    /// Channels in the files.
    pub channels: u16,
    /// How the samples are written.
    #[serde(serialize_with = "sample_name")]
    pub encoding: Sample,
    /// When it began, in UTC.
    pub began: String,
    /// Length in seconds: what came, without what was lost.
    pub captured_s: f64,
    /// The files, one behind the other.
    pub files: Vec<PathBuf>,
    /// Where in the capture each of them begins, in seconds.
    pub file_begins_at_s: Vec<f64>,
    /// Where samples are missing, the first ten thousand.
    pub gaps: Vec<Gap>,
    /// How often samples are missing.
    pub gap_count: u64,
    /// How often the sound system itself said that it lost samples.
    pub overruns: u64,
    /// Stretches of half a second and more in which nothing came, as places in the capture, in
    /// seconds.
    pub stalls_at_s: Vec<f64>,
    /// How it ended; none while it goes on.
    pub end: Option<End>,
}

impl Report {
    /// Of a capture that begins.
    pub(super) fn new(
        host: Option<String>,
        device: &str,
        format: Format,
        files: Vec<PathBuf>,
    ) -> Self {
        Self {
            host,
            device: device.to_owned(),
            rate_hz: format.rate_hz,
            channels: format.channels,
            encoding: format.sample,
            began: crate::date::now(),
            captured_s: 0.0,
            files,
            file_begins_at_s: vec![0.0],
            gaps: Vec::new(),
            gap_count: 0,
            overruns: 0,
            stalls_at_s: Vec::new(),
            end: None,
        }
    }

    /// As it stands in its file.
    ///
    /// # Errors
    /// A sentence.
    pub(super) fn text(&self) -> Result<String, String> {
        let text = serde_json::to_string_pretty(self).map_err(|e| e.to_string())?;
        Ok(text + "\n")
    }

    /// Writes it beside the first file.
    ///
    /// # Errors
    /// A sentence.
    pub(super) fn save(&self) -> Result<(), String> {
        let Some(first) = self.files.first() else {
            return Ok(());
        };
        export::save(&report_path(first), self.text()?.as_bytes())
    }
}
