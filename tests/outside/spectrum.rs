//! The spectrum against scipy's.

use crate::python::{Bench, greatest_difference, noise};
use pulsewright::settings::TapeSettings;
use pulsewright::signal::Recording;
use pulsewright::study::spectrum;
use pulsewright::tape;

/// Levels in decibels, ours and scipy's, of samples that whole segments overlapping by half cover.
fn both(samples: &[f32], rate_hz: u32) -> (Vec<f64>, Vec<f64>) {
    let bench = Bench::new();
    bench.put_samples("x.f32", samples);
    bench.run("spectrum.py", &[f64::from(rate_hz)]);
    let recording = Recording::new(samples.to_vec(), rate_hz);
    let ours = spectrum(&recording, 0..samples.len()).unwrap();
    (ours.levels_db, bench.numbers("levels.f64"))
}

#[test]
fn noise_on_an_offset_has_their_level_in_every_line() {
    for count in [64, 1024, 8192, 8192 + 4096, 8192 * 9] {
        let samples: Vec<f32> = noise(count).map(|v| 0.3 * v + 0.1).collect();
        let (ours, theirs) = both(&samples, 48_000);
        let difference_db = greatest_difference(&ours, &theirs);
        assert!(difference_db < 0.01, "{count}: {difference_db} dB");
    }
}

/// Down to the depth that single precision has.
#[test]
fn a_tape_has_their_spectrum() {
    let settings = TapeSettings {
        leader_s: 0.1,
        ..Default::default()
    };
    let tape = tape::record(b"SALTMERE 06:40  3.2 M", &settings);
    let samples = &tape.samples()[..8192 * 5];
    let (ours, theirs) = both(samples, 48_000);
    let strong = |levels: &[f64]| levels.iter().map(|db| db.max(-100.0)).collect::<Vec<_>>();
    let difference_db = greatest_difference(&strong(&ours), &strong(&theirs));
    assert!(difference_db < 0.01, "{difference_db} dB");
}
