//! Named sets of settings for the recordings in common use.

use super::{Bench, knob};

/// Some knobs set together.
pub struct Preset {
    /// The word for it on the command line.
    pub name: &'static str,
    /// What it is for, one sentence.
    pub help: &'static str,
    /// Knob ids and their values.
    pub values: &'static [(&'static str, &'static str)],
}

/// The presets, the default first.
pub const PRESETS: [Preset; 2] = [
    Preset {
        name: "300bd",
        help: "300 Bd: mark is 8 cycles of 2400 Hz, space 4 cycles of 1200 Hz (BYTE, February 1976).",
        values: &[
            ("short-width", "589us"),
            ("long-width", "1.1ms"),
            ("framer-rate", "300"),
            ("tape-rate", "300"),
        ],
    },
    Preset {
        name: "1200bd",
        help: "1200 Bd: mark is 2 cycles of 2400 Hz, space 1 cycle of 1200 Hz (common practice).",
        values: &[
            ("short-width", "589us"),
            ("long-width", "920us"),
            ("framer-rate", "1200"),
            ("tape-rate", "1200"),
        ],
    },
];

impl Preset {
    /// The preset with this name.
    pub fn named(name: &str) -> Option<&'static Preset> {
        PRESETS.iter().find(|p| p.name.eq_ignore_ascii_case(name))
    }

    /// Sets the preset's knobs in `bench` and leaves the others.
    pub fn apply(&self, bench: &mut Bench) {
        for (id, text) in self.values {
            let knob = knob(id).expect("the presets name knobs of the table");
            knob.set_text(bench, text)
                .expect("a preset's values fit their knobs");
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_preset_fits_the_table_and_the_first_is_the_default() {
        for preset in &PRESETS {
            let mut bench = Bench::default();
            preset.apply(&mut bench);
            assert_eq!(bench == Bench::default(), preset.name == "300bd");
        }
        assert!(Preset::named("1200BD").is_some());
    }
}
