//! The bundled recordings are what the tape maker makes, and read as the bytes beside them.

#[allow(dead_code)]
#[path = "../examples/make_samples.rs"]
mod make_samples;

use pulsewright::settings::{Bench, Preset};
use pulsewright::signal::{Chain, Recording};
use std::path::PathBuf;

fn bundled(name: &str, extension: &str) -> PathBuf {
    let folder = PathBuf::from(concat!(env!("CARGO_MANIFEST_DIR"), "/sample-audio"));
    folder.join(name).with_extension(extension)
}

/// The 16-bit samples of a bundled recording, and its rate.
fn read_wav(name: &str) -> (Vec<i16>, u32) {
    let mut file = hound::WavReader::open(bundled(name, "wav")).unwrap();
    let spec = file.spec();
    assert_eq!((spec.channels, spec.bits_per_sample), (1, 16));
    let samples = file.samples().collect::<Result<_, _>>().unwrap();
    (samples, spec.sample_rate)
}

/// Sine functions of different platforms may differ in the last place, so that a sample may be
/// rounded the other way: one step of 16 bits is allowed.
#[test]
fn bundled_recordings_are_what_the_maker_makes() {
    for sample in make_samples::samples() {
        let (samples, rate_hz) = read_wav(sample.name);
        let recording = sample.record();
        assert_eq!(rate_hz, recording.rate_hz());
        assert_eq!(samples.len(), recording.samples().len(), "{}", sample.name);
        for (&stored, &made) in samples.iter().zip(&*recording.samples()) {
            assert!((f32::from(stored) - made * 32_768.0).abs() <= 1.0);
        }
        let bytes = std::fs::read(bundled(sample.name, "bin")).unwrap();
        assert_eq!(bytes, sample.bytes);
    }
}

#[test]
fn bundled_recordings_read_as_the_bytes_beside_them() {
    for sample in make_samples::samples() {
        let mut bench = Bench::default();
        if sample.tape.rate_bd == 1200.0 {
            Preset::named("1200bd").unwrap().apply(&mut bench);
        }
        let (samples, rate_hz) = read_wav(sample.name);
        let volts = samples.iter().map(|&s| f32::from(s) / 32_768.0).collect();
        let traces = Chain::read(&bench, &Recording::new(volts, rate_hz));
        let bytes = std::fs::read(bundled(sample.name, "bin")).unwrap();
        assert_eq!(traces.bytes(), bytes, "{}", sample.name);
        assert!(traces.characters.iter().all(|c| !c.faults.any()));
        assert!(traces.false_starts_s.is_empty());
        for (i, c) in traces.characters.iter().enumerate() {
            let begins_s = sample.tape.leader_s + 11.0 * i as f64 / sample.tape.rate_bd;
            assert!((c.at_s - begins_s).abs() < 1e-5, "{i}: {}", c.at_s);
        }
    }
}
