//! The level meter, and what to say about the level.

use crate::settings::{Bench, Sense};
use crate::signal::Levels;
use crate::units::{Unit, show_digits};

/// For how long the greatest peak stays, in seconds.
const HOLD_S: f64 = 2.0;
/// A signal must reach so many times the squarer's level to be safe from small drop-outs. Common
/// practice, no source.
const SAFE: f64 = 1.5;
/// Below this part of full scale nothing is connected.
const SILENT: f64 = 1e-3;

/// What the meter shows.
#[derive(Clone, Copy, Debug, PartialEq, Default)]
pub struct Meter {
    /// The level of the last block of samples.
    pub now: Levels,
    /// The greatest peak of the last two seconds in volts.
    pub held_v: f64,
    /// Whether samples were clipped within the last two seconds.
    pub clipping: bool,
    /// Clipped samples since the beginning.
    pub clipped: u64,
    /// Voltage at full scale.
    pub full_scale_v: f64,
    /// The magnitude in volts from which on a sample may have been cut.
    pub clip_v: f64,
    held_for_s: f64,
    clipped_ago_s: f64,
}

impl Meter {
    /// A meter for samples whose full scale is this voltage, and which may have been cut from
    /// that one on.
    pub fn new(full_scale_v: f64, clip_v: f64) -> Self {
        Self {
            full_scale_v,
            clip_v,
            ..Self::default()
        }
    }

    /// Takes the next block of samples.
    pub(super) fn take(&mut self, samples: &[f32], rate_hz: u32) {
        let length_s = samples.len() as f64 / f64::from(rate_hz);
        self.now = Levels::of(samples, rate_hz, self.clip_v);
        self.held_for_s += length_s;
        if self.now.peak_v >= self.held_v || self.held_for_s > HOLD_S {
            (self.held_v, self.held_for_s) = (self.now.peak_v, 0.0);
        }
        self.clipped_ago_s += length_s;
        if self.now.clipped > 0 {
            self.clipped += self.now.clipped as u64;
            self.clipped_ago_s = 0.0;
        }
        self.clipping = self.clipped > 0 && self.clipped_ago_s < HOLD_S;
    }

    /// A voltage in decibels of full scale; the peak of the largest sine is 0.
    pub fn dbfs(&self, volts: f64) -> f64 {
        20.0 * (volts / self.full_scale_v).log10()
    }

    /// What to do about the level, where it does not suit the squarer of this bench.
    pub fn hint(&self, bench: &Bench) -> Option<String> {
        let volts = |v: f64| show_digits(v, Unit::Volts, 2);
        if self.clipping {
            return Some(format!(
                "The signal is clipped at {}: turn the player down.",
                volts(self.full_scale_v)
            ));
        }
        if self.held_v < SILENT * self.full_scale_v {
            return Some(
                "Nothing comes in: check the plug, the player and the choice of device.".into(),
            );
        }
        let sign = match bench.input.sense {
            Sense::Normal => 1.0,
            Sense::Inverted => -1.0,
        };
        let offset_v = match bench.input.high_pass_hz {
            0.0 => self.now.mean_v * sign * bench.input.gain,
            _ => 0.0,
        };
        let swing_v = (self.held_v - self.now.mean_v.abs()).max(0.0) * bench.input.gain;
        let half_v = bench.squarer.hysteresis_v / 2.0;
        let need_v = (bench.squarer.reference_v - offset_v).abs() + half_v;
        (swing_v < SAFE * need_v).then(|| {
            format!(
                "The signal swings {} about its mean, and the squarer needs more than {}: turn the \
                 player up, or the squarer's hysteresis down.",
                volts(swing_v),
                volts(need_v)
            )
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn sine(level: f64, offset: f64) -> Vec<f32> {
        let value = |i| level * (f64::from(i) * std::f64::consts::TAU / 20.0).sin() + offset;
        (0..4800).map(|i| value(i) as f32).collect()
    }

    fn metered(level: f64, offset: f64) -> Meter {
        let mut meter = Meter::new(1.0, 1.0);
        meter.take(&sine(level, offset), 48_000);
        meter
    }

    #[test]
    fn a_peak_stays_for_two_seconds() {
        let mut meter = metered(0.5, 0.0);
        // The peak of a sine of half of full scale is 6.02 dB below it.
        assert!((meter.dbfs(meter.held_v) + 6.0206).abs() < 1e-3);
        for _ in 0..19 {
            meter.take(&[0.0; 4800], 48_000);
            assert!(meter.held_v > 0.49);
        }
        for _ in 0..2 {
            meter.take(&[0.0; 4800], 48_000);
        }
        assert_eq!(meter.held_v, 0.0);
    }

    #[test]
    fn clipping_is_told_while_it_is_recent() {
        let mut meter = metered(0.5, 0.0);
        assert!(!meter.clipping);
        meter.take(&[1.0; 480], 48_000);
        assert!(meter.clipping && meter.clipped == 480);
        for _ in 0..21 {
            meter.take(&sine(0.5, 0.0), 48_000);
        }
        assert!(!meter.clipping && meter.clipped == 480);
    }

    #[test]
    fn the_hint_says_which_way_to_turn() {
        let mut bench = Bench::default();
        bench.squarer.hysteresis_v = 0.1;
        let hint = |meter: &Meter, bench: &Bench| meter.hint(bench).unwrap_or_default();
        assert_eq!(hint(&metered(0.5, 0.0), &bench), "");
        assert!(hint(&metered(0.06, 0.0), &bench).contains("turn the player up"));
        assert!(hint(&metered(2.0, 0.0), &bench).contains("turn the player down"));
        assert!(hint(&metered(0.0, 0.0), &bench).contains("Nothing comes in"));
        // An offset takes the signal away from the reference, and the coupling takes it away.
        assert!(hint(&metered(0.2, 0.3), &bench).contains("turn the player up"));
        bench.input.high_pass_hz = 10.0;
        assert_eq!(hint(&metered(0.2, 0.3), &bench), "");
    }
}
