//! How the tape moves past the head.

use super::unsteady::Unsteady;
use crate::settings::WearSettings;
use crate::tape::Random;
use std::f64::consts::TAU;

/// The motion of the tape: speed = (1 + error) (1 + wow + flutter + random), in the unit of the
/// speed at which it was recorded. The position is the exact integral of that, so nothing drifts.
#[derive(Clone, Debug, PartialEq)]
pub struct Motion {
    speed: f64,
    wow: Swing,
    flutter: Swing,
    unsteady: Unsteady,
    steady: bool,
}

/// A sinusoidal variation of speed.
#[derive(Clone, Copy, Debug, PartialEq)]
struct Swing {
    depth: f64,
    rate_hz: f64,
    phase_rad: f64,
}

impl Swing {
    fn new(percent: f64, rate_hz: f64, random: &mut Random) -> Self {
        Self {
            depth: percent / 100.0,
            rate_hz,
            phase_rad: TAU * random.uniform(),
        }
    }

    /// How far the tape is ahead at a time because of it, in seconds.
    fn ahead_s(&self, at_s: f64) -> f64 {
        if self.depth == 0.0 {
            return 0.0;
        }
        let omega = TAU * self.rate_hz;
        let turned = (omega * at_s + self.phase_rad).cos();
        self.depth / omega * (self.phase_rad.cos() - turned)
    }
}

impl Motion {
    /// The motion over a tape of `tape_s` seconds.
    pub fn new(wear: &WearSettings, tape_s: f64) -> Self {
        let speed = 1.0 + wear.speed_percent / 100.0;
        let random = |purpose| Random::new(wear.seed, purpose);
        let still = wear.wow_percent == 0.0 && wear.flutter_percent == 0.0;
        Self {
            speed,
            wow: Swing::new(wear.wow_percent, wear.wow_hz, &mut random("wow")),
            flutter: Swing::new(
                wear.flutter_percent,
                wear.flutter_hz,
                &mut random("flutter"),
            ),
            unsteady: Unsteady::new(
                wear.unsteady_percent / 100.0,
                wear.unsteady_hz,
                tape_s / speed,
                &mut random("unsteady"),
            ),
            steady: still && wear.unsteady_percent == 0.0 && wear.speed_percent == 0.0,
        }
    }

    /// Whether the tape moves as it was recorded.
    pub fn is_steady(&self) -> bool {
        self.steady
    }

    /// Which second of the tape is at the head after `at_s` seconds of playing.
    pub fn tape_s(&self, at_s: f64) -> f64 {
        let ahead_s = self.wow.ahead_s(at_s) + self.flutter.ahead_s(at_s);
        self.speed * (at_s + ahead_s + self.unsteady.ahead_s(at_s))
    }

    /// When a second of the tape is played: the inverse of [`Self::tape_s`].
    pub fn played_s(&self, tape_s: f64) -> f64 {
        if self.steady {
            return tape_s;
        }
        let mut at_s = tape_s / self.speed;
        // The variations stay below 60 %, so that every round leaves less than 60 % of the error.
        for _ in 0..100 {
            let step_s = (tape_s - self.tape_s(at_s)) / self.speed;
            at_s += step_s;
            if step_s.abs() < 1e-12 {
                break;
            }
        }
        at_s
    }

    /// How many samples are played of so many on the tape.
    pub fn played_count(&self, count: usize, rate_hz: f64) -> usize {
        let length_s = self.played_s(count as f64 / rate_hz);
        // The slack keeps rounding from adding a sample.
        (length_s * rate_hz - 1e-6).ceil().max(0.0) as usize
    }

    /// The greatest speed there can be.
    pub fn greatest(&self) -> f64 {
        self.speed * (1.0 + self.wow.depth + self.flutter.depth + self.unsteady.depth())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn rough() -> Motion {
        let wear = WearSettings {
            speed_percent: -3.0,
            wow_percent: 20.0,
            flutter_percent: 20.0,
            unsteady_percent: 20.0,
            ..Default::default()
        };
        Motion::new(&wear, 30.0)
    }

    #[test]
    fn playing_and_the_tape_are_inverse() {
        let motion = rough();
        for i in 0..300 {
            let tape_s = f64::from(i) * 0.1;
            let back_s = motion.tape_s(motion.played_s(tape_s));
            assert!((back_s - tape_s).abs() < 1e-11);
        }
    }

    #[test]
    fn the_speed_stays_within_its_bounds() {
        let (motion, step_s) = (rough(), 1e-4);
        for i in 0..300_000 {
            let at_s = f64::from(i) * step_s;
            let speed = (motion.tape_s(at_s + step_s) - motion.tape_s(at_s)) / step_s;
            assert!((0.97 * 0.4..=motion.greatest()).contains(&speed), "{speed}");
        }
    }

    #[test]
    fn without_wear_nothing_moves() {
        let motion = Motion::new(&WearSettings::default(), 10.0);
        assert!(motion.is_steady());
        assert_eq!(motion.played_s(1.234_567), 1.234_567);
    }
}
