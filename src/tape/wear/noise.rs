//! White and pink noise at a stated signal-to-noise ratio.

use crate::settings::WearSettings;
use crate::tape::{PIECE, Random, Watch};
use std::f64::consts::TAU;

/// Where the pink noise begins to fall, in hertz: the first corner of its filter. From 10 Hz on it
/// is pink to half a decibel.
const FIRST_CORNER_HZ: f64 = 3.0;
/// Corners a decade.
const CORNERS_PER_DECADE: f64 = 2.0;
/// Sampled, the filter falls too little near half the sample rate, by 1.9 dB in the end; this
/// zero takes that off. Found by fitting to the exact slope.
const END_ZERO: f64 = 0.1;

/// Powers of signal and noise.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Noise {
    /// Root mean square of the signal that the noise was added to, in volts.
    pub signal_rms_v: f64,
    /// Root mean square of the white noise, in volts; 0 without any.
    pub white_rms_v: f64,
    /// Root mean square of the pink noise, in volts; 0 without any.
    pub pink_rms_v: f64,
    /// Energy of a bit over the density of the white noise, in decibels; `None` without any.
    ///
    /// A bit's energy is the signal's power over the bit rate, and white noise of power s^2 up to
    /// half the sample rate f_s has a density N0 = 2 s^2 / f_s (Proakis, Digital Communications;
    /// Sklar, Digital Communications; from memory), so Eb/N0 = SNR f_s / (2 rate).
    pub eb_n0_db: Option<f64>,
}

/// Adds the noise that is on. The ratio holds for the mean power of the whole recording and the
/// mean power of the very noise that is added.
pub(super) fn add(
    samples: &mut [f32],
    rate_hz: f64,
    rate_bd: f64,
    wear: &WearSettings,
    watch: &mut Watch<'_>,
) -> Option<Noise> {
    let (white_db, pink_db) = (wear.white_noise_db, wear.pink_noise_db);
    if white_db == f64::INFINITY && pink_db == f64::INFINITY {
        return None;
    }
    let signal_rms_v = rms(samples.iter().map(|&v| f64::from(v)), samples.len());
    let mut add = |ratio_db: f64, noise: &dyn Fn() -> Box<dyn Iterator<Item = f64>>| {
        let rms_v = signal_rms_v * 10f64.powf(-ratio_db / 20.0);
        if rms_v > 0.0 {
            let count = samples.len();
            let mut told = |done: usize| {
                if done.is_multiple_of(PIECE) {
                    watch("adding noise", done as f64 / (2 * count) as f64);
                }
            };
            // The same noise twice, once to know its power.
            let first = noise().enumerate().map(|(i, v)| {
                told(i);
                v
            });
            let scale = rms_v / rms(first, count);
            for (i, (sample, noise)) in samples.iter_mut().zip(noise()).enumerate() {
                told(count + i);
                *sample += (scale * noise) as f32;
            }
        }
        rms_v
    };
    let random = |purpose| Random::new(wear.seed, purpose);
    let white_rms_v = add(white_db, &|| Box::new(white(random("white noise"))));
    let pink_rms_v = add(pink_db, &|| Box::new(pink(random("pink noise"), rate_hz)));
    let eb_n0_db = white_db + 10.0 * (rate_hz / (2.0 * rate_bd)).log10();
    Some(Noise {
        signal_rms_v,
        white_rms_v,
        pink_rms_v,
        eb_n0_db: eb_n0_db.is_finite().then_some(eb_n0_db),
    })
}

/// Root mean square of the first `count` values.
fn rms(values: impl Iterator<Item = f64>, count: usize) -> f64 {
    let sum: f64 = values.take(count).map(|v| v * v).sum();
    (sum / count.max(1) as f64).sqrt()
}

fn white(mut random: Random) -> impl Iterator<Item = f64> {
    std::iter::repeat_with(move || random.normal())
}

/// White noise through poles and zeros by turns, at equal distances on a logarithmic scale of
/// frequency: half of the way the filter falls by 20 dB a decade, half of the way not at all
/// (common practice, no source).
fn pink(random: Random, rate_hz: f64) -> impl Iterator<Item = f64> {
    let ratio = 10f64.powf(1.0 / CORNERS_PER_DECADE);
    let corners = std::iter::successors(Some(FIRST_CORNER_HZ), move |hz| Some(hz * ratio));
    let at = |hz: f64| (-TAU * hz / rate_hz).exp();
    let mut sections: Vec<Section> = corners
        .take_while(|&hz| hz < rate_hz)
        .map(|hz| Section::new(at(hz), at(hz * ratio.sqrt())))
        .chain([Section::new(0.0, -END_ZERO)])
        .collect();
    white(random).map(move |v| sections.iter_mut().fold(v, |v, s| s.next(v)))
}

/// A filter of one pole and one zero, (1 - zero / z) / (1 - pole / z).
#[derive(Clone, Copy, Debug)]
struct Section {
    pole: f64,
    zero: f64,
    last_in: f64,
    last_out: f64,
}

impl Section {
    fn new(pole: f64, zero: f64) -> Self {
        Self {
            pole,
            zero,
            last_in: 0.0,
            last_out: 0.0,
        }
    }

    fn next(&mut self, v: f64) -> f64 {
        self.last_out = v - self.zero * self.last_in + self.pole * self.last_out;
        self.last_in = v;
        self.last_out
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Eb = A^2 / (2 rate) and N0 = 2 s^2 / f_s for a sine of peak A (Proakis, from memory).
    #[test]
    fn the_energy_of_a_bit_follows_from_the_ratio() {
        let mut samples: Vec<_> = (0..48_000)
            .map(|i| (f32::sin(i as f32 * 0.5)) * 0.5)
            .collect();
        let wear = WearSettings {
            white_noise_db: 6.0,
            ..Default::default()
        };
        let noise = add(&mut samples, 48_000.0, 300.0, &wear, &mut |_, _| {}).unwrap();
        let bit = noise.signal_rms_v.powi(2) / 300.0;
        let density = 2.0 * noise.white_rms_v.powi(2) / 48_000.0;
        let wanted_db = 10.0 * (bit / density).log10();
        assert!((noise.eb_n0_db.unwrap() - wanted_db).abs() < 1e-9);
        assert!((noise.signal_rms_v - 0.125f64.sqrt()).abs() < 1e-4);
        assert_eq!(noise.pink_rms_v, 0.0);
    }

    #[test]
    fn silence_stays_silent() {
        let mut samples = vec![0.0; 100];
        let wear = WearSettings {
            pink_noise_db: 0.0,
            ..Default::default()
        };
        let noise = add(&mut samples, 8000.0, 300.0, &wear, &mut |_, _| {}).unwrap();
        assert!(samples.iter().all(|v| *v == 0.0) && noise.eb_n0_db.is_none());
        assert!(add(&mut [], 8000.0, 300.0, &wear, &mut |_, _| {}).is_some());
    }
}
