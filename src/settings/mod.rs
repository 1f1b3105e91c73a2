//! The knob table and the bench.
//!
//! A [`Bench`] holds the settings of all stages. The table in this file is the only place where a
//! setting is written down: the typed structs, the [`KNOBS`], the command line's flags, the
//! window's sliders, the bench file and the written help all come from it.

mod choice;
mod file;
mod knob;
mod preset;

pub(crate) use choice::choice;
pub use choice::*;
#[cfg(feature = "window")]
pub(crate) use file::read_toml;
pub use file::{BenchError, read_bench, read_bench_over, write_bench};
pub use knob::{Kind, Knob, KnobError, KnobValue};
pub use preset::{PRESETS, Preset};

use crate::units::Unit;

/// Which channel of a recording is read.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Channel {
    /// One channel, counted from 1.
    One(u32),
    /// The mean of all channels.
    Sum,
    /// Half of the first channel less the second.
    Difference,
}

const CHANNEL_NAMES: &[(&str, f64)] = &[("sum", 0.0), ("difference", -1.0)];

impl KnobValue for Channel {
    fn to_number(self) -> f64 {
        match self {
            Channel::One(n) => f64::from(n),
            Channel::Sum => 0.0,
            Channel::Difference => -1.0,
        }
    }
    fn from_number(number: f64) -> Self {
        match number {
            n if n < 0.0 => Channel::Difference,
            0.0 => Channel::Sum,
            n => Channel::One(n as u32),
        }
    }
}

const OFF: &[(&str, f64)] = &[("off", 0.0)];
/// No noise at all: a signal infinitely far above it.
const NO_NOISE: &[(&str, f64)] = &[("off", f64::INFINITY)];
/// A signal infinitely far below saturation.
const NO_DRIVE: &[(&str, f64)] = &[("off", f64::NEG_INFINITY)];

const fn number(unit: Unit, min: f64, max: f64) -> Kind {
    Kind::Number {
        unit,
        min,
        max,
        names: &[],
    }
}

const fn number_or_off(unit: Unit, min: f64, max: f64) -> Kind {
    Kind::Number {
        unit,
        min,
        max,
        names: OFF,
    }
}

const fn decibels(min: f64, max: f64, names: &'static [(&'static str, f64)]) -> Kind {
    Kind::Number {
        unit: Unit::Decibels,
        min,
        max,
        names,
    }
}

const fn count(unit: Unit, min: u32, max: u32) -> Kind {
    Kind::Count {
        unit,
        min,
        max,
        names: &[],
    }
}

const fn words<T: Choice>() -> Kind {
    Kind::Words(T::WORDS)
}

macro_rules! knob_table {
    ($(
        $(#[$doc:meta])*
        $stage:ident: $Stage:ident, $title:literal {
            $($field:ident: $ty:ty = $default:expr, $name:literal, $kind:expr, $help:literal;)+
        }
    )+) => {
        $(
            $(#[$doc])*
            #[derive(Clone, Copy, Debug, PartialEq)]
            pub struct $Stage {
                $(#[doc = $help] pub $field: $ty,)+
            }

            impl Default for $Stage {
                fn default() -> Self {
                    Self { $($field: $default,)+ }
                }
            }
        )+

        /// The settings of all stages together.
        #[derive(Clone, Copy, Debug, PartialEq, Default)]
        pub struct Bench {
            $(#[doc = $title] pub $stage: $Stage,)+
        }

        /// The stages in the order in which the signal runs: the word in flags, and the title.
        pub const STAGES: &[(&str, &str)] = &[$((stringify!($stage), $title),)+];

        /// Every setting, once.
        pub static KNOBS: &[Knob] = &[
            $($(Knob {
                stage: stringify!($stage),
                name: $name,
                kind: $kind,
                help: $help,
                get: |bench| bench.$stage.$field.to_number(),
                set: |bench, number| bench.$stage.$field = KnobValue::from_number(number),
            },)+)+
        ];
    };
}

knob_table! {
    /// How a recording's samples become one channel of volts.
    source: SourceSettings, "Source" {
        channel: Channel = Channel::One(1), "channel",
            Kind::Count { unit: Unit::One, min: 1, max: 65_535, names: CHANNEL_NAMES },
            "Channel to read, counted from 1; sum is the mean of all channels, difference is half of channel 1 less channel 2.";
        full_scale_v: f64 = 1.0, "full-scale", number(Unit::Volts, 1e-3, 100.0),
            "Voltage that a sample at full scale stands for.";
    }
    /// What lies between the player and the squarer. Both corners are off by default, so that
    /// edge times are those of the recording itself; a squarer around 0 V wants the high-pass
    /// only when the recording carries an offset.
    input: InputSettings, "Input network" {
        high_pass_hz: f64 = 0.0, "high-pass", number_or_off(Unit::Hertz, 0.1, 20_000.0),
            "Corner frequency of the RC coupling (high-pass).";
        low_pass_hz: f64 = 0.0, "low-pass", number_or_off(Unit::Hertz, 10.0, 200_000.0),
            "Corner frequency of the RC band limit (low-pass).";
        gain: f64 = 1.0, "gain", number(Unit::Factor, 1e-3, 1e3),
            "Factor by which the signal is amplified behind the RC network.";
        sense: Sense = Sense::Normal, "sense", words::<Sense>(),
            "Inverted turns the signal over, as an inverting amplifier or a swapped pair does.";
    }
    /// The comparator that squares the audio.
    squarer: SquarerSettings, "Squarer" {
        reference_v: f64 = 0.0, "reference", number(Unit::Volts, -100.0, 100.0),
            "Reference level: the middle of the two levels at which the output changes.";
        hysteresis_v: f64 = 0.05, "hysteresis", number(Unit::Volts, 0.0, 100.0),
            "Hysteresis width: distance between the level that sets the output and the one that clears it.";
    }
    /// The retriggerable one-shot that swallows the high tone.
    short: ShortSettings, "Short one-shot" {
        width_s: f64 = 589e-6, "width", number(Unit::Seconds, 1e-6, 0.1),
            "Width: between the periods of the two tones for a trigger on one edge, half of that for both edges.";
        trigger: Trigger = Trigger::Rising, "trigger", words::<Trigger>(),
            "Edge of the squarer that starts it; with both it is started twice a cycle, so the right widths halve.";
    }
    /// The retriggerable one-shot that holds through the low tone.
    long: LongSettings, "Long one-shot" {
        width_s: f64 = 1.1e-3, "width", number(Unit::Seconds, 1e-6, 1.0),
            "Width: longer than one cycle of the low tone; what is longer than that makes every space end late.";
        trigger: LongTrigger = LongTrigger::TimeOut, "trigger", words::<LongTrigger>(),
            "What starts it: the end of the short one-shot's timing, or the next trigger of the short one-shot.";
    }
    /// The receiver that turns the serial stream into characters.
    framer: FramerSettings, "Framer" {
        rate_bd: f64 = 300.0, "rate", number(Unit::Baud, 10.0, 20_000.0),
            "Signalling rate.";
        data_bits: u32 = 8, "data-bits", count(Unit::One, 5, 8),
            "Data bits in a character, least significant first.";
        parity: Parity = Parity::None, "parity", words::<Parity>(),
            "Parity bit behind the data bits.";
        stop_bits: StopBits = StopBits::One, "stop-bits", words::<StopBits>(),
            "Stop bits that must be mark; a tape with more of them reads as well.";
        sense: Sense = Sense::Normal, "sense", words::<Sense>(),
            "Level of the line that is mark: high for normal, low for inverted.";
        clock: TickClock = TickClock::Exact, "clock", words::<TickClock>(),
            "Clock ticks a bit, running freely as in a UART, or exact: then the margin is that of the circuit alone, whatever the phase of a clock.";
    }
    /// How a generated tape is recorded.
    tape: TapeSettings, "Tape maker" {
        rate_bd: f64 = 300.0, "rate", number(Unit::Baud, 10.0, 20_000.0),
            "Signalling rate.";
        mark_hz: f64 = 2400.0, "mark", number(Unit::Hertz, 50.0, 50_000.0),
            "Frequency of mark (logic 1).";
        space_hz: f64 = 1200.0, "space", number(Unit::Hertz, 50.0, 50_000.0),
            "Frequency of space (logic 0).";
        data_bits: u32 = 8, "data-bits", count(Unit::One, 5, 8),
            "Data bits in a character, least significant first.";
        parity: Parity = Parity::None, "parity", words::<Parity>(),
            "Parity bit behind the data bits.";
        stop_bits: StopBits = StopBits::Two, "stop-bits", words::<StopBits>(),
            "Stop bits behind each character.";
        gap_s: f64 = 0.0, "gap", number(Unit::Seconds, 0.0, 60.0),
            "Mark between two characters, beyond the stop bits.";
        leader_s: f64 = 5.0, "leader", number(Unit::Seconds, 0.0, 600.0),
            "Mark before the first character.";
        trailer_s: f64 = 1.0, "trailer", number(Unit::Seconds, 0.0, 600.0),
            "Mark behind the last character.";
        wave: Wave = Wave::Sine, "wave", words::<Wave>(),
            "Shape of the tones.";
        level_v: f64 = 0.5, "level", number(Unit::Level, 1e-3, 100.0),
            "Peak level; a file at full scale holds the source's full-scale voltage.";
        sample_rate_hz: u32 = 48_000, "sample-rate", count(Unit::Hertz, 8_000, 384_000),
            "Samples a second.";
        sample_format: SampleFormat = SampleFormat::Int16, "sample-format", words::<SampleFormat>(),
            "How a file holds the samples: integers of so many bits, or floating point of 32.";
        seed: u32 = 1, "seed", count(Unit::One, 0, u32::MAX),
            "Seed of the bytes of the random pattern.";
    }
    /// What a worn tape, a poor player and the electronics behind it do to a generated tape, in
    /// the order in which the signal meets them. Everything is off by default.
    wear: WearSettings, "Wear" {
        seed: u32 = 1, "seed", count(Unit::One, 0, u32::MAX),
            "Seed of all that is random in the wear; one seed always wears a tape alike.";
        saturation_db: f64 = f64::NEG_INFINITY, "saturation", decibels(-20.0, 40.0, NO_DRIVE),
            "Saturation of the tape: the peak level over the level at which the tape saturates; the peak level itself stays.";
        speed_percent: f64 = 0.0, "speed", number(Unit::Percent, -50.0, 50.0),
            "Speed error of the player; with a positive one the tape plays fast and its tones are high.";
        wow_percent: f64 = 0.0, "wow", number(Unit::Percent, 0.0, 20.0),
            "Slow, sinusoidal variation of speed: its plain, unweighted peak.";
        wow_hz: f64 = 0.8, "wow-rate", number(Unit::Hertz, 0.05, 10.0),
            "Frequency of the wow.";
        flutter_percent: f64 = 0.0, "flutter", number(Unit::Percent, 0.0, 20.0),
            "Fast, sinusoidal variation of speed: its plain, unweighted peak.";
        flutter_hz: f64 = 12.0, "flutter-rate", number(Unit::Hertz, 1.0, 200.0),
            "Frequency of the flutter.";
        unsteady_percent: f64 = 0.0, "unsteady", number(Unit::Percent, 0.0, 20.0),
            "Random variation of speed: its plain, unweighted peak over the recording.";
        unsteady_hz: f64 = 8.0, "unsteady-rate", number(Unit::Hertz, 0.05, 200.0),
            "Frequency up to which the random variation of speed goes.";
        drop_outs_per_min: f64 = 0.0, "drop-outs", number_or_off(Unit::One, 0.01, 6000.0),
            "Level drop-outs a minute.";
        drop_out_depth_db: f64 = 20.0, "drop-out-depth", number(Unit::Decibels, 0.1, 120.0),
            "How far the level falls in a drop-out.";
        drop_out_length_s: f64 = 10e-3, "drop-out-length", number(Unit::Seconds, 100e-6, 2.0),
            "How long a drop-out lasts, a tenth of it falling and a tenth rising again.";
        azimuth_deg: f64 = 0.0, "azimuth", number(Unit::Degrees, 0.0, 2.0),
            "Azimuth error: tilt of the head's gap against the one that recorded, on a track of 1.5 mm.";
        low_pass_hz: f64 = 0.0, "low-pass", number_or_off(Unit::Hertz, 10.0, 200_000.0),
            "Band limit of a poor player: corner frequency of a first-order low-pass.";
        white_noise_db: f64 = f64::INFINITY, "white-noise", decibels(-40.0, 120.0, NO_NOISE),
            "White noise: power of the signal over that of the noise up to half the sample rate.";
        pink_noise_db: f64 = f64::INFINITY, "pink-noise", decibels(-40.0, 120.0, NO_NOISE),
            "Pink noise, falling 10 dB a decade from 10 Hz: power of the signal over that of the noise.";
        hum_v: f64 = 0.0, "hum", number(Unit::Volts, 0.0, 100.0),
            "Mains hum, a sine: its peak.";
        hum_hz: f64 = 50.0, "hum-frequency", number(Unit::Hertz, 10.0, 1000.0),
            "Frequency of the hum: that of the mains, 50 Hz or 60 Hz, or twice that.";
        clicks_per_min: f64 = 0.0, "clicks", number_or_off(Unit::One, 0.01, 6000.0),
            "Clicks a minute.";
        click_v: f64 = 0.5, "click-level", number(Unit::Level, 1e-3, 100.0),
            "Peak of a click, up or down, which decays with a time constant of 200 µs.";
        offset_v: f64 = 0.0, "offset", number(Unit::Volts, -100.0, 100.0),
            "DC offset.";
        sense: Sense = Sense::Normal, "sense", words::<Sense>(),
            "Inverted turns the finished tape over, as a player with swapped wires does.";
    }
}

/// The stages that make a recording; a recording that is read passes the others.
const MAKING: [&str; 2] = ["tape", "wear"];

/// The knob with this id (`short-width`).
pub fn knob(id: &str) -> Option<&'static Knob> {
    KNOBS.iter().find(|k| k.id() == id)
}

/// The knobs of one stage, in the order of the table.
pub fn knobs_of(stage: &str) -> impl Iterator<Item = &'static Knob> {
    KNOBS.iter().filter(move |k| k.stage == stage)
}

impl Bench {
    /// The knobs at which this bench differs from `other`, in the order of the table.
    pub fn differences(&self, other: &Bench) -> Vec<&'static Knob> {
        KNOBS
            .iter()
            .filter(|k| k.get(self) != k.get(other))
            .collect()
    }

    /// The settings that a reading depends on; those of the stages that make a recording are at
    /// their defaults.
    pub fn of_a_reading(&self) -> Bench {
        Bench {
            tape: TapeSettings::default(),
            wear: WearSettings::default(),
            ..*self
        }
    }
}

#[cfg(test)]
mod tests;
