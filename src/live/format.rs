//! What a stream of samples is made of.

use crate::source::Sample;
use serde::Serialize;
use serde::ser::Serializer;

/// Rate, channels and encoding of a stream.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Format {
    /// Frames a second.
    pub rate_hz: u32,
    /// Channels in a frame.
    pub channels: u16,
    /// How a sample is written.
    pub sample: Sample,
}

impl Format {
    /// Bytes in a frame.
    pub fn frame_bytes(&self) -> usize {
        self.sample.bytes() * usize::from(self.channels)
    }

    /// A number of frames in seconds.
    pub fn seconds(&self, frames: u64) -> f64 {
        frames as f64 / f64::from(self.rate_hz)
    }
}

/// Writes the name of the encoding.
pub(super) fn sample_name<S: Serializer>(sample: &Sample, to: S) -> Result<S::Ok, S::Error> {
    sample.name().serialize(to)
}
