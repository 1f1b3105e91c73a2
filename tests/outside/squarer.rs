//! Edge times against numpy.

use crate::python::{Bench, greatest_difference, noise};
use pulsewright::settings::{SquarerSettings, TapeSettings};
use pulsewright::signal::{Edges, Squarer};
use pulsewright::tape;

/// Compares the edges of both to a nanosecond, and gives their number.
fn compare(samples: &[f32], rate_hz: u32, reference_v: f64, hysteresis_v: f64) -> usize {
    let settings = SquarerSettings {
        reference_v,
        hysteresis_v,
    };
    let mut squarer = Squarer::new(&settings, rate_hz);
    let mut edges = Edges::resting(false);
    squarer.run(samples, &mut edges);

    let bench = Bench::new();
    bench.put_samples("x.f32", samples);
    let levels = [
        reference_v + hysteresis_v / 2.0,
        reference_v - hysteresis_v / 2.0,
    ];
    bench.run("squarer.py", &[f64::from(rate_hz), levels[0], levels[1]]);
    let difference = greatest_difference(edges.times_s(), &bench.numbers("edges.f64"));
    assert!(difference < 1e-9, "{difference} s");
    edges.len()
}

#[test]
fn edges_of_noise_lie_alike() {
    let samples: Vec<f32> = noise(50_000).collect();
    for (reference_v, hysteresis_v) in [(0.0, 0.0), (0.0, 0.5), (0.3, 0.1), (-0.4, 1.0)] {
        for rate_hz in [8000, 48_000] {
            let count = compare(&samples, rate_hz, reference_v, hysteresis_v);
            assert!(count > 4000, "{count} edges");
        }
    }
}

#[test]
fn edges_of_a_noisy_tape_lie_alike() {
    let settings = TapeSettings {
        leader_s: 0.1,
        trailer_s: 0.1,
        ..Default::default()
    };
    let tape = tape::record(b"SALTMERE", &settings);
    let noise = noise(tape.samples().len());
    let samples: Vec<f32> = tape
        .samples()
        .iter()
        .zip(noise)
        .map(|(v, n)| v + 0.1 * n)
        .collect();
    for (reference_v, hysteresis_v) in [(0.0, 0.05), (0.1, 0.3)] {
        let count = compare(&samples, 48_000, reference_v, hysteresis_v);
        assert!(count > 1000, "{count} edges");
    }
}
