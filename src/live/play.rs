//! Plays a recording to an output device, to drive the real circuit.

use super::devices::Wanted;
use super::ring::Signs;
use super::stream::Output;
use super::{patience, seam};
use crate::signal::{Levels, Recording};
use crate::source::Sample;
use std::sync::Arc;
use std::sync::atomic::{AtomicBool, AtomicU64, Ordering};
use std::time::{Duration, Instant};

/// Fade at a stop, so that it does not click, in seconds.
const FADE_S: f32 = 0.005;
/// What the sound system may still hold when it has been given everything, beside what it says.
const SLACK: Duration = Duration::from_millis(150);
/// Without a callback for so long, a stream is lost.
const LOST: Duration = Duration::from_secs(3);
/// How long a stop may take.
const STOP: Duration = Duration::from_secs(2);

/// What to play, and where.
#[derive(Clone, Debug)]
pub struct PlayRequest {
    /// On which device; its rate is that of the recording.
    pub wanted: Wanted,
    /// The recording.
    pub recording: Arc<Recording>,
    /// Voltage that the output gives at full scale.
    pub full_scale_v: f64,
    /// Peak level in volts; as recorded where none is given.
    pub level_v: Option<f64>,
    /// Whether to begin again at the end.
    pub repeat: bool,
}

/// How far playing has come.
#[derive(Clone, Debug, PartialEq)]
pub enum Playing {
    /// It plays.
    Going,
    /// Everything has been heard, or it was stopped.
    Done,
    /// The device was lost: a sentence.
    Lost(String),
}

/// A recording that is being played. Dropping it stops it at once.
pub struct Player {
    shared: Arc<Shared>,
    signs: Arc<Signs>,
    device: String,
    began: Instant,
    length_s: f64,
    rate_hz: u32,
    _held: patience::Held,
}

/// What the callback and those who look at it share. Times are nanoseconds since the beginning,
/// 0 for never.
#[derive(Default)]
struct Shared {
    stop: AtomicBool,
    position: AtomicU64,
    rounds: AtomicU64,
    last_call_ns: AtomicU64,
    ended_ns: AtomicU64,
    wait_ns: AtomicU64,
}

/// Where playing is.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Progress {
    /// Place in the recording in seconds; what is heard lies up to a tenth of a second behind it.
    pub at_s: f64,
    /// Length of the recording, or of the part of it that is repeated, in seconds.
    pub length_s: f64,
    /// How often it has begun again.
    pub rounds: u64,
}

impl Player {
    /// Opens the device and begins to play. May take some seconds.
    ///
    /// # Errors
    /// A sentence.
    pub fn start(request: PlayRequest) -> Result<Self, String> {
        let recording = Arc::clone(&request.recording);
        let rate_hz = recording.rate_hz();
        let voice = Voice::new(&request)?;
        let length_s = voice.end as f64 / f64::from(rate_hz);
        let wanted = Wanted {
            rate_hz: Some(rate_hz),
            ..request.wanted
        };
        let (shared, signs) = (Arc::new(Shared::default()), Arc::new(Signs::default()));
        let (told, failed) = (Arc::clone(&shared), Arc::clone(&signs));
        let began = Instant::now();
        let open = move || {
            let output = Output::find(&wanted)?;
            let channels = usize::from(output.config.channels);
            let mut voice = voice;
            let fill = writer(output.sample, channels);
            let stream = output.start(
                move |bytes, wait_ns| {
                    let now_ns = (began.elapsed().as_nanos() as u64).max(1);
                    voice.stopping = told.stop.load(Ordering::Relaxed);
                    fill(&mut voice, bytes);
                    told.position.store(voice.at as u64, Ordering::Relaxed);
                    told.rounds.store(voice.rounds, Ordering::Relaxed);
                    told.wait_ns.store(wait_ns, Ordering::Relaxed);
                    told.last_call_ns.store(now_ns, Ordering::Relaxed);
                    if voice.is_over() && told.ended_ns.load(Ordering::Relaxed) == 0 {
                        told.ended_ns.store(now_ns, Ordering::Relaxed);
                    }
                },
                failed,
            )?;
            Ok((stream, output.name))
        };
        let (held, device) = patience::hold(patience::OPEN, "opening the device", open)?;
        Ok(Self {
            shared,
            signs,
            device,
            began,
            length_s,
            rate_hz,
            _held: held,
        })
    }

    /// Name of the device.
    pub fn device(&self) -> &str {
        &self.device
    }

    /// Where it is.
    pub fn progress(&self) -> Progress {
        let position = self.shared.position.load(Ordering::Relaxed);
        Progress {
            at_s: position as f64 / f64::from(self.rate_hz),
            length_s: self.length_s,
            rounds: self.shared.rounds.load(Ordering::Relaxed),
        }
    }

    /// Whether it still plays.
    pub fn state(&self) -> Playing {
        if let Some(why) = self.signs.over.get() {
            return Playing::Lost(why.clone());
        }
        let time = |of: &AtomicU64| Duration::from_nanos(of.load(Ordering::Relaxed));
        let now = self.began.elapsed();
        let ended = time(&self.shared.ended_ns);
        if !ended.is_zero() && now >= ended + time(&self.shared.wait_ns) + SLACK {
            return Playing::Done;
        }
        if now.saturating_sub(time(&self.shared.last_call_ns)) > LOST {
            return Playing::Lost(format!(
                "{} has taken nothing for {} s: the device or the sound server has stopped. Check \
                 them, and begin again.",
                self.device,
                LOST.as_secs()
            ));
        }
        Playing::Going
    }

    /// Asks for the end, which comes with a short fade.
    pub fn request_stop(&self) {
        self.shared.stop.store(true, Ordering::Relaxed);
    }

    /// Ends it, and waits until that has been heard, for two seconds at the most.
    pub fn stop(self) {
        self.request_stop();
        let by = Instant::now() + STOP;
        while self.state() == Playing::Going && Instant::now() < by {
            std::thread::sleep(Duration::from_millis(10));
        }
    }
}

/// Gives the samples one by one, from -1 to 1.
struct Voice {
    recording: Arc<Recording>,
    gain: f32,
    /// Where it ends or begins again.
    end: usize,
    at: usize,
    repeat: bool,
    rounds: u64,
    stopping: bool,
    /// What is left of the level while it stops.
    fade: f32,
    fade_step: f32,
}

impl Voice {
    fn new(request: &PlayRequest) -> Result<Self, String> {
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

    fn is_over(&self) -> bool {
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
type Writer = Box<dyn Fn(&mut Voice, &mut [u8]) + Send>;

/// What writes frames of this encoding, the same in every channel.
fn writer(sample: Sample, channels: usize) -> Writer {
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
