//! The walk over the chunks of a WAV file, to a plain description of where its samples lie.
//!
//! Sources: RIFF form 'WAVE', Microsoft/IBM, Multimedia Programming Interface and Data
//! Specifications 1.0 (1991); WAVEFORMATEXTENSIBLE; RF64, EBU Tech 3306. The size of the whole
//! form is not used: a recorder that is killed or writes into a pipe leaves it wrong.

use super::format::{self, Format};
use crate::source::error::Fault;
use crate::source::reason;
use std::io::{Read, Seek, SeekFrom};

/// More chunks than any recorder writes: a file of zeros would else be walked to its end.
const MOST_CHUNKS: usize = 4096;
/// A `data` size from here on that the file does not hold is that of a writer into a pipe, which
/// cannot come back to fill it in.
const UNKNOWN_SIZE: u64 = 0x7F00_0000;
/// Chunks that may follow the samples and be cut short themselves.
const TRAILERS: [&[u8; 4]; 6] = [b"LIST", b"id3 ", b"ID3 ", b"bext", b"cue ", b"iXML"];

/// What a header says.
#[derive(Debug, PartialEq)]
pub(in crate::source) enum Header {
    /// Samples that this reader decodes.
    Plain(Layout),
    /// Samples in some other encoding, by its format tag.
    Other(u16),
}

/// Where the samples of a file lie and how they are written.
#[derive(Debug, PartialEq)]
pub(in crate::source) struct Layout {
    /// How one frame is written.
    pub(super) format: Format,
    /// Where the first sample stands.
    pub(super) start: u64,
    /// Bytes of samples in the file.
    pub(super) bytes: u64,
    /// What the header has wrong, whole sentences.
    pub(super) notes: Vec<String>,
}

/// Whether a file that begins with these bytes is a WAV file.
pub(in crate::source) fn is_wav(head: &[u8]) -> bool {
    matches!(head.get(..4), Some(b"RIFF" | b"RF64" | b"BW64")) && head.get(8..12) == Some(b"WAVE")
}

/// Reads the header of a WAV file of `length` bytes.
pub(in crate::source) fn read(
    source: &mut (impl Read + Seek),
    length: u64,
) -> Result<Header, Fault> {
    let mut walk = Walk { source, length };
    let mut at = 12;
    let (mut fmt, mut data, mut long_data) = (None, None, None);
    for _ in 0..MOST_CHUNKS {
        if fmt.is_some() && data.is_some() {
            break;
        }
        let Some((id, size)) = walk.chunk(at)? else {
            break;
        };
        let body = at + 8;
        let mut size = u64::from(size);
        match &id {
            b"fmt " if fmt.is_none() => {
                fmt = Some(walk.bytes(body, size.min(format::MOST_BYTES))?);
            }
            b"ds64" => {
                // EBU Tech 3306: size of the form, then of `data`, 64 bits each.
                let sizes = walk.bytes(body, size.min(16))?;
                long_data = sizes
                    .get(8..16)
                    .and_then(|b| Some(u64::from_le_bytes(b.try_into().ok()?)));
            }
            b"data" if data.is_none() => {
                if size == 0xFFFF_FFFF {
                    size = long_data.unwrap_or(size);
                }
                data = Some((body, size));
            }
            _ => {}
        }
        at = walk.next(body, size)?;
    }
    let damaged = |what: &str| Fault::Damaged(what.to_owned());
    let fmt = fmt.ok_or_else(|| damaged("it has no description of its format"))?;
    let mut notes = Vec::new();
    let format = match format::read(&fmt, &mut notes)? {
        format::Read::Plain(format) => format,
        format::Read::Other(tag) => return Ok(Header::Other(tag)),
    };
    let (start, promised) = data.ok_or_else(|| damaged("its samples are missing"))?;
    let bytes = walk.data_bytes(start, promised, format.frame_bytes() as u64, &mut notes)?;
    Ok(Header::Plain(Layout {
        format,
        start,
        bytes,
        notes,
    }))
}

struct Walk<'a, S> {
    source: &'a mut S,
    length: u64,
}

impl<S: Read + Seek> Walk<'_, S> {
    /// Up to `count` bytes from `at`: fewer at the end of the file.
    fn bytes(&mut self, at: u64, count: u64) -> Result<Vec<u8>, Fault> {
        let mut bytes = Vec::new();
        let fault = |e: std::io::Error| Fault::Unreadable(reason(&e));
        self.source.seek(SeekFrom::Start(at)).map_err(fault)?;
        let mut part = self.source.by_ref().take(count);
        part.read_to_end(&mut bytes).map_err(fault)?;
        Ok(bytes)
    }

    /// Name and size of the chunk at `at`; none at the end of the file.
    fn chunk(&mut self, at: u64) -> Result<Option<([u8; 4], u32)>, Fault> {
        if at.saturating_add(8) > self.length {
            return Ok(None);
        }
        Ok(match *self.bytes(at, 8)? {
            [a, b, c, d, e, f, g, h] => Some(([a, b, c, d], u32::from_le_bytes([e, f, g, h]))),
            _ => None,
        })
    }

    /// Where the chunk behind one of this body and size begins. Chunks of odd size are padded to
    /// even, but some writers forget it.
    fn next(&mut self, body: u64, size: u64) -> Result<u64, Fault> {
        let end = body.saturating_add(size);
        if size.is_multiple_of(2) {
            return Ok(end);
        }
        let unpadded = self.chunk(end)?;
        let forgotten = matches!(unpadded, Some((id, _)) if [*b"fmt ", *b"data"].contains(&id));
        Ok(end.saturating_add(u64::from(!forgotten)))
    }

    /// How many bytes from `start` are samples, where the header promises so many.
    fn data_bytes(
        &mut self,
        start: u64,
        promised: u64,
        frame_bytes: u64,
        notes: &mut Vec<String>,
    ) -> Result<u64, Fault> {
        let there = self.length.saturating_sub(start);
        if promised >= UNKNOWN_SIZE.max(there + 1) {
            notes.push(
                "The header does not say how long the recording is; everything to the end of the \
                 file was taken."
                    .to_owned(),
            );
            return Ok(there);
        }
        if promised > there {
            notes.push(format!(
                "The file is cut short: its header promises {} samples a channel, it holds {}.",
                promised / frame_bytes,
                there / frame_bytes
            ));
            return Ok(there);
        }
        let end = self.next(start, promised)?;
        let behind = self.length.saturating_sub(end);
        if behind < frame_bytes.max(8) || self.is_chunk(end)? {
            return Ok(promised);
        }
        notes.push(format!(
            "The header counts {} samples a channel, but the recording goes on to the end of the \
             file: {} were taken.",
            promised / frame_bytes,
            there / frame_bytes
        ));
        Ok(there)
    }

    /// Whether what stands at `at` looks like a chunk and not like samples.
    fn is_chunk(&mut self, at: u64) -> Result<bool, Fault> {
        Ok(self.chunk(at)?.is_some_and(|(id, size)| {
            let fits = at + 8 + u64::from(size) <= self.length;
            let printable = id.iter().all(|b| (b' '..=b'~').contains(b));
            printable && fits || TRAILERS.contains(&&id) || id.starts_with(b"TAG")
        }))
    }
}
