//! Noise: its power against that of the signal, and its density by `scipy.signal.welch`.

use crate::worn::{LENGTH_S, is, lasting, measured_against};
use pulsewright::settings::WearSettings;

struct Noise {
    snr_db: f64,
    slope_db_per_decade: f64,
    off_db: f64,
    eb_n0_db: f64,
    normal: f64,
    /// Eb/N0 as the tape maker reports it.
    told_db: Option<f64>,
}

fn noise(sample_rate_hz: u32, change: impl Fn(&mut WearSettings)) -> Noise {
    let clean = lasting(LENGTH_S, sample_rate_hz, 2400.0, |_| {});
    let tape = lasting(LENGTH_S, sample_rate_hz, 2400.0, change);
    let found = measured_against("wear_noise.py", &tape, Some(&clean), &[300.0]);
    Noise {
        snr_db: found[0],
        slope_db_per_decade: found[1],
        off_db: found[2],
        eb_n0_db: found[3],
        normal: found[4],
        told_db: tape.truth.applied.noise.and_then(|n| n.eb_n0_db),
    }
}

/// Eb/N0: the energy of a bit is the power over the bit rate, N0 the measured density (Proakis,
/// Digital Communications; from memory). It is known as exactly as 480 000 numbers tell it.
#[test]
fn white_noise_has_its_ratio_and_no_slope() {
    for (sample_rate_hz, ratio_db) in [(48_000, 20.0), (22_050, -3.0), (192_000, 6.0)] {
        let found = noise(sample_rate_hz, |w| w.white_noise_db = ratio_db);
        is("signal to noise", found.snr_db, ratio_db, 1e-3);
        is("slope", found.slope_db_per_decade, 0.0, 0.15);
        assert!(found.off_db < 0.6, "{} dB", found.off_db);
        is("Eb/N0", found.told_db.unwrap(), found.eb_n0_db, 0.05);
        assert!(found.normal > 0.01, "not normal: {}", found.normal);
    }
}

#[test]
fn pink_noise_has_its_ratio_and_falls_by_10_db_a_decade() {
    for (sample_rate_hz, ratio_db) in [(48_000, 20.0), (22_050, 0.0), (192_000, 10.0)] {
        let found = noise(sample_rate_hz, |w| w.pink_noise_db = ratio_db);
        is("signal to noise", found.snr_db, ratio_db, 1e-3);
        is("slope", found.slope_db_per_decade, -10.0, 0.3);
        assert!(found.off_db < 1.0, "{} dB", found.off_db);
        assert!(found.told_db.is_none());
    }
}

#[test]
fn both_together_add_their_powers() {
    let found = noise(48_000, |w| {
        (w.white_noise_db, w.pink_noise_db) = (10.0, 10.0);
    });
    is(
        "signal to noise",
        found.snr_db,
        10.0 - 10.0 * 2f64.log10(),
        0.02,
    );
}
