//! sox and ffmpeg, run on raw 32-bit floats.

use std::path::Path;
use std::process::{Command, Stdio};

/// A test signal of several channels, unlike one another.
pub struct Tone {
    channels: u32,
    rate_hz: u32,
    interleaved: Vec<f32>,
}

impl Tone {
    /// Half a second of mark and space by turns, with another level and beat in each channel.
    pub fn new(channels: u32, rate_hz: u32) -> Self {
        Self::lasting(rate_hz / 2, channels, rate_hz)
    }

    /// The same for so many frames.
    pub fn lasting(frames: u32, channels: u32, rate_hz: u32) -> Self {
        let sample = |frame: u32, channel: u32| {
            let t = f64::from(frame) / f64::from(rate_hz);
            let cycle = std::f64::consts::TAU * t;
            let hertz = if ((t * 30.0) as u32).is_multiple_of(2) {
                2400.0
            } else {
                1200.0
            };
            let level = 0.8 / f64::from(channel + 1);
            let beat = (cycle * (7.0 + f64::from(channel))).sin();
            (level * (cycle * hertz).sin() * (0.8 + 0.2 * beat)) as f32
        };
        let interleaved = (0..frames)
            .flat_map(|frame| (0..channels).map(move |channel| sample(frame, channel)))
            .collect();
        Self {
            channels,
            rate_hz,
            interleaved,
        }
    }

    /// One channel of these samples.
    pub fn mono(samples: Vec<f32>, rate_hz: u32) -> Self {
        Self {
            channels: 1,
            rate_hz,
            interleaved: samples,
        }
    }

    /// The samples of one channel, counted from 0.
    pub fn channel(&self, n: usize) -> Vec<f32> {
        let samples = self.interleaved.iter().skip(n);
        samples.step_by(self.channels as usize).copied().collect()
    }

    fn to_sox(&self, output: &str) -> String {
        let (rate, channels) = (self.rate_hz, self.channels);
        format!("-D -t raw -e float -b 32 -L -r {rate} -c {channels} IN {output}")
    }

    fn to_ffmpeg(&self, output: &str) -> String {
        let (rate, channels) = (self.rate_hz, self.channels);
        format!("-v error -y -f f32le -ar {rate} -ac {channels} -i IN {output}")
    }

    /// Writes the samples as raw little-endian floats beside `path`; gives the file.
    fn raw_beside(&self, path: &Path) -> String {
        let raw = path.with_extension("f32");
        let bytes: Vec<u8> = self
            .interleaved
            .iter()
            .flat_map(|s| s.to_le_bytes())
            .collect();
        std::fs::write(&raw, bytes).unwrap();
        text(&raw)
    }
}

fn text(path: &Path) -> String {
    path.to_str().unwrap().to_owned()
}

fn run(tool: &str, words: &str, files: &[(&str, String)]) -> Vec<u8> {
    let words = words.split_whitespace().map(|word| {
        let file = files.iter().find(|(name, _)| *name == word);
        file.map_or_else(|| word.to_owned(), |(_, path)| path.clone())
    });
    let output = Command::new(tool)
        .args(words)
        .stdin(Stdio::null())
        .output()
        .unwrap_or_else(|e| panic!("{tool} does not start ({e}); `make test` installs it"));
    let complaint = String::from_utf8_lossy(&output.stderr);
    assert!(output.status.success(), "{tool}: {complaint}");
    output.stdout
}

fn floats(bytes: &[u8]) -> Vec<f32> {
    bytes
        .as_chunks()
        .0
        .iter()
        .map(|b| f32::from_le_bytes(*b))
        .collect()
}

/// Has sox write `tone` to `path`; its extension and `options` give the encoding.
pub fn sox(tone: &Tone, options: &str, path: &Path) {
    let words = tone.to_sox(&format!("{options} OUT"));
    run(
        "sox",
        &words,
        &[("IN", tone.raw_beside(path)), ("OUT", text(path))],
    );
}

/// What sox writes into a pipe; `options` give container and encoding.
pub fn sox_pipes(tone: &Tone, options: &str, folder: &Path) -> Vec<u8> {
    let words = tone.to_sox(&format!("{options} -"));
    run(
        "sox",
        &words,
        &[("IN", tone.raw_beside(&folder.join("piped")))],
    )
}

/// Has ffmpeg write `tone` to `path`; its extension and `options` give the encoding.
pub fn ffmpeg(tone: &Tone, options: &str, path: &Path) {
    let words = tone.to_ffmpeg(&format!("{options} OUT"));
    run(
        "ffmpeg",
        &words,
        &[("IN", tone.raw_beside(path)), ("OUT", text(path))],
    );
}

/// What ffmpeg writes into a pipe; `options` give container and encoding.
pub fn ffmpeg_pipes(tone: &Tone, options: &str, folder: &Path) -> Vec<u8> {
    let words = tone.to_ffmpeg(&format!("{options} -"));
    run(
        "ffmpeg",
        &words,
        &[("IN", tone.raw_beside(&folder.join("piped")))],
    )
}

/// The samples that sox reads from `path`, channel by channel in turn.
pub fn sox_reads(path: &Path) -> Vec<f32> {
    floats(&run(
        "sox",
        "IN -t raw -e float -b 32 -L -",
        &[("IN", text(path))],
    ))
}

/// The samples that ffmpeg reads from `path`, channel by channel in turn.
pub fn ffmpeg_reads(path: &Path) -> Vec<f32> {
    let words = "-v error -i IN -f f32le -c:a pcm_f32le -";
    floats(&run("ffmpeg", words, &[("IN", text(path))]))
}
