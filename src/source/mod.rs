//! Where recordings come from: audio files.
//!
//! WAV is read by a tolerant reader of our own, everything else by symphonia. Files are read in
//! blocks and not mapped: a mapped file that shrinks ends the program.

mod again;
mod bounded;
mod capture_report;
mod compressed;
mod error;
mod interleaved;
mod kept;
mod kind;
mod mix;
mod origin;
mod outlet;
mod reason;
mod wav;

pub use again::Again;
pub use bounded::{read_at_most, read_found_text, read_text};
pub use capture_report::{report_path, report_paths};
pub use error::SourceError;
pub use interleaved::{Interleaved, Sample};
pub use kept::{Opened, Progress, open, read_all};
pub use origin::Origin;
pub use outlet::{Block, Take};
pub use reason::{json_reason, reason};

use crate::settings::SourceSettings;
use crate::signal::Gap;
use crate::units::counted;
use error::Fault;
use kind::Kind;
use outlet::Outlet;
use std::fs::File;
use std::io::{Cursor, Read};
use std::path::Path;
use std::sync::Arc;
use symphonia::core::io::MediaSource;

/// Sample rates that a recording may have, in hertz.
const RATES_HZ: std::ops::RangeInclusive<u32> = 100..=100_000_000;

/// About a source file.
#[derive(Clone, Debug, PartialEq)]
pub struct About {
    /// File name without folders, or "standard input".
    pub name: String,
    /// Container and encoding, like "WAV, 16-bit integer".
    pub format: String,
    /// Channels in the file.
    pub channels: u32,
    /// Samples a second.
    pub rate_hz: u32,
    /// Samples a channel, as read.
    pub frames: u64,
    /// As [`Block::clip_v`].
    pub clip_v: f64,
    /// Where samples are missing by the report of the capture that lies beside it.
    pub gaps: Arc<[Gap]>,
    /// What was found wrong and how it was dealt with, whole sentences.
    pub notes: Vec<String>,
}

impl About {
    /// Length in seconds.
    pub fn duration_s(&self) -> f64 {
        self.frames as f64 / f64::from(self.rate_hz)
    }
}

/// Reads an audio file and hands on its samples as they come, keeping none.
///
/// # Errors
/// One sentence that says what is wrong and what to do.
pub fn stream(
    path: &Path,
    settings: &SourceSettings,
    take: &mut Take<'_>,
) -> Result<About, SourceError> {
    let name = origin::name_of(path);
    let about = stream_file(path, &name, settings, take);
    let mut about = about.map_err(|fault| fault.of(&name))?;
    match capture_report::gaps_of(path, about.duration_s()) {
        Ok(gaps) if gaps.is_empty() => {}
        Ok(gaps) => {
            about.notes.push(format!(
                "Not all of it was captured ({}): the lanes mark where samples are missing.",
                Gap::words(&gaps)
            ));
            about.gaps = gaps.into();
        }
        Err(note) => about.notes.push(note),
    }
    Ok(about)
}

/// The same for an audio file that is in memory.
///
/// # Errors
/// One sentence that says what is wrong and what to do.
pub fn stream_bytes(
    bytes: impl AsRef<[u8]> + Send + Sync + 'static,
    name: &str,
    settings: &SourceSettings,
    take: &mut Take<'_>,
) -> Result<About, SourceError> {
    let length = bytes.as_ref().len() as u64;
    read(Cursor::new(bytes), length, name, settings, take).map_err(|fault| fault.of(name))
}

fn stream_file(
    path: &Path,
    name: &str,
    settings: &SourceSettings,
    take: &mut Take<'_>,
) -> Result<About, Fault> {
    let fault = |e: std::io::Error| match e.kind() {
        std::io::ErrorKind::NotFound => Fault::Missing,
        _ => Fault::Unreadable(reason(&e)),
    };
    let about = std::fs::metadata(path).map_err(fault)?;
    if about.is_dir() {
        return Err(Fault::Folder);
    }
    let file = File::open(path).map_err(fault)?;
    if about.is_file() {
        return read(file, about.len(), name, settings, take);
    }
    // A pipe cannot be wound back, as the readers need.
    let bytes = origin::piped(file, name)?;
    let length = bytes.len() as u64;
    read(Cursor::new(bytes), length, name, settings, take)
}

fn read(
    mut source: impl MediaSource + 'static,
    length: u64,
    name: &str,
    settings: &SourceSettings,
    take: &mut Take<'_>,
) -> Result<About, Fault> {
    if length == 0 {
        return Err(Fault::Empty);
    }
    let unreadable = |e: std::io::Error| Fault::Unreadable(reason(&e));
    let mut head = Vec::new();
    let mut part = source.by_ref().take(kind::HEAD_BYTES);
    part.read_to_end(&mut head).map_err(unreadable)?;
    let mut outlet = Outlet::new(take, settings.full_scale_v);
    let found = match Kind::of(&head, name).ok_or(Fault::NotAudio)? {
        Kind::Wav => match wav::header(&mut source, length)? {
            wav::Header::Plain(layout) => wav::read(&mut source, layout, settings, &mut outlet)?,
            wav::Header::Other(tag) => compressed::read(source, Kind::Wav, settings, &mut outlet)
                .map_err(|fault| match fault {
                Fault::Encoding(_) => Fault::Encoding(format!("WAV format {tag:#06x}")),
                other => other,
            })?,
        },
        kind => compressed::read(source, kind, settings, &mut outlet)?,
    };
    found.about(name, &outlet)
}

/// What a reader found in a file beside its samples.
struct Found {
    format: String,
    channels: u32,
    notes: Vec<String>,
}

impl Found {
    fn about(mut self, name: &str, outlet: &Outlet<'_>) -> Result<About, Fault> {
        if outlet.frames() == 0 {
            return Err(Fault::NoSamples);
        }
        let repaired = outlet.repaired();
        if repaired > 0 {
            self.notes.push(format!(
                "Not numbers or beyond a million volts, and set to 0 V or to a million volts: {}.",
                counted(repaired, "sample")
            ));
        }
        Ok(About {
            name: name.to_owned(),
            format: self.format,
            channels: self.channels,
            rate_hz: outlet.rate_hz(),
            frames: outlet.frames(),
            clip_v: outlet.clip_v(),
            gaps: Arc::default(),
            notes: self.notes,
        })
    }
}

/// Refuses a rate that no recording has, 0 above all.
fn check_rate(rate_hz: u32) -> Result<(), Fault> {
    if RATES_HZ.contains(&rate_hz) {
        Ok(())
    } else {
        Err(Fault::Rate(rate_hz))
    }
}
