//! Makes the recordings of `sample-audio/`, with the true bytes beside each:
//! `cargo run --example make_samples`.

use pulsewright::settings::TapeSettings;
use pulsewright::signal::Recording;
use pulsewright::tape;
use std::path::Path;

/// The tide log of a harbour that does not exist.
const TIDE_LOG: &str = "\
SALTMERE HARBOUR TIDE LOG (INVENTED DATA)\r
DAY  TIME   LEVEL  WIND\r
 12  0340  +1.86M  SW 4\r
 12  0955  -0.42M  SW 5\r
 12  1610  +1.91M  W  5\r
 12  2225  -0.38M  W  6\r
 13  0435  +1.97M  NW 6\r
 13  1050  -0.51M  NW 4\r
END OF LOG\r
";

/// A recording to bundle.
pub struct Sample {
    /// Name of its files without extension.
    pub name: &'static str,
    /// What it holds.
    pub bytes: Vec<u8>,
    /// How it is recorded.
    pub tape: TapeSettings,
}

impl Sample {
    /// The recording itself.
    pub fn record(&self) -> Recording {
        tape::record(&self.bytes, &self.tape)
    }
}

/// All recordings to bundle.
pub fn samples() -> Vec<Sample> {
    // 44.1 kHz makes a bit of 300 Bd 147 samples.
    let at = |rate_bd| TapeSettings {
        rate_bd,
        leader_s: 2.0,
        sample_rate_hz: 44_100,
        ..Default::default()
    };
    let sample = |name, bytes, rate_bd| Sample {
        name,
        bytes,
        tape: at(rate_bd),
    };
    vec![
        sample("saltmere-300", TIDE_LOG.into(), 300.0),
        sample("saltmere-1200", TIDE_LOG.into(), 1200.0),
        sample("all-bytes-300", (0..=255).collect(), 300.0),
    ]
}

/// Writes 16-bit samples of which the greatest stands for 1 V.
fn write_wav(path: &Path, recording: &Recording) -> Result<(), hound::Error> {
    let mut file = hound::WavWriter::create(
        path,
        hound::WavSpec {
            channels: 1,
            sample_rate: recording.rate_hz(),
            bits_per_sample: 16,
            sample_format: hound::SampleFormat::Int,
        },
    )?;
    for &v in recording.samples() {
        file.write_sample((v * 32_767.0).round() as i16)?;
    }
    file.finalize()
}

fn main() -> Result<(), Box<dyn std::error::Error>> {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("sample-audio");
    std::fs::create_dir_all(&folder)?;
    for sample in samples() {
        write_wav(
            &folder.join(sample.name).with_extension("wav"),
            &sample.record(),
        )?;
        let bin = folder.join(sample.name).with_extension("bin");
        std::fs::write(bin, &sample.bytes)?;
    }
    Ok(())
}
