//! Settings as JSON: quantities in seconds, hertz, volts and so on, words as text.

use crate::settings::{Bench, Kind, Knob, knobs_of};
use serde::ser::SerializeMap;
use serde::{Serialize, Serializer};

/// The settings of one stage by the names of their knobs.
pub(super) struct Knobs<'a> {
    bench: &'a Bench,
    stage: &'a str,
    only_changed: bool,
}

impl<'a> Knobs<'a> {
    /// All of them.
    pub fn all(bench: &'a Bench, stage: &'a str) -> Self {
        Self {
            bench,
            stage,
            only_changed: false,
        }
    }

    /// Those that differ from the default.
    pub fn changed(bench: &'a Bench, stage: &'a str) -> Self {
        Self {
            only_changed: true,
            ..Self::all(bench, stage)
        }
    }
}

impl Serialize for Knobs<'_> {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        let mut map = serializer.serialize_map(None)?;
        for knob in knobs_of(self.stage) {
            if !self.only_changed || knob.get(self.bench) != knob.default() {
                map.serialize_entry(knob.name, &Value::of(knob, self.bench))?;
            }
        }
        map.end()
    }
}

#[derive(Serialize)]
#[serde(untagged)]
enum Value {
    Quantity(f64),
    Count(u64),
    Word(String),
}

impl Value {
    fn of(knob: &Knob, bench: &Bench) -> Self {
        let number = knob.get(bench);
        match knob.kind {
            Kind::Number { names, .. } | Kind::Count { names, .. }
                if names.iter().any(|n| n.1 == number) =>
            {
                Self::Word(knob.show(number))
            }
            Kind::Number { .. } => Self::Quantity(number),
            Kind::Count { .. } => Self::Count(number as u64),
            Kind::Words(_) => Self::Word(knob.show(number)),
        }
    }
}
