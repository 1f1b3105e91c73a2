//! Hum, offset, drop-outs, clicks, saturation, azimuth and band limit, measured with numpy and
//! scipy on the tape that they were asked for on.

use crate::worn::{is, lasting, measured, measured_against, tone};
use pulsewright::settings::{Sense, WearSettings};

/// The tone's own peak.
const LEVEL_V: f64 = 0.5;

#[test]
fn hum_and_offset_have_their_levels() {
    for (hum_v, hum_hz, offset_v) in [(0.05, 50.0, 0.1), (0.3, 60.0, -0.25)] {
        let tape = tone(2400.0, |w| {
            (w.hum_v, w.hum_hz, w.offset_v) = (hum_v, hum_hz, offset_v);
        });
        let found = measured("wear_levels.py", &tape, &[2400.0, hum_hz]);
        is("offset", found[0], offset_v, 1e-6);
        is("tone", found[4], LEVEL_V, 1e-5);
        is("hum", found[5], hum_v, 1e-5);
    }
}

#[test]
fn drop_outs_have_their_count_depth_and_length() {
    for (per_min, depth_db, length_s) in [(30.0, 20.0, 0.05), (90.0, 6.0, 0.01), (3.0, 40.0, 1.0)] {
        let tape = tone(2400.0, |w| {
            w.drop_outs_per_min = per_min;
            (w.drop_out_depth_db, w.drop_out_length_s) = (depth_db, length_s);
        });
        let found = measured("wear_levels.py", &tape, &[]);
        let count = per_min * crate::worn::LENGTH_S / 60.0;
        is("depth", -20.0 * found[1].log10(), depth_db, 0.1);
        is("count", found[2], count, 0.0);
        is(
            "told",
            tape.truth.applied.drop_outs_s.len() as f64,
            count,
            0.0,
        );
        // A tenth of the length on both sides lies on the flanks, half of that below half depth.
        is("length", found[3], 0.9 * length_s, 0.02 * length_s);
    }
}

#[test]
fn clicks_have_their_count_times_and_peaks() {
    let clean = tone(2400.0, |_| {});
    let tape = tone(2400.0, |w| (w.clicks_per_min, w.click_v) = (45.0, 0.2));
    let found = measured_against("wear_clicks.py", &tape, Some(&clean), &[]);
    let told_s = &tape.truth.applied.clicks_s;
    assert_eq!(told_s.len(), 15);
    let (times_s, peaks_v) = found.split_at(15);
    for ((time_s, peak_v), told_s) in times_s.iter().zip(peaks_v).zip(told_s) {
        is("time", *time_s, *told_s, 1e-9);
        is("peak", *peak_v, 0.2, 1e-6);
    }
}

/// At 192 kHz the harmonics that fold back are too small to be seen.
#[test]
fn saturation_makes_the_harmonics_of_its_curve() {
    for drive_db in [0.0, 6.0, 12.0] {
        let tape = lasting(2.0, 192_000, 1200.0, |w| w.saturation_db = drive_db);
        let found = measured("wear_levels.py", &tape, &[1200.0, 3600.0, 6000.0]);
        let drive = 10f64.powf(drive_db / 20.0);
        let wanted = measured("wear_harmonics.py", &tape, &[drive, LEVEL_V]);
        for (found, wanted) in found[4..].iter().zip(wanted) {
            is("harmonic", *found, wanted, 1e-5);
        }
    }
}

/// The loss at each of some frequencies against the formula.
fn compare_response(sample_rate_hz: u32, tilt_deg: f64, corner_hz: f64) {
    let most_hz = 0.4 * f64::from(sample_rate_hz);
    let tones_hz: Vec<_> = [300.0, 1200.0, 2400.0, 3200.0, 4400.0, 8800.0, 17_600.0]
        .into_iter()
        .filter(|hz| *hz <= most_hz)
        .collect();
    let wear = |w: &mut WearSettings| {
        (w.azimuth_deg, w.low_pass_hz) = (tilt_deg, corner_hz);
    };
    let arguments = [&[tilt_deg, corner_hz], &tones_hz[..]].concat();
    let clean = lasting(0.5, sample_rate_hz, 1200.0, |_| {});
    let wanted = measured("wear_response.py", &clean, &arguments);
    for (tone_hz, wanted) in tones_hz.into_iter().zip(wanted) {
        let tape = lasting(0.5, sample_rate_hz, tone_hz, wear);
        let peak_v = measured("wear_levels.py", &tape, &[tone_hz])[4];
        let (found_db, wanted_db) = (20.0 * (peak_v / LEVEL_V).log10(), 20.0 * wanted.log10());
        is(&format!("loss at {tone_hz} Hz"), found_db, wanted_db, 0.1);
    }
}

/// The formula of the textbooks on magnetic recording, track and speed of IEC 60094-1 (both from
/// memory).
#[test]
fn azimuth_loss_follows_its_formula() {
    compare_response(48_000, 0.1, 0.0);
    compare_response(44_100, 0.5, 0.0);
}

#[test]
fn the_band_limit_is_a_first_order_low_pass() {
    for sample_rate_hz in [8000, 11_025, 22_050, 44_100, 192_000] {
        compare_response(sample_rate_hz, 0.0, 1200.0);
        compare_response(sample_rate_hz, 0.0, 5000.0);
    }
}

#[test]
fn inverted_sense_turns_the_finished_tape_over() {
    let wear = |w: &mut WearSettings| (w.offset_v, w.hum_v) = (0.1, 0.05);
    let upright = tone(2400.0, wear);
    let inverted = tone(2400.0, |w| {
        wear(w);
        w.sense = Sense::Inverted;
    });
    let samples = upright.recording.samples();
    let pairs = samples.iter();
    assert!(
        pairs
            .zip(&*inverted.recording.samples())
            .all(|(a, b)| *a == -b)
    );
}
