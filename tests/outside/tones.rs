//! The tape maker's tones against numpy's Fourier transform.

use crate::python::Bench;
use pulsewright::settings::TapeSettings;
use pulsewright::tape;

/// Frequency in hertz, and power beside the tone in decibels relative to it.
fn measured(bytes: &[u8], settings: &TapeSettings) -> (f64, f64) {
    let tape = tape::record(bytes, settings);
    let bench = Bench::new();
    bench.put_samples("x.f32", &tape.samples());
    bench.run("tones.py", &[f64::from(tape.rate_hz())]);
    let tone = bench.numbers("tone.f64");
    (tone[0], tone[1])
}

#[test]
fn a_leader_has_the_frequency_of_mark_and_nothing_beside_it() {
    for (sample_rate_hz, mark_hz) in [
        (48_000, 2400.0),
        (48_000, 1200.0),
        (44_100, 2448.0),
        (96_000, 1176.7),
        (11_025, 2345.6),
    ] {
        let settings = TapeSettings {
            sample_rate_hz,
            mark_hz,
            leader_s: 2.0,
            trailer_s: 0.0,
            ..Default::default()
        };
        let (tone_hz, beside_db) = measured(&[], &settings);
        assert!((tone_hz - mark_hz).abs() < 0.01, "{tone_hz} Hz");
        assert!(beside_db < -80.0, "{beside_db} dB");
    }
}

/// With both tones alike, bits cannot be seen: a phase that jumped where a bit ends between two
/// samples would put power beside the tone.
#[test]
fn bits_that_end_between_samples_leave_the_phase_alone() {
    let settings = TapeSettings {
        sample_rate_hz: 44_100,
        rate_bd: 1234.5,
        mark_hz: 1777.7,
        space_hz: 1777.7,
        leader_s: 0.1,
        trailer_s: 0.1,
        ..Default::default()
    };
    let (tone_hz, beside_db) = measured(&[0x55; 100], &settings);
    assert!((tone_hz - 1777.7).abs() < 0.01, "{tone_hz} Hz");
    assert!(beside_db < -80.0, "{beside_db} dB");
}
