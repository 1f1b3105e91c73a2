//! Where recordings come from: audio files.
//!
//! WAV is read by a tolerant reader of our own, everything else by symphonia. Files are read in
//! blocks and not mapped: a mapped file that shrinks ends the program.

mod compressed;
mod error;
mod interleaved;
mod kind;
mod mix;
mod wav;

pub use error::SourceError;
pub use interleaved::{Interleaved, Sample};

use crate::settings::SourceSettings;
use crate::signal::Recording;
use error::Fault;
use kind::Kind;
use std::fs::File;
use std::io::{Cursor, Read};
use std::path::Path;
use symphonia::core::io::MediaSource;

/// Sample rates that a recording may have, in hertz.
const RATES_HZ: std::ops::RangeInclusive<u32> = 100..=100_000_000;
/// What is read of a pipe before it is given up, in bytes.
const MOST_PIPED_BYTES: u64 = 1 << 32;

/// A recording with what is known of where it came from.
#[derive(Clone, Debug, PartialEq)]
pub struct Opened {
    /// The samples of the chosen channel in volts.
    pub recording: Recording,
    /// What is known of the file.
    pub about: About,
}

/// About a source file.
#[derive(Clone, Debug, PartialEq, Eq)]
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
    /// What was found wrong and how it was dealt with, whole sentences.
    pub notes: Vec<String>,
}

/// How far the reading of a file has come.
#[derive(Clone, Copy, Debug)]
pub struct Progress<'a> {
    /// The part done, 0 to 1.
    pub part: f32,
    /// The samples so far, in volts, as they stand in the file.
    pub samples: &'a [f32],
    /// Samples a second.
    pub rate_hz: u32,
}

/// Opens an audio file; `progress` is told now and then how far it has come.
///
/// # Errors
/// One sentence that says what is wrong and what to do.
pub fn open(
    path: &Path,
    settings: &SourceSettings,
    progress: &mut dyn FnMut(Progress<'_>),
) -> Result<Opened, SourceError> {
    let name = path.file_name().unwrap_or(path.as_os_str());
    let name = name.to_string_lossy();
    open_file(path, &name, settings, progress).map_err(|fault| fault.of(&name))
}

/// Reads an audio file that is in memory, as standard input is. `name` is what notes and errors
/// call it.
///
/// # Errors
/// One sentence that says what is wrong and what to do.
pub fn read_all(
    bytes: Vec<u8>,
    name: &str,
    settings: &SourceSettings,
) -> Result<Opened, SourceError> {
    let length = bytes.len() as u64;
    read(Cursor::new(bytes), length, name, settings, &mut |_| {}).map_err(|fault| fault.of(name))
}

fn open_file(
    path: &Path,
    name: &str,
    settings: &SourceSettings,
    progress: &mut dyn FnMut(Progress<'_>),
) -> Result<Opened, Fault> {
    let fault = |e: std::io::Error| match e.kind() {
        std::io::ErrorKind::NotFound => Fault::Missing,
        _ => Fault::Unreadable(e.to_string()),
    };
    let about = std::fs::metadata(path).map_err(fault)?;
    if about.is_dir() {
        return Err(Fault::Folder);
    }
    let file = File::open(path).map_err(fault)?;
    if about.is_file() {
        return read(file, about.len(), name, settings, progress);
    }
    // A pipe cannot be wound back, as the readers need.
    let mut bytes = Vec::new();
    let mut pipe = file.take(MOST_PIPED_BYTES);
    pipe.read_to_end(&mut bytes).map_err(fault)?;
    let length = bytes.len() as u64;
    read(Cursor::new(bytes), length, name, settings, progress)
}

fn read(
    mut source: impl MediaSource + 'static,
    length: u64,
    name: &str,
    settings: &SourceSettings,
    progress: &mut dyn FnMut(Progress<'_>),
) -> Result<Opened, Fault> {
    if length == 0 {
        return Err(Fault::Empty);
    }
    let unreadable = |e: std::io::Error| Fault::Unreadable(e.to_string());
    let mut head = Vec::new();
    let mut part = source.by_ref().take(kind::HEAD_BYTES);
    part.read_to_end(&mut head).map_err(unreadable)?;
    let decoded = match Kind::of(&head, name).ok_or(Fault::NotAudio)? {
        Kind::Wav => match wav::header(&mut source, length)? {
            wav::Header::Plain(layout) => wav::read(&mut source, layout, settings, progress)?,
            wav::Header::Other(tag) => compressed::read(source, Kind::Wav, settings, progress)
                .map_err(|fault| match fault {
                    Fault::Encoding(_) => Fault::Encoding(format!("WAV format {tag:#06x}")),
                    other => other,
                })?,
        },
        kind => compressed::read(source, kind, settings, progress)?,
    };
    decoded.finish(name)
}

/// What a reader found in a file.
struct Decoded {
    samples: Vec<f32>,
    format: String,
    channels: u32,
    rate_hz: u32,
    notes: Vec<String>,
}

impl Decoded {
    fn finish(self, name: &str) -> Result<Opened, Fault> {
        if self.samples.is_empty() {
            return Err(Fault::NoSamples);
        }
        let frames = self.samples.len() as u64;
        let recording = Recording::new(self.samples, self.rate_hz);
        let mut notes = self.notes;
        if recording.repaired() > 0 {
            notes.push(format!(
                "{} samples were not numbers or beyond a million volts; they were set to 0 V or \
                 to a million volts.",
                recording.repaired()
            ));
        }
        Ok(Opened {
            recording,
            about: About {
                name: name.to_owned(),
                format: self.format,
                channels: self.channels,
                rate_hz: self.rate_hz,
                frames,
                notes,
            },
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

/// Room for so many samples, and no more, so that an hour of audio costs its four bytes a sample
/// and not twice that.
fn reserve(frames: u64) -> Result<Vec<f32>, Fault> {
    let too_long = Fault::TooLong { frames };
    let Ok(count) = usize::try_from(frames) else {
        return Err(too_long);
    };
    let mut samples = Vec::new();
    samples.try_reserve_exact(count).map_err(|_| too_long)?;
    Ok(samples)
}
