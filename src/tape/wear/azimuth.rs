//! Azimuth loss: the head's gap is tilted against the one that recorded the tape.

use super::{HALF_WIDTH, curve_through_samples};
use crate::tape::{PIECE, Watch};

/// Speed of the tape: 4.76 cm/s, IEC 60094-1 (from memory).
const TAPE_SPEED_M_PER_S: f64 = 0.0476;
/// Width of a mono track: 1.5 mm, IEC 60094-1 (from memory).
const TRACK_WIDTH_M: f64 = 1.5e-3;
/// Points a sample at which the kernel is taken when it is averaged.
const STEPS_PER_SAMPLE: f64 = 32.0;

/// The samples as a tilted gap reads them. Across the track it sees the tape from `w tan a`
/// early to late, so what it reads is the mean over that time, and the loss at a frequency is
/// abs(sin x / x), x = pi w tan(a) f / v, with the track width w, the tilt a and the tape speed v
/// (the azimuth loss of the textbooks on magnetic recording, from memory).
pub(super) fn read(
    samples: &[f32],
    rate_hz: f64,
    tilt_deg: f64,
    watch: &mut Watch<'_>,
) -> Vec<f32> {
    let seen_s = TRACK_WIDTH_M * tilt_deg.to_radians().tan() / TAPE_SPEED_M_PER_S;
    let weights = mean_over(seen_s * rate_hz);
    let half = weights.len() / 2;
    let end = samples.len();
    let at = |i: usize| {
        let from = i.saturating_sub(half);
        let seen = &samples[from..(i + half + 1).min(end)];
        let weights = &weights[from + half - i..];
        let products = seen.iter().zip(weights);
        products.map(|(&v, w)| f64::from(v) * w).sum::<f64>() as f32
    };
    let mut read = Vec::with_capacity(end);
    while read.len() < end {
        watch("tilting the head", read.len() as f64 / end as f64);
        let piece = read.len()..(read.len() + PIECE).min(end);
        read.extend(piece.map(at));
    }
    read
}

/// The weights, of which there is an odd number, that give the mean of the curve through the
/// samples over so many samples around the middle one.
fn mean_over(seen: f64) -> Vec<f64> {
    let half = (seen / 2.0 + HALF_WIDTH).ceil() as i64;
    let steps = (seen * STEPS_PER_SAMPLE).ceil().max(1.0) as usize;
    let places = (0..steps).map(|i| ((i as f64 + 0.5) / steps as f64 - 0.5) * seen);
    let places: Vec<_> = places.collect();
    let sinc = curve_through_samples();
    let weight = |n: i64| {
        let sum: f64 = places.iter().map(|x| sinc.at(n as f64 - x, 1.0)).sum();
        sum / steps as f64
    };
    let weights: Vec<_> = (-half..=half).map(weight).collect();
    let sum: f64 = weights.iter().sum();
    weights.iter().map(|w| w / sum).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::f64::consts::{PI, TAU};

    #[test]
    fn tones_are_lost_as_the_formula_says() {
        for (rate_hz, tilt_deg) in [(48_000.0, 0.5), (44_100.0, 0.1), (192_000.0, 2.0)] {
            for tone_hz in [300.0, 1200.0, 2400.0, 7000.0] {
                let x = PI * 1.5e-3 * f64::tan(f64::to_radians(tilt_deg)) * tone_hz / 0.0476;
                let samples: Vec<_> = (0..4000)
                    .map(|i| (TAU * tone_hz * f64::from(i) / rate_hz).sin() as f32)
                    .collect();
                let read = read(&samples, rate_hz, tilt_deg, &mut |_, _| {});
                // Away from the ends the tone is as before but for its size.
                for i in 1000..3000 {
                    let wanted = f64::from(samples[i]) * x.sin() / x;
                    let off = (f64::from(read[i]) - wanted).abs();
                    assert!(off < 1e-4, "{tilt_deg}, {tone_hz} Hz: {off}");
                }
            }
        }
    }

    #[test]
    fn short_recordings_are_read_too() {
        assert!(read(&[], 8000.0, 1.0, &mut |_, _| {}).is_empty());
        assert_eq!(read(&[1.0, 1.0], 8000.0, 1.0, &mut |_, _| {}).len(), 2);
    }
}
