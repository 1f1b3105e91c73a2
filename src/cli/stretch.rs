//! `--from` and `--span`: a part of a recording.

use super::{Failure, decode::Decoded, time};
use crate::signal::Traces;
use crate::units::{self, Unit};
use clap::{Arg, ArgMatches};
use std::borrow::Cow;
use std::ops::Range;

/// The shortest span: less than a sample at any rate holds nothing.
const LEAST_SPAN_S: f64 = 1e-6;

/// What the help of the commands that list characters says of it.
pub(super) const HELP: &str = "\
--from and --span choose the characters whose start bit begins in that stretch. They are read in\n\
the context of the whole recording, and times count from its beginning.";

/// The part of a recording that the command line asks for.
pub(super) struct Stretch {
    pub from_s: Option<f64>,
    pub length_s: Option<f64>,
}

impl Stretch {
    /// `--from` and `--span`, each with its help.
    pub fn args(from: &'static str, span: &'static str) -> [Arg; 2] {
        [("from", from), ("span", span)].map(|(name, help)| {
            Arg::new(name)
                .long(name)
                .value_name("TIME")
                .value_parser(time::parse)
                .allow_hyphen_values(true)
                .help(help)
        })
    }

    /// The same where they choose what is read.
    pub fn args_of_reading() -> [Arg; 2] {
        Self::args(
            "Where to begin: 1.5, 1500ms or 1:02.500 [default: the beginning]",
            "How much to take [default: up to the end]",
        )
    }

    /// What the command line says.
    pub fn of(matches: &ArgMatches) -> Result<Self, Failure> {
        let [from_s, length_s] = ["from", "span"].map(|name| matches.get_one::<f64>(name).copied());
        match length_s {
            Some(length_s) if length_s < LEAST_SPAN_S => Err(Failure::Usage(format!(
                "A span of {} holds nothing; give at least {}.",
                units::show(length_s, Unit::Seconds),
                units::show(LEAST_SPAN_S, Unit::Seconds)
            ))),
            _ => Ok(Self { from_s, length_s }),
        }
    }

    /// Whether it is all of the recording.
    pub fn is_all(&self) -> bool {
        self.from_s.is_none() && self.length_s.is_none()
    }

    /// From when to when it is, without an end where none was asked for.
    pub fn range_s(&self) -> Range<f64> {
        let from_s = self.from_s.unwrap_or(0.0);
        let length_s = self.length_s.unwrap_or(f64::INFINITY);
        from_s..from_s + length_s
    }

    /// The traces of this part of the recording.
    pub fn cut<'a>(&self, decoded: &'a Decoded) -> Result<Cow<'a, Traces>, Failure> {
        let Range { start, end } = self.range_s();
        refuse_behind_the_end(&decoded.about.name, decoded.traces.end_s, start)?;
        Ok(match self.is_all() {
            true => Cow::Borrowed(&decoded.traces),
            false => Cow::Owned(decoded.traces.part(start, end)),
        })
    }
}

/// Refuses a stretch that begins where the recording has ended.
pub(super) fn refuse_behind_the_end(name: &str, end_s: f64, from_s: f64) -> Result<(), Failure> {
    if from_s < end_s || from_s == 0.0 {
        return Ok(());
    }
    Err(Failure::Failed(format!(
        "{} ends at {}: there is nothing from {} on.",
        name,
        units::clock(end_s),
        units::clock(from_s)
    )))
}
