//! One setting: its name, range, words and help, and how to read and write it in a bench.

use super::{Bench, Choice};
use crate::units::{self, Unit};
use std::fmt;
use std::ops::RangeInclusive;

/// What values a knob takes.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Kind {
    /// A quantity between `min` and `max`, or one of the named values.
    Number {
        /// What it measures.
        unit: Unit,
        /// Least value.
        min: f64,
        /// Greatest value.
        max: f64,
        /// Words that stand for a value, which may lie outside the range.
        names: &'static [(&'static str, f64)],
    },
    /// A whole number between `min` and `max`, or one of the named values.
    Count {
        /// What it measures.
        unit: Unit,
        /// Least value.
        min: u32,
        /// Greatest value.
        max: u32,
        /// Words that stand for a value, which may lie outside the range.
        names: &'static [(&'static str, f64)],
    },
    /// One word of these.
    Words(&'static [&'static str]),
}

/// A type that a setting may have. Every value has a number: a quantity itself, or the place of
/// a word in its list.
pub trait KnobValue: Copy {
    /// The value as a number.
    fn to_number(self) -> f64;
    /// The value that a number stands for.
    fn from_number(number: f64) -> Self;
}

impl KnobValue for f64 {
    fn to_number(self) -> f64 {
        self
    }
    fn from_number(number: f64) -> Self {
        number
    }
}

impl KnobValue for u32 {
    fn to_number(self) -> f64 {
        f64::from(self)
    }
    fn from_number(number: f64) -> Self {
        number as u32
    }
}

impl<T: Choice> KnobValue for T {
    fn to_number(self) -> f64 {
        self.index() as f64
    }
    fn from_number(number: f64) -> Self {
        T::from_index(number as usize)
    }
}

/// One row of the knob table.
pub struct Knob {
    /// The stage it belongs to: the first word of its flag.
    pub stage: &'static str,
    /// Its name within the stage: the rest of its flag.
    pub name: &'static str,
    /// What values it takes.
    pub kind: Kind,
    /// One sentence of help.
    pub help: &'static str,
    pub(super) get: fn(&Bench) -> f64,
    pub(super) set: fn(&mut Bench, f64),
}

/// Why a knob did not take a value. Its `Display` is a whole sentence.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct KnobError(pub(super) String);

impl fmt::Display for KnobError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.0)
    }
}

impl std::error::Error for KnobError {}

impl fmt::Debug for Knob {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.id())
    }
}

impl PartialEq for Knob {
    fn eq(&self, other: &Self) -> bool {
        (self.stage, self.name) == (other.stage, other.name)
    }
}

impl Knob {
    /// Its name over all stages, `short-width`; the flag is this behind `--`.
    pub fn id(&self) -> String {
        format!("{}-{}", self.stage, self.name)
    }

    /// Whether its stage is one that a recording passes when it is read; the others make one.
    pub fn shapes_a_reading(&self) -> bool {
        !super::MAKING.contains(&self.stage)
    }

    /// Its value in `bench` as a number (the place of the word for a knob of words).
    pub fn get(&self, bench: &Bench) -> f64 {
        (self.get)(bench)
    }

    /// Its value in the default bench.
    pub fn default(&self) -> f64 {
        (self.get)(&Bench::default())
    }

    /// Sets it in `bench`, moved into the range where it lies outside: what a slider does.
    pub fn set_clamped(&self, bench: &mut Bench, number: f64) {
        let named = |names: &[(&str, f64)]| names.iter().any(|n| n.1 == number);
        let number = match self.kind {
            _ if number.is_nan() => self.default(),
            Kind::Number { names, .. } | Kind::Count { names, .. } if named(names) => number,
            Kind::Number { min, max, .. } => number.clamp(min, max),
            Kind::Count { min, max, .. } => number.round().clamp(f64::from(min), f64::from(max)),
            Kind::Words(words) => number.clamp(0.0, (words.len() - 1) as f64),
        };
        (self.set)(bench, number);
    }

    /// Sets it in `bench` from a text as people write it.
    ///
    /// # Errors
    /// A sentence with the knob, the text and what it takes.
    pub fn set_text(&self, bench: &mut Bench, text: &str) -> Result<(), KnobError> {
        let number = self.parse(text, bench)?;
        (self.set)(bench, number);
        Ok(())
    }

    /// Reads a text as people write it into the number it stands for. A level in decibels is that
    /// of the full scale in `bench`.
    ///
    /// # Errors
    /// A sentence with the knob, the text and what it takes.
    pub fn parse(&self, text: &str, bench: &Bench) -> Result<f64, KnobError> {
        let text = text.trim();
        match self.kind {
            Kind::Number { names, .. } | Kind::Count { names, .. }
                if let Some(named) = names.iter().find(|n| n.0.eq_ignore_ascii_case(text)) =>
            {
                Ok(named.1)
            }
            Kind::Number { unit, min, max, .. } => self.quantity(text, unit, min..=max, bench),
            Kind::Count { unit, min, max, .. } => match units::parse_whole(text, unit) {
                Some(whole) if (min..=max).contains(&whole) => Ok(f64::from(whole)),
                _ if units::parse(text, unit).is_ok_and(|v| v.fract() == 0.0) => {
                    Err(self.outside(text))
                }
                _ => Err(self.refuse(format!(
                    "'{text}' is not a whole number; it takes {}",
                    self.takes()
                ))),
            },
            Kind::Words(words) => words
                .iter()
                .position(|w| w.eq_ignore_ascii_case(text))
                .map(|i| i as f64)
                .ok_or_else(|| self.refuse(format!("'{text}' is not one of {}", self.takes()))),
        }
    }

    fn refuse(&self, why: String) -> KnobError {
        KnobError(format!("{}: {why}.", self.id()))
    }

    fn outside(&self, text: &str) -> KnobError {
        self.refuse(format!(
            "'{text}' is out of range; it takes {}",
            self.takes()
        ))
    }

    fn quantity(
        &self,
        text: &str,
        unit: Unit,
        range: RangeInclusive<f64>,
        bench: &Bench,
    ) -> Result<f64, KnobError> {
        let (min, max) = (*range.start(), *range.end());
        let read = match unit {
            Unit::Level => units::parse_level(text, bench.source.full_scale_v),
            _ => units::parse(text, unit),
        };
        let value = read.map_err(|e| self.refuse(e.to_string()))?;
        // A value printed with twelve digits may miss the limit by a rounding.
        let slack = 1e-12 * max.abs().max(min.abs());
        let fits = |value: f64| (min - slack..=max + slack).contains(&value);
        if fits(value) {
            return Ok(value.clamp(min, max));
        }
        Err(match self.meant(text, unit, fits) {
            Some(meant) => KnobError(format!(
                "{}: '{text}' without a unit is {}, which is out of range; it takes {}. \
                 Did you mean {meant}?",
                self.id(),
                units::show(value, unit),
                self.takes()
            )),
            None => self.outside(text),
        })
    }

    /// What a bare number may have been meant for: with the decimal prefix that brings it nearest
    /// to the default, where one brings it into the range.
    fn meant(&self, text: &str, unit: Unit, fits: impl Fn(f64) -> bool) -> Option<String> {
        units::parse(text, Unit::One).ok()?;
        let far = |value: f64| (value / self.default()).abs().ln().abs();
        ["n", "u", "m", "k", "M"]
            .into_iter()
            .filter_map(|prefix| {
                let meant = format!("{text}{prefix}{}", unit.symbol());
                let value = units::parse(&meant, unit).ok().filter(|v| fits(*v))?;
                Some((far(value), meant))
            })
            .min_by(|a, b| a.0.total_cmp(&b.0))
            .map(|m| m.1)
    }

    /// Writes a number of this knob as people write it; [`Knob::parse`] reads it back.
    pub fn show(&self, number: f64) -> String {
        match self.kind {
            Kind::Number { names, .. } | Kind::Count { names, .. }
                if let Some((name, _)) = names.iter().find(|n| n.1 == number) =>
            {
                (*name).into()
            }
            Kind::Number { unit, .. } | Kind::Count { unit, .. } => units::show(number, unit),
            Kind::Words(words) => words.get(number as usize).copied().unwrap_or("?").into(),
        }
    }

    /// Its value in `bench` as people write it.
    pub fn show_in(&self, bench: &Bench) -> String {
        self.show(self.get(bench))
    }

    /// What it takes, in words: `1 µs to 100 ms`, `rising, falling or both`.
    pub fn takes(&self) -> String {
        let with_names = |range: String, names: &[(&str, f64)]| {
            names
                .iter()
                .fold(range, |all, n| format!("{all} or {}", n.0))
        };
        let range = |min, max, unit| {
            let or = match unit {
                Unit::Level => ", or dB of full scale",
                Unit::Factor => ", or dB",
                _ => "",
            };
            format!(
                "{} to {}{or}",
                units::show(min, unit),
                units::show(max, unit)
            )
        };
        match self.kind {
            Kind::Number {
                unit,
                min,
                max,
                names,
            } => with_names(range(min, max, unit), names),
            Kind::Count {
                unit,
                min,
                max,
                names,
            } => with_names(range(f64::from(min), f64::from(max), unit), names),
            Kind::Words(words) => units::one_of(words),
        }
    }
}
