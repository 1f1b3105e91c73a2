//! Makes the recordings of `sample-audio/`, with the true bytes beside each:
//! `cargo run --example make_samples`.

use pulsewright::export;
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

/// Voltage that full scale of the files stands for.
pub const FULL_SCALE_V: f64 = 1.0;

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

fn main() -> Result<(), String> {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("sample-audio");
    for sample in samples() {
        let path = folder.join(sample.name);
        let wav = export::wav(&sample.record(), FULL_SCALE_V)?;
        export::save(&path.with_extension("wav"), &wav)?;
        export::save(&path.with_extension("bin"), &sample.bytes)?;
    }
    Ok(())
}
