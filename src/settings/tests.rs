//! The table as a whole, and what its knobs take.

use super::*;

#[test]
fn every_default_lies_in_its_range_and_reads_back() {
    for knob in KNOBS {
        let text = knob.show(knob.default());
        assert_eq!(
            knob.parse(&text, &Bench::default()),
            Ok(knob.default()),
            "{}",
            knob.id()
        );
        assert!(knob.help.ends_with('.') && !knob.takes().is_empty());
    }
}

#[test]
fn ids_are_unique_and_stages_stand_in_signal_order() {
    let ids: std::collections::HashSet<_> = KNOBS.iter().map(Knob::id).collect();
    assert_eq!(ids.len(), KNOBS.len());
    let stages: Vec<_> = STAGES.iter().map(|s| s.0).collect();
    assert_eq!(
        stages,
        [
            "source", "input", "squarer", "short", "long", "framer", "tape", "wear"
        ]
    );
}

#[test]
fn values_are_taken_as_people_write_them() {
    let mut bench = Bench::default();
    for (id, text) in [
        ("source-channel", "2"),
        ("squarer-hysteresis", "200mV"),
        ("short-width", "635.6us"),
        ("long-width", "2.3156ms"),
        ("input-high-pass", "16Hz"),
        ("framer-parity", "Even"),
        ("framer-stop-bits", "1.5"),
        ("framer-clock", "16"),
    ] {
        knob(id).unwrap().set_text(&mut bench, text).unwrap();
    }
    assert_eq!(bench.source.channel, Channel::One(2));
    assert_eq!(bench.squarer.hysteresis_v, 0.2);
    assert_eq!(bench.short.width_s, 635.6e-6);
    assert_eq!(bench.framer.parity, Parity::Even);
    assert_eq!(bench.framer.stop_bits, StopBits::OneAndHalf);
    assert_eq!(bench.differences(&Bench::default()).len(), 8);
    knob("source-channel")
        .unwrap()
        .set_text(&mut bench, "difference")
        .unwrap();
    assert_eq!(bench.source.channel, Channel::Difference);
}

#[test]
fn a_value_that_does_not_fit_is_refused_with_a_sentence() {
    let mut bench = Bench::default();
    for (id, text, says) in [
        ("short-width", "2s", "1 µs to 100 ms"),
        ("short-width", "wide", "589us"),
        ("framer-data-bits", "9", "5 to 8"),
        ("framer-parity", "perhaps", "none, even, odd, mark or space"),
        ("source-channel", "0", "sum or difference"),
        ("input-high-pass", "0", "or off"),
    ] {
        let err = knob(id)
            .unwrap()
            .set_text(&mut bench, text)
            .unwrap_err()
            .to_string();
        assert!(err.starts_with(id) && err.contains(says), "{err}");
    }
    assert_eq!(bench, Bench::default());
}

#[test]
fn a_unit_that_is_missing_is_guessed() {
    for (id, text, says) in [
        (
            "short-width",
            "589",
            "is 589 s, which is out of range; it takes 1 µs to 100 ms. Did you mean 589us?",
        ),
        ("short-width", "0,6", "Did you mean 0,6ms?"),
        ("long-width", "2", "Did you mean 2ms?"),
        ("squarer-hysteresis", "200", "Did you mean 200mV?"),
        ("input-low-pass", "5", "Did you mean 5kHz?"),
    ] {
        let err = knob(id)
            .unwrap()
            .parse(text, &Bench::default())
            .unwrap_err()
            .to_string();
        assert!(err.contains(says), "{err}");
    }
    for (id, text) in [
        ("short-width", "589s"),
        ("short-width", "1e20"),
        ("wear-wow", "50"),
    ] {
        let err = knob(id)
            .unwrap()
            .parse(text, &Bench::default())
            .unwrap_err()
            .to_string();
        assert!(
            err.contains("is out of range; it takes") && err.ends_with('.'),
            "{err}"
        );
    }
}

#[test]
fn a_slider_cannot_leave_the_range() {
    let mut bench = Bench::default();
    let width = knob("short-width").unwrap();
    width.set_clamped(&mut bench, 7.0);
    assert_eq!(bench.short.width_s, 0.1);
    width.set_clamped(&mut bench, f64::NAN);
    assert_eq!(bench.short.width_s, 589e-6);
    knob("input-high-pass")
        .unwrap()
        .set_clamped(&mut bench, 0.0);
    assert_eq!(bench.input.high_pass_hz, 0.0);
}

#[test]
fn gain_level_and_rate_are_taken_in_the_units_that_people_use() {
    let mut bench = Bench::default();
    for (id, text) in [
        ("input-gain", "20dB"),
        ("source-full-scale", "2V"),
        ("tape-level", "-20dB"),
        ("tape-sample-rate", "44.1k"),
        ("tape-leader", "1:30"),
    ] {
        knob(id).unwrap().set_text(&mut bench, text).unwrap();
    }
    assert_eq!(bench.input.gain, 10.0);
    // A tenth of full scale.
    assert_eq!(bench.tape.level_v, 0.2);
    assert_eq!(bench.tape.sample_rate_hz, 44_100);
    assert_eq!(bench.tape.leader_s, 90.0);
    for (id, text, says) in [
        ("input-gain", "100dB", "0.001 to 1000"),
        ("tape-level", "-90dB", "1 mV to 100 V"),
        ("tape-sample-rate", "4k", "8 kHz to 384 kHz"),
        ("framer-data-bits", "7.5", "not a whole number"),
        ("framer-data-bits", "many", "not a whole number"),
        ("wear-clicks", "6dB", "clicks"),
    ] {
        let err = knob(id).unwrap().set_text(&mut bench, text).unwrap_err();
        assert!(err.to_string().contains(says), "{err}");
    }
}
