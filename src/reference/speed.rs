//! How fast the tape runs, roughly, along a window: from the two lines in its spectrum.
//!
//! Every bit begins at the same phase, so the signal has lines at exactly both tones, whatever it
//! carries. A speed is as likely as the power that lies at both of its tones.

use super::Format;
use rustfft::FftPlanner;
use rustfft::num_complex::Complex;

/// Length of a frame in seconds, about.
const FRAME_S: f64 = 0.085;
/// Speeds that are looked at.
const SLOWEST: f64 = 0.66;
const FASTEST: f64 = 1.38;
const STEP: f64 = 0.0025;
/// What a change by one step from frame to frame costs, as a part of a frame's whole power.
const CHANGE: f64 = 0.01;
/// Steps by which the speed may change from frame to frame.
const MOST_STEPS: usize = 3;

/// The speed along a window.
pub(super) struct Speed {
    speeds: Vec<f64>,
    /// Decimated samples from frame to frame.
    hop: usize,
}

impl Speed {
    pub fn of(samples: &[f32], rate_hz: f64, format: &Format) -> Self {
        let length = ((FRAME_S * rate_hz) as usize).next_power_of_two().max(64);
        let hop = length / 2;
        let scores = scores(samples, rate_hz, format, length, hop);
        Self {
            speeds: path(&scores),
            hop,
        }
    }

    /// The speed at a decimated sample, 1 as nominal.
    pub fn at(&self, sample: f64) -> f64 {
        let last = self.speeds.len() - 1;
        // The middle of frame `i` lies one hop after its beginning.
        let place = (sample / self.hop as f64 - 1.0).clamp(0.0, last as f64);
        let i = (place as usize).min(last.saturating_sub(1));
        let next = self.speeds[(i + 1).min(last)];
        self.speeds[i] + (place - i as f64) * (next - self.speeds[i])
    }
}

fn speed(index: usize) -> f64 {
    SLOWEST + index as f64 * STEP
}

/// For each frame, the part of its power that lies at the tones of each speed.
fn scores(
    samples: &[f32],
    rate_hz: f64,
    format: &Format,
    length: usize,
    hop: usize,
) -> Vec<Vec<f32>> {
    let fft = FftPlanner::<f32>::new().plan_fft_forward(length);
    let window: Vec<f32> = (0..length)
        .map(|i| 0.5 - 0.5 * (std::f32::consts::TAU * i as f32 / length as f32).cos())
        .collect();
    let frames = (samples.len().saturating_sub(length) / hop + 1).max(1);
    let bins = rate_hz / length as f64;
    let count = ((FASTEST - SLOWEST) / STEP) as usize;
    let mut frame = vec![Complex::default(); length];
    let mut scratch = vec![Complex::default(); fft.get_inplace_scratch_len()];
    (0..frames)
        .map(|f| {
            for (i, point) in frame.iter_mut().enumerate() {
                let sample = samples.get(f * hop + i).copied().unwrap_or(0.0);
                *point = Complex::new(sample * window[i], 0.0);
            }
            fft.process_with_scratch(&mut frame, &mut scratch);
            let power: Vec<f32> = frame[..length / 2].iter().map(|c| c.norm_sqr()).collect();
            let all: f32 = power.iter().sum::<f32>().max(f32::MIN_POSITIVE);
            let at = |hz: f64| {
                let place = hz / bins;
                let i = place as usize;
                let part = (place - i as f64) as f32;
                let get = |i: usize| power.get(i).copied().unwrap_or(0.0);
                get(i) * (1.0 - part) + get(i + 1) * part
            };
            (0..count)
                .map(|s| (at(format.mark_hz * speed(s)) + at(format.space_hz * speed(s))) / all)
                .collect()
        })
        .collect()
}

/// The likeliest speeds: those with the most power that do not jump.
fn path(scores: &[Vec<f32>]) -> Vec<f64> {
    let count = scores[0].len();
    let mut best: Vec<f32> = scores[0].clone();
    let mut from: Vec<Vec<u8>> = Vec::new();
    for frame in &scores[1..] {
        let mut next = vec![0.0; count];
        let mut came = vec![0u8; count];
        for s in 0..count {
            let low = s.saturating_sub(MOST_STEPS);
            let high = (s + MOST_STEPS).min(count - 1);
            let value = |p: usize| best[p] - CHANGE as f32 * p.abs_diff(s) as f32;
            let p = (low..=high).max_by(|a, b| value(*a).total_cmp(&value(*b)));
            let p = p.unwrap_or(s);
            next[s] = value(p) + frame[s];
            came[s] = (p + MOST_STEPS - s) as u8;
        }
        best = next;
        from.push(came);
    }
    let last = (0..count).max_by(|a, b| best[*a].total_cmp(&best[*b]));
    let mut at = last.unwrap_or(0);
    let mut speeds = vec![speed(at)];
    for came in from.iter().rev() {
        at = at + came[at] as usize - MOST_STEPS;
        speeds.push(speed(at));
    }
    speeds.reverse();
    speeds
}
