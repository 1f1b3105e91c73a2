//! Where a recording comes from, so that it can be read more than once.

use super::error::Fault;
use super::kind::{self, Kind};
use super::{About, SourceError, Take, bounded, stream, stream_bytes};
use crate::settings::SourceSettings;
use std::fs::{self, File};
use std::io::{self, Read};
use std::path::{Path, PathBuf};
use std::sync::Arc;

/// What is read of a pipe before it is given up, in bytes.
const MOST_PIPED_BYTES: u64 = 1 << 32;

/// Where a recording comes from.
#[derive(Clone, Debug)]
pub enum Origin {
    /// A file.
    File(PathBuf),
    /// What came through a pipe, and what the pipe is called.
    Pipe {
        /// What notes and errors call it.
        name: String,
        /// Everything that it gave.
        bytes: Arc<Vec<u8>>,
    },
}

impl Origin {
    /// What lies at a path: a file stays where it is, of a pipe everything is taken.
    ///
    /// # Errors
    /// A sentence, where a pipe gives no audio file or has no end.
    pub fn of(path: &Path) -> Result<Self, SourceError> {
        let is_pipe = fs::metadata(path).is_ok_and(|about| !about.is_file() && !about.is_dir());
        if !is_pipe {
            return Ok(Self::File(path.to_owned()));
        }
        let name = name_of(path);
        match File::open(path) {
            Ok(pipe) => Self::piped(pipe, &name),
            Err(e) => Err(Fault::Unreadable(e.to_string()).of(&name)),
        }
    }

    /// Everything from a pipe.
    ///
    /// # Errors
    /// A sentence, where it gives no audio file or has no end.
    pub fn piped(pipe: impl Read, name: &str) -> Result<Self, SourceError> {
        let bytes = piped(pipe, name).map_err(|fault| fault.of(name))?;
        Ok(Self::Pipe {
            name: name.to_owned(),
            bytes: Arc::new(bytes),
        })
    }

    /// Reads the recording and hands on its samples as they come, keeping none.
    ///
    /// # Errors
    /// One sentence that says what is wrong and what to do.
    pub fn stream(
        &self,
        settings: &SourceSettings,
        take: &mut Take<'_>,
    ) -> Result<About, SourceError> {
        match self {
            Self::File(path) => stream(path, settings, take),
            Self::Pipe { name, bytes } => {
                stream_bytes(Shared(Arc::clone(bytes)), name, settings, take)
            }
        }
    }
}

/// What a file is called: its name without folders.
pub(super) fn name_of(path: &Path) -> String {
    let name = path.file_name().unwrap_or(path.as_os_str());
    name.to_string_lossy().into_owned()
}

/// Everything from a pipe that gives an audio file: what it is shows in its first bytes, before
/// all the rest is taken.
pub(super) fn piped(mut pipe: impl Read, name: &str) -> Result<Vec<u8>, Fault> {
    let unreadable = |e: io::Error| match e.kind() {
        io::ErrorKind::FileTooLarge => Fault::Endless,
        _ => Fault::Unreadable(e.to_string()),
    };
    let mut head = Vec::new();
    let mut first = pipe.by_ref().take(kind::HEAD_BYTES);
    first.read_to_end(&mut head).map_err(unreadable)?;
    if head.is_empty() {
        return Err(Fault::Empty);
    }
    Kind::of(&head, name).ok_or(Fault::NotAudio)?;
    bounded::up_to(head.chain(pipe), MOST_PIPED_BYTES).map_err(unreadable)
}

/// Bytes that several readers share.
struct Shared(Arc<Vec<u8>>);

impl AsRef<[u8]> for Shared {
    fn as_ref(&self) -> &[u8] {
        &self.0
    }
}
