//! Level drop-outs.

use super::spots::spots;
use crate::settings::WearSettings;
use crate::tape::Random;
use std::f64::consts::PI;

/// The part of a drop-out in which the level falls, and the part in which it rises again.
const FLANK: f64 = 0.1;

/// Lets the level drop out; gives back when each drop-out begins, in seconds.
pub(super) fn drop_out(samples: &mut [f32], rate_hz: f64, wear: &WearSettings) -> Vec<f64> {
    let length_s = samples.len() as f64 / rate_hz;
    let each_s = wear.drop_out_length_s;
    let mut random = Random::new(wear.seed, "drop-outs");
    let begins_s = spots(wear.drop_outs_per_min, each_s, length_s, &mut random);
    let loss = 1.0 - 10f64.powf(-wear.drop_out_depth_db / 20.0);
    for begin_s in &begins_s {
        let (from, to) = (begin_s * rate_hz, (begin_s + each_s) * rate_hz);
        let from_sample = from.ceil() as usize;
        let to_sample = (to.ceil() as usize).min(samples.len());
        for (i, sample) in (from_sample..).zip(&mut samples[from_sample.min(to_sample)..to_sample])
        {
            let part = (i as f64 - from) / (to - from);
            *sample *= (1.0 - loss * depth(part)) as f32;
        }
    }
    begins_s
}

/// How deep the drop-out is, from 0 to 1, where `part` of it is over; the flanks are half a cosine.
fn depth(part: f64) -> f64 {
    let into = part.min(1.0 - part).clamp(0.0, FLANK) / FLANK;
    0.5 - 0.5 * (PI * into).cos()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_level_falls_as_far_and_as_long_as_asked() {
        let mut samples = vec![1.0; 60_000];
        let wear = WearSettings {
            drop_outs_per_min: 50.0,
            drop_out_depth_db: 40.0,
            drop_out_length_s: 0.1,
            ..Default::default()
        };
        let begins_s = drop_out(&mut samples, 1000.0, &wear);
        assert_eq!(begins_s.len(), 50);
        for begin_s in begins_s {
            let first = (begin_s * 1000.0).ceil() as usize;
            assert!(samples[first - 1] == 1.0 && samples[first + 100] == 1.0);
            let bottom = &samples[first + 10..first + 89];
            assert!(bottom.iter().all(|v| (v - 0.01).abs() < 1e-6));
            // Half way down the flank.
            assert!((samples[first + 5] - 0.5).abs() < 0.2);
        }
    }
}
