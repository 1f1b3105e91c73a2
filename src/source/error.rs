//! Why a recording could not be read.

use crate::settings::Channel;
use std::fmt;

/// Why a recording could not be read. Its `Display` is one whole sentence that says what is wrong
/// and what to do.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct SourceError {
    name: String,
    fault: Fault,
}

/// What is wrong with a source file.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) enum Fault {
    /// There is no such file.
    Missing,
    /// It is a folder.
    Folder,
    /// The system refused to open or read it, with its reason.
    Unreadable(String),
    /// It holds no byte.
    Empty,
    /// Its first bytes are those of no audio file.
    NotAudio,
    /// It is audio of a kind that cannot be decoded; the text says which.
    Encoding(String),
    /// It is too damaged to find samples in; the text says where.
    Damaged(String),
    /// Its sample rate cannot be that of a recording.
    Rate(u32),
    /// It holds no sample.
    NoSamples,
    /// It has no such channel.
    NoChannel {
        /// The channel that was asked for.
        wanted: Channel,
        /// How many there are.
        channels: u32,
    },
    /// It is a pipe that gives more than is taken from one.
    Endless,
    /// Whoever took its samples wants no more.
    Stopped,
    /// Its samples do not fit into memory.
    TooLong {
        /// How many samples it holds.
        frames: u64,
    },
}

impl Fault {
    /// The error for the file of this name.
    pub(super) fn of(self, name: &str) -> SourceError {
        SourceError {
            name: name.to_owned(),
            fault: self,
        }
    }
}

impl SourceError {
    /// The same file with another fault.
    pub(super) fn because(self, fault: Fault) -> Self {
        Self { fault, ..self }
    }
}

impl SourceError {
    /// How many channels there are, where the one that was asked for is not among them.
    pub fn other_channels(&self) -> Option<u32> {
        match self.fault {
            Fault::NoChannel { channels, .. } => Some(channels),
            _ => None,
        }
    }
}

impl fmt::Display for SourceError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let name = &self.name;
        match &self.fault {
            Fault::Missing => write!(f, "There is no file '{name}'; check its name and folder."),
            Fault::Folder => write!(f, "'{name}' is a folder; name an audio file in it."),
            Fault::Unreadable(why) => write!(
                f,
                "'{name}' cannot be read ({why}); check its permissions and the disk."
            ),
            Fault::Empty => write!(f, "'{name}' is empty; record or copy it again."),
            Fault::NotAudio => write!(
                f,
                "'{name}' is not an audio file; give a WAV, FLAC, MP3, Ogg Vorbis, AIFF or M4A file."
            ),
            Fault::Encoding(what) => write!(
                f,
                "'{name}' cannot be decoded ({what}); copy it again or convert it to 16-bit WAV."
            ),
            Fault::Damaged(what) => write!(
                f,
                "'{name}' is too damaged to read: {what}; copy it again or convert it to 16-bit WAV."
            ),
            Fault::Rate(0) => write!(
                f,
                "'{name}' gives a sample rate of 0; save it again with its true rate."
            ),
            Fault::Rate(rate_hz) => write!(
                f,
                "'{name}' gives a sample rate of {rate_hz} Hz, which no recording has; save it again with its true rate."
            ),
            Fault::NoSamples => write!(f, "'{name}' holds no samples; record or copy it again."),
            Fault::NoChannel { wanted, channels } => no_channel(f, name, *wanted, *channels),
            Fault::Endless => write!(
                f,
                "'{name}' gives 4 GiB and more without an end; save it as a file first."
            ),
            Fault::Stopped => write!(f, "'{name}' was not read to its end."),
            Fault::TooLong { frames } => write!(
                f,
                "'{name}' holds {frames} samples a channel, which do not fit into memory; cut it into shorter files."
            ),
        }
    }
}

fn no_channel(f: &mut fmt::Formatter<'_>, name: &str, wanted: Channel, has: u32) -> fmt::Result {
    let wanted = match wanted {
        Channel::One(n) => format!("no channel {n}"),
        Channel::Sum => "no channels to add".to_owned(),
        Channel::Difference => "no second channel to subtract".to_owned(),
    };
    match has {
        1 => write!(
            f,
            "'{name}' has one channel, {wanted}; set the source channel to 1."
        ),
        _ => write!(
            f,
            "'{name}' has {has} channels, {wanted}; set the source channel to 1 to {has}."
        ),
    }
}

impl std::error::Error for SourceError {}
