//! Samples as a sound card gives them: the same bytes as in a WAV file.

use super::SourceError;
use super::mix::Mix;
use super::outlet::clip_v;
use super::wav::Encoding;
use crate::settings::SourceSettings;

/// How a sound card writes a sample, little-endian.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Sample {
    /// One byte, offset by 128.
    Unsigned8,
    /// Two's complement in two bytes.
    Integer16,
    /// Two's complement in four bytes.
    Integer32,
    /// IEEE 754 single precision.
    Float32,
}

impl Sample {
    fn encoding(self) -> Encoding {
        match self {
            Self::Unsigned8 => Encoding::Unsigned8,
            Self::Integer16 => Encoding::Integer16,
            Self::Integer32 => Encoding::Integer32,
            Self::Float32 => Encoding::Float32,
        }
    }

    /// Bytes a sample.
    pub fn bytes(self) -> usize {
        self.encoding().bytes()
    }

    /// What it is called, like "16-bit integer".
    pub fn name(self) -> &'static str {
        self.encoding().name()
    }
}

/// Makes volts of one channel from interleaved frames, as the WAV reader does.
#[derive(Clone, Copy, Debug)]
pub struct Interleaved {
    encoding: Encoding,
    channels: u16,
    mix: Mix,
    full_scale_v: f32,
}

impl Interleaved {
    /// For frames of so many channels from the device of this name.
    ///
    /// # Errors
    /// One sentence, where there is no such channel as the settings ask for.
    pub fn new(
        sample: Sample,
        channels: u16,
        settings: &SourceSettings,
        name: &str,
    ) -> Result<Self, SourceError> {
        let mix = Mix::new(settings.channel, u32::from(channels)).map_err(|f| f.of(name))?;
        Ok(Self {
            encoding: sample.encoding(),
            channels,
            mix,
            full_scale_v: settings.full_scale_v as f32,
        })
    }

    /// The magnitude in volts from which on a sample may have been cut.
    pub fn clip_v(&self) -> f64 {
        clip_v(f64::from(self.full_scale_v), self.encoding.top())
    }

    /// Appends the volts of every whole frame in `bytes`.
    pub fn append(&self, bytes: &[u8], out: &mut Vec<f32>) {
        let channels = usize::from(self.channels);
        self.encoding
            .append(bytes, channels, self.mix, self.full_scale_v, out);
    }
}
