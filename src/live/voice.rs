//! The samples that are played, one by one, and their encodings.

use super::play::PlayRequest;
use super::seam;
use crate::signal::{Levels, Recording};
use crate::source::Sample;
use std::sync::Arc;

/// Fade at a stop, so that it does not click, in seconds.
const FADE_S: f32 = 0.005;

/// Gives the samples one by one, from -1 to 1.
#[derive(Clone)]
pub(super) struct Voice {
    recording: Arc<Recording>,
    gain: f32,
    /// Where it ends or begins again.
    pub end: usize,
    pub at: usize,
    repeat: bool,
    pub rounds: u64,
    pub stopping: bool,
    /// What is left of the level while it stops.
    fade: f32,
    fade_step: f32,
}

impl Voice {
    pub fn new(request: &PlayRequest) -> Result<Self, String> {
        let recording = Arc::clone(&request.recording);
        let rate_hz = recording.rate_hz();
        let peak_v = Levels::of_recording(&recording, f64::INFINITY).peak_v;
        let level_v = request.level_v.unwrap_or(peak_v);
        if level_v > request.full_scale_v {
            return Err(format!(
                "A peak of {level_v:.3} V does not fit into a full scale of {:.3} V; choose a lower \
                 level.",
                request.full_scale_v
            ));
        }
        let gain = match request.level_v {
            Some(level_v) if peak_v > 0.0 => level_v / peak_v,
            _ => 1.0,
        };
        let end = match request.repeat {
            true => seam::loop_end(&recording),
            false => recording.len(),
        };
        Ok(Self {
            gain: (gain / request.full_scale_v) as f32,
            end,
            at: 0,
            repeat: request.repeat && end > 0,
            rounds: 0,
            stopping: false,
            fade: 1.0,
            fade_step: 1.0 / (FADE_S * rate_hz as f32),
            recording,
        })
    }

    pub fn is_over(&self) -> bool {
        self.fade <= 0.0 || (self.at >= self.end && !self.repeat)
    }

    fn next(&mut self) -> f32 {
        if self.at >= self.end && self.repeat {
            self.at = 0;
            self.rounds += 1;
        }
        if self.is_over() {
            return 0.0;
        }
        let value = self.recording.at(self.at).unwrap_or(0.0) * self.gain * self.fade;
        self.at += 1;
        if self.stopping {
            self.fade -= self.fade_step;
        }
        value
    }
}

/// Writes the next frames of a voice into a buffer of the sound system.
pub(super) type Writer = Box<dyn Fn(&mut Voice, &mut [u8]) + Send>;

/// What writes frames of this encoding, the same in every channel.
pub(super) fn writer(sample: Sample, channels: usize) -> Writer {
    match sample {
        Sample::Unsigned8 => frames(channels, |v| [(v * 128.0 + 128.0).round() as u8]),
        Sample::Integer16 => frames(channels, |v| ((v * 32_768.0).round() as i16).to_le_bytes()),
        Sample::Integer32 => frames(channels, |v| {
            ((f64::from(v) * 2_147_483_648.0).round() as i32).to_le_bytes()
        }),
        Sample::Float32 => frames(channels, f32::to_le_bytes),
    }
}

fn frames<const N: usize>(
    channels: usize,
    encode: impl Fn(f32) -> [u8; N] + Send + 'static,
) -> Writer {
    Box::new(move |voice, bytes| {
        for frame in bytes.chunks_exact_mut(N * channels) {
            let sample = encode(voice.next());
            frame.as_chunks_mut::<N>().0.fill(sample);
        }
    })
}

#[cfg(test)]
mod tests {
    use super::super::devices::Wanted;
    use super::*;

    fn request(samples: Vec<f32>, repeat: bool, level_v: Option<f64>) -> PlayRequest {
        PlayRequest {
            wanted: Wanted::default(),
            recording: Arc::new(Recording::new(samples, 1000)),
            full_scale_v: 2.0,
            level_v,
            repeat,
        }
    }

    fn played(voice: &mut Voice, count: usize) -> Vec<f32> {
        (0..count).map(|_| voice.next()).collect()
    }

    #[test]
    fn the_level_is_that_of_the_recording_or_the_one_asked_for() {
        let samples = vec![0.5, -1.0, 0.25];
        let mut voice = Voice::new(&request(samples.clone(), false, None)).unwrap();
        assert_eq!(played(&mut voice, 4), [0.25, -0.5, 0.125, 0.0]);
        assert!(voice.is_over());
        let mut voice = Voice::new(&request(samples.clone(), false, Some(2.0))).unwrap();
        assert_eq!(played(&mut voice, 3), [0.5, -1.0, 0.25]);
        let err = Voice::new(&request(samples, false, Some(2.1)))
            .err()
            .unwrap();
        assert!(err.contains("lower level"), "{err}");
    }

    #[test]
    fn it_begins_again_and_fades_when_it_stops() {
        let mut voice = Voice::new(&request(vec![1.0, 2.0], true, None)).unwrap();
        assert_eq!(played(&mut voice, 5), [0.5, 1.0, 0.5, 1.0, 0.5]);
        assert_eq!((voice.rounds, voice.is_over()), (2, false));
        let mut voice = Voice::new(&request(vec![2.0; 2], true, None)).unwrap();
        voice.stopping = true;
        // Five milliseconds at 1000 Hz.
        let tail = played(&mut voice, 8);
        assert_eq!((tail[0], tail[7]), (1.0, 0.0));
        let steps: Vec<_> = tail.windows(2).map(|w| w[0] - w[1]).collect();
        assert!(steps.iter().all(|s| (-1e-6..0.21).contains(s)), "{tail:?}");
        assert!(voice.is_over());
    }

    #[test]
    fn every_channel_gets_the_sample_as_it_was() {
        let values: Vec<f32> = [-32_768i16, -1, 0, 1, 12_345, 32_767]
            .iter()
            .map(|&v| f32::from(v) / 16_384.0)
            .collect();
        let mut voice = Voice::new(&request(values, false, None)).unwrap();
        let mut bytes = [0; 24];
        writer(Sample::Integer16, 2)(&mut voice, &mut bytes);
        let back: Vec<_> = bytes
            .as_chunks()
            .0
            .iter()
            .map(|b| i16::from_le_bytes(*b))
            .collect();
        let pairs = [-32_768, -1, 0, 1, 12_345, 32_767].map(|v| [v, v]);
        assert_eq!(back, pairs.concat());
    }
}
