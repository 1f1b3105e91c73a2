//! The input network against the same sums in numpy and scipy, and against analog networks.

use crate::python::{Bench, greatest_difference, noise};
use pulsewright::settings::{InputSettings, TapeSettings};
use pulsewright::signal::InputNetwork;
use pulsewright::tape;

/// Compares both on `samples`, which lie within 1 V, to a rounding of the f32 output.
fn compare(samples: &[f32], rate_hz: u32, high_pass_hz: f64, low_pass_hz: f64) {
    let settings = InputSettings {
        high_pass_hz,
        low_pass_hz,
        ..Default::default()
    };
    let ours = InputNetwork::whole(&settings, samples, rate_hz);
    let ours: Vec<f64> = ours.into_iter().map(f64::from).collect();

    let bench = Bench::new();
    bench.put_samples("x.f32", samples);
    bench.run(
        "input_network.py",
        &[f64::from(rate_hz), high_pass_hz, low_pass_hz],
    );
    let difference = greatest_difference(&ours, &bench.numbers("y.f64"));
    assert!(difference < 1.2e-7, "{rate_hz} Hz: {difference} V");
}

const CORNERS_HZ: [(f64, f64); 4] = [(16.0, 0.0), (0.0, 5000.0), (159.2, 3400.0), (800.0, 80.0)];

#[test]
fn noise_is_filtered_alike() {
    let samples: Vec<f32> = noise(20_000).collect();
    for rate_hz in [8000, 44_100, 192_000] {
        for (high_pass_hz, low_pass_hz) in CORNERS_HZ {
            compare(&samples, rate_hz, high_pass_hz, low_pass_hz);
        }
    }
}

#[test]
fn tones_are_filtered_alike() {
    for sample_rate_hz in [11_025, 48_000] {
        let settings = TapeSettings {
            sample_rate_hz,
            leader_s: 0.05,
            trailer_s: 0.05,
            ..Default::default()
        };
        let tape = tape::record(b"tide", &settings);
        for (high_pass_hz, low_pass_hz) in CORNERS_HZ {
            compare(&tape.samples(), sample_rate_hz, high_pass_hz, low_pass_hz);
        }
    }
}

/// The networks are those of the analog circuit within 2 mV of noise with peaks of 0.87 V.
/// With straight lines between the samples, low-passes are off by 4 mV at 192 kHz and by 80 mV at
/// 8 kHz.
#[test]
fn band_limited_noise_is_filtered_as_the_analog_circuit_does() {
    for rate_hz in [8000, 11_025, 22_050, 44_100, 192_000] {
        for (high_pass_hz, low_pass_hz) in [(16.0, 0.0), (0.0, 1200.0), (159.2, 3400.0)] {
            let settings = InputSettings {
                high_pass_hz,
                low_pass_hz,
                ..Default::default()
            };
            let bench = Bench::new();
            bench.run(
                "analog.py",
                &[f64::from(rate_hz), high_pass_hz, low_pass_hz],
            );
            let bytes = bench.bytes("x.f32");
            let samples = bytes.chunks_exact(4);
            let samples = samples.map(|b| f32::from_le_bytes(b.try_into().unwrap()));
            let ours = InputNetwork::whole(&settings, &samples.collect::<Vec<_>>(), rate_hz);
            let ours: Vec<f64> = ours.into_iter().map(f64::from).collect();
            let difference = greatest_difference(&ours, &bench.numbers("y.f64"));
            assert!(
                difference < 2e-3,
                "{rate_hz} Hz, {high_pass_hz}, {low_pass_hz}: {difference} V"
            );
        }
    }
}
