//! Worn tapes for the measurements.

use crate::python::Bench;
use pulsewright::settings::{TapeSettings, WearSettings};
use pulsewright::tape::{Content, Tape, Tone, make};

/// Length of a worn tone in seconds.
pub const LENGTH_S: f64 = 20.0;

/// A steady tone of peak 0.5 V, at 48 kHz, worn.
pub fn tone(tone_hz: f64, change: impl Fn(&mut WearSettings)) -> Tape {
    lasting(LENGTH_S, 48_000, tone_hz, change)
}

/// The same of another length and at another sample rate.
pub fn lasting(
    length_s: f64,
    sample_rate_hz: u32,
    tone_hz: f64,
    change: impl Fn(&mut WearSettings),
) -> Tape {
    let tape = TapeSettings {
        mark_hz: tone_hz,
        sample_rate_hz,
        ..Default::default()
    };
    let mut wear = WearSettings::default();
    change(&mut wear);
    let tone = Tone::Steady {
        mark: true,
        loops: false,
    };
    make(&Content::Tone { tone, length_s }, &tape, &wear)
}

/// What a script measures on the samples.
pub fn measured(script: &str, tape: &Tape, arguments: &[f64]) -> Vec<f64> {
    measured_against(script, tape, None, arguments)
}

/// What a script measures on the samples in `x.f32`, with those of another tape in `clean.f32`.
pub fn measured_against(
    script: &str,
    tape: &Tape,
    clean: Option<&Tape>,
    arguments: &[f64],
) -> Vec<f64> {
    let bench = Bench::new();
    bench.put_samples("x.f32", &tape.recording.samples());
    if let Some(clean) = clean {
        bench.put_samples("clean.f32", &clean.recording.samples());
    }
    let rate_hz = f64::from(tape.recording.rate_hz());
    bench.run(script, &[&[rate_hz], arguments].concat());
    bench.numbers("measured.f64")
}

/// Checks that a measured value is the one asked for.
#[track_caller]
pub fn is(what: &str, measured: f64, asked: f64, within: f64) {
    assert!(
        (measured - asked).abs() <= within,
        "{what}: {measured}, asked for {asked} within {within}"
    );
}
