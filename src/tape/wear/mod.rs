//! Wear: what a worn tape, a poor player and the electronics behind it do to a clean recording.
//!
//! Each kind is off by default and takes place, where it is on, in the order in which the signal
//! would meet it:
//!
//! 1. the tape: saturation, when it is recorded;
//! 2. the player: speed error, wow, flutter and random variation of speed, as the tape moves;
//!    drop-outs and azimuth loss, as the head reads it; the band limit;
//! 3. the electronics: white and pink noise, hum, clicks, offset, inverted sense.
//!
//! So lengths and rates are those of the recording as it is played, and noise, hum and offset are
//! on it as they were asked for, whatever came before them. All that is random comes from one
//! seed, and each kind draws numbers of its own: turning on one leaves the others as they were.

mod azimuth;
mod clicks;
mod drop_outs;
mod hum;
mod motion;
mod noise;
mod play;
mod saturation;
mod spots;
mod unsteady;

pub use motion::Motion;
pub use noise::Noise;

use crate::settings::{InputSettings, Sense, TapeSettings, WearSettings};
use crate::signal::{InputNetwork, Sinc};
use crate::tape::Watch;

/// Half of the sinc's length in samples, for a band limit of half the sample rate.
const HALF_WIDTH: f64 = 32.0;

/// The sinc that makes a curve of samples. It is flat to 0.45 of the sample rate and lies 90 dB
/// down from 0.55 on (Kaiser's formulas for window design, from memory).
fn curve_through_samples() -> Sinc {
    Sinc::new(HALF_WIDTH, 9.0)
}

/// What came of the wear that was asked for.
#[derive(Clone, Debug, PartialEq, Default)]
pub struct Applied {
    /// When each drop-out begins, in seconds on the recording.
    pub drop_outs_s: Vec<f64>,
    /// When each click begins, in seconds on the recording.
    pub clicks_s: Vec<f64>,
    /// Powers of signal and noise, where there is noise.
    pub noise: Option<Noise>,
}

/// A worn recording.
pub(super) struct Worn {
    pub samples: Vec<f32>,
    /// How the tape moved.
    pub motion: Motion,
    pub applied: Applied,
}

/// The settings with all that has no effect at its default: the frequency of a wow that is off,
/// the seed where nothing is random. A tape that is not worn has the defaults.
pub fn in_effect(wear: &WearSettings) -> WearSettings {
    let off = WearSettings::default();
    let mut on = *wear;
    let mut random =
        on.white_noise_db != off.white_noise_db || on.pink_noise_db != off.pink_noise_db;
    // How much there is of it, and what says no more than how it would be.
    for (amount, forms) in [
        (wear.wow_percent, &mut [(&mut on.wow_hz, off.wow_hz)][..]),
        (
            wear.flutter_percent,
            &mut [(&mut on.flutter_hz, off.flutter_hz)],
        ),
        (
            wear.unsteady_percent,
            &mut [(&mut on.unsteady_hz, off.unsteady_hz)],
        ),
        (wear.hum_v, &mut [(&mut on.hum_hz, off.hum_hz)]),
        (wear.clicks_per_min, &mut [(&mut on.click_v, off.click_v)]),
        (
            wear.drop_outs_per_min,
            &mut [
                (&mut on.drop_out_depth_db, off.drop_out_depth_db),
                (&mut on.drop_out_length_s, off.drop_out_length_s),
            ],
        ),
    ] {
        random |= amount > 0.0;
        if amount == 0.0 {
            forms
                .iter_mut()
                .for_each(|(form, default)| **form = *default);
        }
    }
    if !random {
        on.seed = off.seed;
    }
    on
}

/// Wears the samples of a clean tape.
pub(super) fn wear(
    mut samples: Vec<f32>,
    tape: &TapeSettings,
    wear: &WearSettings,
    watch: &mut Watch<'_>,
) -> Worn {
    let rate_hz = f64::from(tape.sample_rate_hz);
    saturation::saturate(&mut samples, tape.level_v, wear.saturation_db);

    let motion = Motion::new(wear, samples.len() as f64 / rate_hz);
    if !motion.is_steady() {
        samples = play::play(&samples, rate_hz, &motion, watch);
    }
    let drop_outs_s = drop_outs::drop_out(&mut samples, rate_hz, wear);
    if wear.azimuth_deg > 0.0 {
        samples = azimuth::read(&samples, rate_hz, wear.azimuth_deg, watch);
    }
    if wear.low_pass_hz > 0.0 {
        samples = low_passed(&samples, tape.sample_rate_hz, wear.low_pass_hz);
    }

    let played_bd = tape.rate_bd * (1.0 + wear.speed_percent / 100.0);
    let noise = noise::add(&mut samples, rate_hz, played_bd, wear, watch);
    hum::add(&mut samples, rate_hz, wear);
    let clicks_s = clicks::add(&mut samples, rate_hz, wear);
    if wear.offset_v != 0.0 {
        samples.iter_mut().for_each(|v| *v += wear.offset_v as f32);
    }
    if wear.sense == Sense::Inverted {
        samples.iter_mut().for_each(|v| *v = -*v);
    }
    Worn {
        samples,
        motion,
        applied: Applied {
            drop_outs_s,
            clicks_s,
            noise,
        },
    }
}

/// The band limit: 3 dB down at the corner, 6 dB an octave beyond.
fn low_passed(samples: &[f32], rate_hz: u32, low_pass_hz: f64) -> Vec<f32> {
    let settings = InputSettings {
        low_pass_hz,
        ..Default::default()
    };
    InputNetwork::whole(&settings, samples, rate_hz)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_has_no_effect_is_no_wear() {
        let forms = WearSettings {
            seed: 7,
            wow_hz: 3.0,
            flutter_hz: 30.0,
            unsteady_hz: 4.0,
            drop_out_depth_db: 60.0,
            drop_out_length_s: 0.1,
            hum_hz: 60.0,
            click_v: 1.0,
            ..Default::default()
        };
        assert_eq!(in_effect(&forms), WearSettings::default());
        let hum = WearSettings {
            hum_v: 0.1,
            ..forms
        };
        let wanted = WearSettings {
            seed: 7,
            hum_v: 0.1,
            hum_hz: 60.0,
            ..Default::default()
        };
        assert_eq!(in_effect(&hum), wanted);
        let turned = WearSettings {
            sense: Sense::Inverted,
            ..forms
        };
        assert_eq!(in_effect(&turned).seed, WearSettings::default().seed);
        assert_eq!(in_effect(&turned).sense, Sense::Inverted);
    }

    /// Two tapes that are worn alike are alike, and the knobs without effect have none.
    #[test]
    fn what_has_no_effect_changes_no_sample() {
        let tape = TapeSettings::default();
        let wear = WearSettings {
            seed: 9,
            wow_hz: 3.0,
            white_noise_db: 20.0,
            clicks_per_min: 600.0,
            ..Default::default()
        };
        let made = |wear| crate::tape::make(&crate::tape::Content::bytes(b"AB"), &tape, wear);
        let effective = in_effect(&wear);
        assert_ne!(effective, wear);
        assert_eq!(made(&wear), made(&effective));
    }
}
