//! Clicks.

use super::spots::spots;
use crate::settings::WearSettings;
use crate::tape::Random;

/// Time constant with which a click decays.
const DECAY_S: f64 = 200e-6;
/// A click is over after so many time constants, when it is 87 dB down.
const DECAYS: f64 = 10.0;

/// Adds clicks; gives back when each begins, in seconds.
pub(super) fn add(samples: &mut [f32], rate_hz: f64, wear: &WearSettings) -> Vec<f64> {
    let length_s = samples.len() as f64 / rate_hz;
    let mut random = Random::new(wear.seed, "clicks");
    let each_s = DECAYS * DECAY_S;
    let mut begins_s = spots(wear.clicks_per_min, each_s, length_s, &mut random);
    for begin_s in &mut begins_s {
        let up = random.uniform() < 0.5;
        let peak_v = if up { wear.click_v } else { -wear.click_v };
        // On a sample, so that the peak is as high as asked.
        let first = (*begin_s * rate_hz).floor();
        *begin_s = first / rate_hz;
        let count = (each_s * rate_hz).ceil() as usize;
        let click = samples[first as usize..].iter_mut().take(count);
        for (i, sample) in click.enumerate() {
            *sample += (peak_v * (-(i as f64) / (rate_hz * DECAY_S)).exp()) as f32;
        }
    }
    begins_s
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_click_rises_to_its_peak_and_decays() {
        let mut samples = vec![0.0; 480_000];
        let wear = WearSettings {
            clicks_per_min: 120.0,
            click_v: 0.25,
            ..Default::default()
        };
        let begins_s = add(&mut samples, 48_000.0, &wear);
        assert_eq!(begins_s.len(), 20);
        let peaks: Vec<_> = begins_s
            .iter()
            .map(|s| {
                let at = (s * 48_000.0).round() as usize;
                // 9.6 samples are one time constant.
                let ratio = samples[at + 48] / samples[at];
                assert!((ratio - f32::exp(-5.0)).abs() < 1e-4);
                samples[at]
            })
            .collect();
        assert!(peaks.iter().all(|v| v.abs() == 0.25));
        assert!(peaks.contains(&0.25) && peaks.contains(&-0.25));
    }
}
