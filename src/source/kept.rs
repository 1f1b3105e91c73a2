//! A whole file in memory.

use super::error::Fault;
use super::outlet::{Block, Take};
use super::{About, Origin, SourceError, stream, stream_bytes};
use crate::settings::SourceSettings;
use crate::signal::{Recording, Samples};
use std::ops::ControlFlow;
use std::path::Path;
use std::sync::Arc;

/// A recording with what is known of where it came from.
#[derive(Clone, Debug, PartialEq)]
pub struct Opened {
    /// The samples of the chosen channel in volts.
    pub recording: Recording,
    /// What is known of the file.
    pub about: About,
}

/// How far the opening of a file has come.
#[derive(Clone, Copy, Debug)]
pub struct Progress<'a> {
    /// The part done, 0 to 1, where it is known.
    pub part: Option<f32>,
    /// The samples so far in volts.
    pub samples: &'a Samples,
    /// Samples a second.
    pub rate_hz: u32,
}

/// Opens an audio file and keeps its samples; `progress` is told now and then how far it has come,
/// and says whether to go on.
///
/// # Errors
/// One sentence that says what is wrong and what to do.
pub fn open(
    path: &Path,
    settings: &SourceSettings,
    progress: &mut dyn FnMut(Progress<'_>) -> ControlFlow<()>,
) -> Result<Opened, SourceError> {
    keep(settings, progress, |take| stream(path, settings, take))
}

/// The same for an audio file that is in memory, as standard input is. `name` is what notes and
/// errors call it.
///
/// # Errors
/// One sentence that says what is wrong and what to do.
pub fn read_all(
    bytes: Vec<u8>,
    name: &str,
    settings: &SourceSettings,
) -> Result<Opened, SourceError> {
    keep(settings, &mut |_| ControlFlow::Continue(()), |take| {
        stream_bytes(bytes, name, settings, take)
    })
}

impl Origin {
    /// The same as [`open`] for what lies here.
    ///
    /// # Errors
    /// One sentence that says what is wrong and what to do.
    pub fn open(
        &self,
        settings: &SourceSettings,
        progress: &mut dyn FnMut(Progress<'_>) -> ControlFlow<()>,
    ) -> Result<Opened, SourceError> {
        keep(settings, progress, |take| self.stream(settings, take))
    }
}

/// Keeps what `read` hands on.
fn keep(
    settings: &SourceSettings,
    progress: &mut dyn FnMut(Progress<'_>) -> ControlFlow<()>,
    read: impl FnOnce(&mut Take<'_>) -> Result<About, SourceError>,
) -> Result<Opened, SourceError> {
    let mut kept = Kept::new(settings);
    let read = read(&mut |block| {
        kept.add(block)?;
        progress(Progress {
            part: block.part,
            samples: &kept.samples,
            rate_hz: block.rate_hz,
        })
    });
    kept.opened(read)
}

/// The samples of a file that is kept whole.
struct Kept {
    samples: Samples,
    too_many: Option<u64>,
}

impl Kept {
    fn new(settings: &SourceSettings) -> Self {
        Self {
            samples: Samples::of_full_scale(settings.full_scale_v),
            too_many: None,
        }
    }

    fn add(&mut self, block: Block<'_>) -> ControlFlow<()> {
        // Room for all samples and no more: an hour of audio must not cost twice what it is.
        let room = block.room.max(block.samples.len());
        let made = match self.samples.is_empty() {
            true => self.samples.make_room(room),
            false => Ok(()),
        };
        if made
            .and_then(|()| self.samples.push(block.samples))
            .is_err()
        {
            self.too_many = Some(room.max(self.samples.len()) as u64);
            return ControlFlow::Break(());
        }
        ControlFlow::Continue(())
    }

    fn opened(self, read: Result<About, SourceError>) -> Result<Opened, SourceError> {
        match (read, self.too_many) {
            (Ok(about), _) => Ok(Opened {
                recording: Recording::of(self.samples, about.rate_hz)
                    .with_gaps(Arc::clone(&about.gaps)),
                about,
            }),
            (Err(e), Some(frames)) => Err(e.because(Fault::TooLong { frames })),
            (Err(e), None) => Err(e),
        }
    }
}
