//! The whole chain, from samples to bytes, against the circuit written once more in numpy and
//! scipy, on a tape with noise and an offset.

use crate::python::{Bench as Folder, greatest_difference, noise};
use pulsewright::settings::{Bench, Preset, TapeSettings};
use pulsewright::signal::{Chain, Edges, Recording};
use pulsewright::tape;

const TEXT: &[u8] = b"SALTMERE HARBOUR 12 0340 +1.86M (INVENTED)\r\n";

fn bench(preset: &str) -> Bench {
    let mut bench = Bench::default();
    Preset::named(preset).unwrap().apply(&mut bench);
    bench.input.high_pass_hz = 100.0;
    bench.input.low_pass_hz = 6000.0;
    bench.squarer.hysteresis_v = 0.2;
    (bench.tape.leader_s, bench.tape.trailer_s) = (0.5, 0.1);
    bench
}

/// The text on a tape that runs 2 % fast, with 40 mV of noise on an offset of 0.2 V.
fn worn(settings: &TapeSettings) -> Recording {
    let tape = tape::record(
        TEXT,
        &TapeSettings {
            rate_bd: settings.rate_bd * 1.02,
            mark_hz: settings.mark_hz * 1.02,
            space_hz: settings.space_hz * 1.02,
            ..*settings
        },
    );
    let noise = noise(tape.samples().len());
    let samples = tape.samples();
    let samples = samples.iter().zip(noise);
    let samples = samples.map(|(v, n)| v + 0.04 * n + 0.2).collect();
    Recording::new(samples, tape.rate_hz())
}

fn times_s(edges: &Edges, rising: bool) -> Vec<f64> {
    let wanted = (0..edges.len()).filter(|&i| edges.rises(i) == rising);
    wanted.map(|i| edges.times_s()[i]).collect()
}

fn compare(bench: &Bench) {
    let recording = worn(&bench.tape);
    let traces = Chain::read(bench, &recording);

    let folder = Folder::new();
    folder.put_samples("x.f32", &recording.samples());
    folder.run(
        "chain.py",
        &[
            f64::from(recording.rate_hz()),
            bench.input.high_pass_hz,
            bench.input.low_pass_hz,
            bench.squarer.hysteresis_v,
            bench.short.width_s,
            bench.long.width_s,
            bench.framer.rate_bd,
        ],
    );
    // The samples between the stages are f32: 1e-7 V at a slope of some 1e3 V/s.
    for (file, rising) in [("falls.f64", false), ("rises.f64", true)] {
        let ours_s = times_s(&traces.long, rising);
        assert!(ours_s.len() > 50);
        let difference = greatest_difference(&ours_s, &folder.numbers(file));
        assert!(difference < 1e-9, "{file}: {difference} s");
    }
    assert_eq!(traces.bytes(), folder.bytes("values.bin"));
    assert_eq!(traces.bytes(), TEXT);
}

#[test]
fn at_300_bd_the_line_and_the_bytes_are_alike() {
    compare(&bench("300bd"));
}

#[test]
fn at_1200_bd_the_line_and_the_bytes_are_alike() {
    compare(&bench("1200bd"));
}
