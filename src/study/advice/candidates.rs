//! The changes that are tried from a given bench on.

use super::search::Found;
use crate::settings::{Bench, Channel, LongTrigger, PRESETS, Parity, Sense, StopBits, Trigger};

/// Corners of the high-pass, in hertz.
const HIGH_PASS_HZ: [f64; 6] = [20.0, 50.0, 100.0, 200.0, 500.0, 1000.0];
/// Corners of the low-pass, in hertz.
const LOW_PASS_HZ: [f64; 4] = [2000.0, 2500.0, 3500.0, 5000.0];
/// Both filters together, in hertz.
const BAND_HZ: [(f64, f64); 3] = [(200.0, 3500.0), (500.0, 3500.0), (500.0, 2500.0)];
/// An offset is worth a reference from this part of the tones' peak on.
const OFFSET: f64 = 0.05;
/// Hysteresis as a part of the tones' peak.
const HYSTERESIS: [f64; 6] = [0.2, 0.1, 0.4, 0.05, 0.7, 1.0];
/// High-pass that is tried together with another hysteresis, in hertz.
const WITH_HYSTERESIS_HZ: f64 = 500.0;
/// Short widths around the geometric mean of the cycles of both tones.
const SHORT: [f64; 3] = [1.0, 0.88, 1.12];
/// Long widths over a cycle of space; the first is that of the default.
const LONG: [f64; 3] = [1.32, 1.15, 1.6];
/// Rates against the present one.
const RATES: [f64; 10] = [0.88, 0.91, 0.94, 0.96, 0.98, 1.02, 1.04, 1.06, 1.08, 1.11];
/// Channels of a file that are tried one by one, at the most.
const CHANNELS: u32 = 4;

/// Every change that is worth a trial from `bench` on, small ones first.
pub(super) fn candidates(bench: &Bench, found: &Found) -> Vec<Bench> {
    let mut all = Vec::new();
    let mut with = |change: &dyn Fn(&mut Bench)| {
        let mut other = *bench;
        change(&mut other);
        if other != *bench {
            all.push(other);
        }
    };
    squarer(found, &mut with);
    filters(&mut with);
    one_shots(bench, found, &mut with);
    framer(bench, found, &mut with);
    source(found, &mut with);
    all
}

type With<'a> = dyn FnMut(&dyn Fn(&mut Bench)) + 'a;

fn squarer(found: &Found, with: &mut With<'_>) {
    if found.mean_v.abs() > OFFSET * found.peak_v {
        with(&|b| b.squarer.reference_v = digits(found.mean_v, 2));
    }
    with(&|b| b.squarer.reference_v = 0.0);
    for part in HYSTERESIS {
        let hysteresis_v = digits(part * found.peak_v, 2);
        with(&|b| b.squarer.hysteresis_v = hysteresis_v);
        with(&|b| {
            b.squarer.hysteresis_v = hysteresis_v;
            b.squarer.reference_v = 0.0;
            b.input.high_pass_hz = WITH_HYSTERESIS_HZ;
        });
    }
}

fn filters(with: &mut With<'_>) {
    for hz in HIGH_PASS_HZ {
        with(&|b| b.input.high_pass_hz = hz);
        // A high-pass takes the offset away that a reference made up for.
        with(&|b| (b.input.high_pass_hz, b.squarer.reference_v) = (hz, 0.0));
    }
    for hz in LOW_PASS_HZ {
        with(&|b| b.input.low_pass_hz = hz);
    }
    for (high_pass_hz, low_pass_hz) in BAND_HZ {
        with(&|b| (b.input.high_pass_hz, b.input.low_pass_hz) = (high_pass_hz, low_pass_hz));
    }
    with(&|b| (b.input.high_pass_hz, b.input.low_pass_hz) = (0.0, 0.0));
}

fn one_shots(bench: &Bench, found: &Found, with: &mut With<'_>) {
    let part = match bench.short.trigger {
        Trigger::Both => 0.5,
        Trigger::Rising | Trigger::Falling => 1.0,
    };
    let short_s = part * (found.mark_s * found.space_s).sqrt();
    let long_s = part * found.space_s;
    for factor in SHORT {
        with(&|b| b.short.width_s = digits(factor * short_s, 3));
    }
    for factor in LONG {
        with(&|b| b.long.width_s = digits(factor * long_s, 3));
        with(&|b| {
            b.short.width_s = digits(short_s, 3);
            b.long.width_s = digits(factor * long_s, 3);
        });
    }
    for trigger in [Trigger::Rising, Trigger::Falling] {
        with(&|b| {
            b.short.trigger = trigger;
            b.short.width_s = digits(short_s / part, 3);
        });
    }
    with(&|b| b.long.trigger = LongTrigger::TimeOut);
    with(&|b| b.input.sense = other(b.input.sense));
}

fn framer(bench: &Bench, found: &Found, with: &mut With<'_>) {
    with(&|b| b.framer.sense = other(b.framer.sense));
    for factor in RATES {
        with(&|b| b.framer.rate_bd = digits(factor * bench.framer.rate_bd, 3));
    }
    with(&|b| found.at_speed(b));
    with(&|b| found.at_rate(b));
    for preset in &PRESETS {
        with(&|b| preset.apply(b));
    }
    for data_bits in [8, 7] {
        for parity in [Parity::None, Parity::Even, Parity::Odd] {
            with(&|b| (b.framer.data_bits, b.framer.parity) = (data_bits, parity));
        }
    }
    with(&|b| b.framer.stop_bits = StopBits::One);
}

fn source(found: &Found, with: &mut With<'_>) {
    if found.channels < 2 {
        return;
    }
    for channel in 1..=found.channels.min(CHANNELS) {
        with(&|b| b.source.channel = Channel::One(channel));
    }
    with(&|b| b.source.channel = Channel::Sum);
    with(&|b| b.source.channel = Channel::Difference);
}

fn other(sense: Sense) -> Sense {
    match sense {
        Sense::Normal => Sense::Inverted,
        Sense::Inverted => Sense::Normal,
    }
}

/// A value to so many digits, so that what is advised can be read.
pub(super) fn digits(value: f64, count: i32) -> f64 {
    if value == 0.0 || !value.is_finite() {
        return 0.0;
    }
    let places = count - 1 - value.abs().log10().floor() as i32;
    // Parsed, so that 0.12 is the number that a person writes.
    let places = places.clamp(0, 15) as usize;
    format!("{value:.places$}").parse().unwrap_or(value)
}
