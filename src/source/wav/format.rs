//! The `fmt ` chunk: how one frame is written.

use super::samples::Encoding;
use crate::source::error::Fault;

/// Bytes of the longest form of the chunk, WAVEFORMATEXTENSIBLE.
pub(super) const MOST_BYTES: u64 = 40;

const PCM: u16 = 1;
const FLOAT: u16 = 3;
const A_LAW: u16 = 6;
const MU_LAW: u16 = 7;
const EXTENSIBLE: u16 = 0xFFFE;

/// How one frame is written, and how many there are a second.
#[derive(Clone, Debug, PartialEq)]
pub(in crate::source) struct Format {
    /// How a sample is written.
    pub(super) encoding: Encoding,
    /// Bits of a sample that carry the signal, where fewer than written.
    pub(super) valid_bits: Option<u16>,
    /// Channels, at least one.
    pub(super) channels: u16,
    /// Frames a second, as the file says.
    pub(super) rate_hz: u32,
}

impl Format {
    /// Bytes a frame.
    pub(super) fn frame_bytes(&self) -> usize {
        usize::from(self.channels) * self.encoding.bytes()
    }

    /// What it is called.
    pub(super) fn name(&self) -> String {
        match self.valid_bits {
            Some(bits) => format!("WAV, {}, {bits} bits used", self.encoding.name()),
            None => format!("WAV, {}", self.encoding.name()),
        }
    }
}

/// What the chunk describes.
pub(super) enum Read {
    /// Samples that this reader decodes.
    Plain(Format),
    /// Some other encoding, by its format tag.
    Other(u16),
}

/// Reads the body of the chunk; adds a sentence to `notes` where it contradicts itself.
pub(super) fn read(body: &[u8], notes: &mut Vec<String>) -> Result<Read, Fault> {
    let word = |at: usize| -> Option<u16> {
        let bytes = body.get(at..at + 2)?;
        Some(u16::from_le_bytes([bytes[0], bytes[1]]))
    };
    let short = || Fault::Damaged("the description of its format is cut short".to_owned());
    let [tag, channels, rate_low, rate_high, frame_bytes, bits] =
        [0, 2, 4, 6, 12, 14].map(|at| word(at).unwrap_or(0));
    if body.len() < 14 {
        return Err(short());
    }
    let rate_hz = u32::from(rate_high) << 16 | u32::from(rate_low);
    // Extensible: valid bits stand at 18, and the sub-format, whose first word is a tag, at 24.
    let (tag, valid_bits) = match tag {
        EXTENSIBLE => (word(24).ok_or_else(short)?, word(18)),
        tag => (tag, None),
    };
    let written = written_bytes(frame_bytes, channels, bits);
    let encoding = match tag {
        PCM => written.and_then(Encoding::integer),
        FLOAT if bits == 64 || (bits != 32 && written == Some(8)) => Some(Encoding::Float64),
        FLOAT => Some(Encoding::Float32),
        A_LAW => Some(Encoding::ALaw),
        MU_LAW => Some(Encoding::MuLaw),
        other => return Ok(Read::Other(other)),
    };
    if channels == 0 {
        return Err(Fault::Damaged("it says that it has no channels".to_owned()));
    }
    let encoding = encoding.ok_or_else(|| Fault::Encoding(format!("{bits}-bit integers")))?;
    let format = Format {
        encoding,
        valid_bits: valid_bits
            .or((tag == PCM).then_some(bits))
            .filter(|v| *v > 0 && usize::from(*v) < 8 * encoding.bytes()),
        channels,
        rate_hz,
    };
    if usize::from(frame_bytes) != format.frame_bytes() {
        notes.push(format!(
            "The header gives {frame_bytes} bytes for all channels of a sample, which does not \
             fit the rest of it; {} were taken.",
            format.frame_bytes()
        ));
    }
    Ok(Read::Plain(format))
}

/// Bytes in which an integer sample is written: the share of a channel in the frame, where that
/// holds the bits; else what the bits need.
fn written_bytes(frame_bytes: u16, channels: u16, bits: u16) -> Option<usize> {
    let need = usize::from(bits.div_ceil(8));
    let share = frame_bytes
        .checked_div(channels)
        .filter(|share| share * channels == frame_bytes)
        .map_or(0, usize::from);
    let fits = share >= need.max(1) && Encoding::integer(share).is_some();
    let bytes = if fits { share } else { need };
    (bytes > 0).then_some(bytes)
}
