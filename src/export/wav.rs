//! A recording as a WAV file.

use crate::signal::Recording;
use hound::{SampleFormat, WavSpec, WavWriter};
use std::io::Cursor;

/// Bytes a sample.
const SAMPLE_BYTES: u64 = 2;
/// Greatest count of samples: sizes in a WAV file have 32 bits, and its header counts in.
const MOST_SAMPLES: u64 = (u32::MAX as u64 - 44) / SAMPLE_BYTES;

/// Writes the recording as 16-bit PCM; what lies beyond full scale is clipped.
///
/// # Errors
/// A sentence, where the file would pass 4 GiB or the full-scale voltage is not above 0 V.
pub fn wav(recording: &Recording, full_scale_v: f64) -> Result<Vec<u8>, String> {
    let count = room_for(recording.samples().len() as u64)?;
    if !(full_scale_v > 0.0 && full_scale_v.is_finite()) {
        return Err(format!(
            "A full-scale voltage of {full_scale_v} V cannot be written; give one above 0 V."
        ));
    }
    let spec = WavSpec {
        channels: 1,
        sample_rate: recording.rate_hz(),
        bits_per_sample: 16,
        sample_format: SampleFormat::Int,
    };
    let failed = |e: hound::Error| format!("The WAV file could not be written: {e}.");
    let mut file = Cursor::new(Vec::new());
    let mut writer = WavWriter::new(&mut file, spec).map_err(failed)?;
    let mut samples = writer.get_i16_writer(count);
    for volts in recording.samples() {
        // The cast clips at the ends of the range.
        samples.write_sample((f64::from(*volts) / full_scale_v * 32_768.0).round() as i16);
    }
    samples.flush().map_err(failed)?;
    writer.finalize().map_err(failed)?;
    Ok(file.into_inner())
}

fn room_for(samples: u64) -> Result<u32, String> {
    if samples > MOST_SAMPLES {
        return Err(format!(
            "{samples} samples make a WAV file beyond 4 GiB, which the format cannot hold; write \
             a shorter one."
        ));
    }
    Ok(samples as u32)
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
    fn what_does_not_fit_is_refused_with_a_sentence() {
        assert_eq!(room_for(MOST_SAMPLES), Ok(2_147_483_625));
        assert!(room_for(MOST_SAMPLES + 1).unwrap_err().contains("4 GiB"));
        for full_scale_v in [0.0, -1.0, f64::NAN, f64::INFINITY] {
            assert!(wav(&Recording::new(vec![0.0], 8000), full_scale_v).is_err());
        }
    }
}
