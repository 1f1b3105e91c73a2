//! What a file is, by its first bytes.

use super::wav;
use std::path::Path;

/// Bytes that are looked at.
pub(super) const HEAD_BYTES: u64 = 16;

/// The container of an audio file.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Kind {
    /// RIFF form 'WAVE' or RF64.
    Wav,
    /// Free Lossless Audio Codec in its own container.
    Flac,
    /// Ogg.
    Ogg,
    /// IFF form 'AIFF' or 'AIFC'.
    Aiff,
    /// ISO base media file.
    M4a,
    /// MPEG audio layer III, bare or behind a tag.
    Mp3,
    /// MPEG AAC in an ADTS stream.
    Aac,
}

impl Kind {
    /// The kind of a file that begins with these bytes; none where it is no audio file. Only an
    /// MP3 file may begin with something else, and is then known by its name.
    pub(super) fn of(head: &[u8], name: &str) -> Option<Self> {
        let extension = Path::new(name).extension().and_then(|e| e.to_str());
        let mp3 = extension.is_some_and(|e| e.eq_ignore_ascii_case("mp3"));
        Some(match head {
            _ if wav::is_wav(head) => Kind::Wav,
            [b'f', b'L', b'a', b'C', ..] => Kind::Flac,
            [b'O', b'g', b'g', b'S', ..] => Kind::Ogg,
            [
                b'F',
                b'O',
                b'R',
                b'M',
                _,
                _,
                _,
                _,
                b'A',
                b'I',
                b'F',
                b'F' | b'C',
                ..,
            ] => Kind::Aiff,
            [_, _, _, _, b'f', b't', b'y', b'p', ..] => Kind::M4a,
            // ADTS: twelve bits of sync word, layer 0. MPEG audio: eleven bits, layer III.
            [0xFF, b, ..] if b & 0xF6 == 0xF0 => Kind::Aac,
            [0xFF, b, ..] if b & 0xE6 == 0xE2 => Kind::Mp3,
            [b'I', b'D', b'3', ..] => Kind::Mp3,
            _ if mp3 => Kind::Mp3,
            _ => return None,
        })
    }

    /// What it is called; also the extension that goes with it, but for case.
    pub(super) fn name(self) -> &'static str {
        match self {
            Kind::Wav => "WAV",
            Kind::Flac => "FLAC",
            Kind::Ogg => "Ogg",
            Kind::Aiff => "AIFF",
            Kind::M4a => "M4A",
            Kind::Mp3 => "MP3",
            Kind::Aac => "AAC",
        }
    }
}
