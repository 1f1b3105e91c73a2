//! A recording as a WAV file.

use crate::settings::SampleFormat as Format;
use crate::signal::Recording;
use hound::{SampleFormat, WavSpec, WavWriter};
use std::io::Cursor;

/// The longest header that is written.
const HEADER_BYTES: u64 = 128;

/// Writes the recording as 16-bit PCM; what lies beyond full scale is clipped.
///
/// # Errors
/// As [`wav_as`].
pub fn wav(recording: &Recording, full_scale_v: f64) -> Result<Vec<u8>, String> {
    wav_as(recording, full_scale_v, Format::Int16)
}

/// Writes the recording as PCM in some format. Integers are rounded, without dither, and clipped
/// beyond full scale; floating point holds what lies beyond as well.
///
/// # Errors
/// A sentence, where the file would pass 4 GiB or the full-scale voltage is not above 0 V.
pub fn wav_as(recording: &Recording, full_scale_v: f64, format: Format) -> Result<Vec<u8>, String> {
    refuse_beyond(recording.len() as u64, format)?;
    if !(full_scale_v > 0.0 && full_scale_v.is_finite()) {
        return Err(format!(
            "A full-scale voltage of {full_scale_v} V cannot be written; give one above 0 V."
        ));
    }
    let is_float = format == Format::Float;
    let spec = WavSpec {
        channels: 1,
        sample_rate: recording.rate_hz(),
        bits_per_sample: format.bits(),
        sample_format: if is_float {
            SampleFormat::Float
        } else {
            SampleFormat::Int
        },
    };
    let failed = |_: hound::Error| "There is no memory to write the WAV file in.".to_owned();
    let mut file = Cursor::new(Vec::new());
    let mut writer = WavWriter::new(&mut file, spec).map_err(failed)?;
    let most = f64::from(1u32 << (format.bits() - 1));
    let mut samples = recording.all();
    while let Some(piece) = samples.read() {
        for volts in piece {
            let part = f64::from(*volts) / full_scale_v;
            let written = if is_float {
                writer.write_sample(part as f32)
            } else {
                writer.write_sample((part * most).round().clamp(-most, most - 1.0) as i32)
            };
            written.map_err(failed)?;
        }
    }
    writer.finalize().map_err(failed)?;
    Ok(file.into_inner())
}

/// How many samples a file of this format cuts off at full scale.
///
/// An integer reaches full scale less one step upward: a peak at full scale itself is whole.
pub fn clipped(recording: &Recording, full_scale_v: f64, format: Format) -> usize {
    if format == Format::Float {
        return 0;
    }
    // Not less than what a sample in volts is rounded by.
    let step = (1.0 / f64::from(1u32 << (format.bits() - 1))).max(1e-6);
    let most_v = full_scale_v * (1.0 + step);
    let beyond = |v: &&f32| f64::from(v.abs()) >= most_v;
    recording.samples().iter().filter(beyond).count()
}

/// Sizes in a WAV file have 32 bits, and its header counts in.
fn refuse_beyond(samples: u64, format: Format) -> Result<(), String> {
    let most = (u64::from(u32::MAX) - HEADER_BYTES) / u64::from(format.bits() / 8);
    if samples > most {
        return Err(format!(
            "{samples} samples make a WAV file beyond 4 GiB, which the format cannot hold; write \
             a shorter one."
        ));
    }
    Ok(())
}

#[cfg(test)]
mod tests {
    use super::*;

    /// RIFF form 'WAVE' (Microsoft/IBM, 1991): mono, 16 bits, little-endian.
    #[test]
    fn samples_are_written_and_clipped() {
        let recording = Recording::new(vec![0.0, 1.0, -1.0, 2.0, 5.0, -5.0], 44_100);
        let bytes = wav(&recording, 2.0).unwrap();
        assert_eq!(&bytes[..4], b"RIFF");
        assert_eq!(bytes[22..28], [1, 0, 0x44, 0xAC, 0, 0]);
        let values: Vec<_> = bytes[44..]
            .as_chunks()
            .0
            .iter()
            .map(|b| i16::from_le_bytes(*b))
            .collect();
        assert_eq!(values, [0, 16_384, -16_384, 32_767, 32_767, -32_768]);
    }

    #[test]
    fn what_is_cut_off_is_counted_sample_by_sample() {
        let recording = Recording::new(vec![0.0, 2.0, -2.0, 2.1, 0.0, -2.1, -2.1], 8000);
        for (format, count) in [
            (Format::Int8, 3),
            (Format::Int16, 3),
            (Format::Int32, 3),
            (Format::Float, 0),
        ] {
            assert_eq!(clipped(&recording, 2.0, format), count);
        }
    }

    /// Microsoft/IBM, 1991: 8 bits are unsigned with 128 for nothing, all others signed.
    #[test]
    fn every_format_holds_what_fits() {
        let recording = Recording::new(vec![0.0, 0.5, -1.0, 1.5], 8000);
        let data = |format, bytes: usize| {
            let file = wav_as(&recording, 1.0, format).unwrap();
            let bits = u16::from_le_bytes([file[34], file[35]]);
            assert_eq!(bits, format.bits());
            file[file.len() - 4 * bytes..].to_vec()
        };
        assert_eq!(data(Format::Int8, 1), [128, 192, 0, 255]);
        let three = [[0, 0, 0], [0, 0, 0x40], [0, 0, 0x80], [0xFF, 0xFF, 0x7F]];
        assert_eq!(data(Format::Int24, 3), three.concat());
        let four = [0, 1 << 30, i32::MIN, i32::MAX].map(i32::to_le_bytes);
        assert_eq!(data(Format::Int32, 4), four.concat());
        let floats = [0f32, 0.5, -1.0, 1.5].map(f32::to_le_bytes);
        assert_eq!(data(Format::Float, 4), floats.concat());
    }

    #[test]
    fn what_does_not_fit_is_refused_with_a_sentence() {
        assert!(refuse_beyond(2_147_483_500, Format::Int16).is_ok());
        for format in [Format::Int16, Format::Float] {
            let refused = refuse_beyond(2_147_483_625, format).unwrap_err();
            assert!(refused.contains("4 GiB"));
        }
        for full_scale_v in [0.0, -1.0, f64::NAN, f64::INFINITY] {
            assert!(wav(&Recording::new(vec![0.0], 8000), full_scale_v).is_err());
        }
    }
}
