//! Speed error, wow, flutter and random variation of speed, read from a demodulated tone of
//! 3150 Hz as AES6-2008 does; the reading is the plain, unweighted peak.

use crate::worn::{LENGTH_S, is, lasting, measured};
use pulsewright::settings::WearSettings;
use pulsewright::tape::Tape;

/// The tone of AES6-2008.
const TONE_HZ: f64 = 3150.0;

/// Length of a tone of which only the speed is looked at, in seconds.
const SHORT_S: f64 = 5.0;

/// The tone for a short time, at a speed that does not vary.
fn short(percent: f64) -> Tape {
    lasting(SHORT_S, 48_000, TONE_HZ, |w| w.speed_percent = percent)
}

struct Flutter {
    speed: f64,
    swing: f64,
    greatest: f64,
    rate_hz: f64,
    in_band: f64,
}

fn flutter(band_hz: f64, change: impl Fn(&mut WearSettings)) -> Flutter {
    flutter_of(&lasting(LENGTH_S, 16_000, TONE_HZ, change), band_hz)
}

fn flutter_of(tape: &Tape, band_hz: f64) -> Flutter {
    let found = measured("wear_speed.py", tape, &[TONE_HZ, band_hz]);
    Flutter {
        speed: found[0],
        swing: found[1],
        greatest: found[2],
        rate_hz: found[3],
        in_band: found[4],
    }
}

#[test]
fn the_mean_speed_is_the_one_asked_for() {
    for percent in [-20.0, -1.5, 0.3, 1.5, 4.0, 30.0] {
        let found = flutter_of(&short(percent), 10.0);
        is("speed", found.speed, 1.0 + percent / 100.0, 1e-6);
        assert!(found.greatest < 1e-5, "{}", found.greatest);
    }
}

#[test]
fn a_tape_that_plays_fast_is_over_sooner() {
    let length_s = short(25.0).recording.duration_s();
    is("length", length_s, SHORT_S / 1.25, 1.0 / 48_000.0);
}

#[test]
fn wow_and_flutter_have_their_depths_and_rates() {
    for (percent, rate_hz) in [(0.2, 0.8), (3.0, 2.0), (1.0, 5.0)] {
        let found = flutter(rate_hz, |w| (w.wow_percent, w.wow_hz) = (percent, rate_hz));
        is("wow", found.swing * 100.0, percent, 0.01 * percent);
        is("wow rate", found.rate_hz, rate_hz, 0.06);
    }
    for (percent, rate_hz) in [(0.1, 12.0), (2.0, 50.0)] {
        let found = flutter(rate_hz, |w| {
            (w.flutter_percent, w.flutter_hz) = (percent, rate_hz);
        });
        is("flutter", found.swing * 100.0, percent, 0.01 * percent);
        is("flutter rate", found.rate_hz, rate_hz, 0.06);
        is("speed", found.speed, 1.0, 1e-4);
    }
}

#[test]
fn random_variation_has_its_peak_and_stays_in_its_band() {
    for (percent, band_hz) in [(1.0, 8.0), (0.3, 2.0), (5.0, 20.0)] {
        let found = flutter(band_hz, |w| {
            (w.unsteady_percent, w.unsteady_hz) = (percent, band_hz);
        });
        is("peak", found.greatest * 100.0, percent, 0.02 * percent);
        is("speed", found.speed, 1.0, 2e-4);
        assert!(found.in_band > 0.9, "{}", found.in_band);
    }
}

/// What the interpolation adds lies far below what 16 bits add.
#[test]
fn a_tone_at_another_speed_has_nothing_beside_it() {
    for percent in [-10.0, 1.0, 7.3] {
        let tape = short(percent);
        // Without the ends, where the tone begins and breaks off.
        let samples = &tape.recording.samples()[480..][..192_000];
        let bench = crate::python::Bench::new();
        bench.put_samples("x.f32", samples);
        bench.run("tones.py", &[48_000.0]);
        let beside_db = bench.numbers("tone.f64")[1];
        assert!(beside_db < -90.0, "{beside_db} dB");
    }
}
