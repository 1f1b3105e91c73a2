//! When a rolling capture is to stand still by itself.

use crate::live::{Event, Meter};
use crate::settings::Bench;
use crate::signal::Character;
use crate::study::parse_pattern;

/// What rolling waits for.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Until {
    /// Nothing: it rolls until it is frozen by hand.
    Never,
    /// The first sound after silence.
    Sound,
    /// The first character.
    Character,
    /// The first character with a fault.
    Fault,
    /// A row of bytes.
    Bytes,
}

impl Until {
    /// Every choice.
    pub const ALL: [Until; 5] = [
        Until::Never,
        Until::Sound,
        Until::Character,
        Until::Fault,
        Until::Bytes,
    ];

    /// What it is called.
    pub fn title(self) -> &'static str {
        match self {
            Until::Never => "frozen by hand",
            Until::Sound => "mark begins after silence",
            Until::Character => "a character comes",
            Until::Fault => "a fault comes",
            Until::Bytes => "these bytes come",
        }
    }
}

/// Watches for what is waited for.
#[derive(Clone, Debug, Default)]
pub struct Watch {
    was_silent: bool,
    /// The bytes that are waited for, and those that came last.
    pattern: Vec<u8>,
    last: Vec<u8>,
}

impl Watch {
    /// The instant of what was waited for, in seconds of the capture, where it has come.
    pub fn look(
        &mut self,
        until: Until,
        pattern: &str,
        events: &[Event],
        (meter, captured_s): (&Meter, f64),
        bench: &Bench,
    ) -> Option<f64> {
        let silent =
            meter.held_v < bench.squarer.hysteresis_v / 2.0 + bench.squarer.reference_v.abs();
        let begins = std::mem::replace(&mut self.was_silent, silent) && !silent;
        let new = events.iter().flat_map(|event| match event {
            Event::Characters(characters) => characters.as_slice(),
            _ => &[],
        });
        let new: Vec<&Character> = new.collect();
        match until {
            Until::Never => None,
            Until::Sound => begins.then_some(captured_s),
            Until::Character => new.first().map(|c| c.at_s),
            Until::Fault => new.iter().find(|c| c.faults.any()).map(|c| c.at_s),
            Until::Bytes => self.bytes(&new, &parse_pattern(pattern).ok()?),
        }
    }

    fn bytes(&mut self, new: &[&Character], pattern: &[u8]) -> Option<f64> {
        if self.pattern != pattern {
            self.pattern = pattern.to_vec();
            self.last.clear();
        }
        for c in new {
            self.last.push(c.value);
            if self.last.len() > pattern.len() {
                self.last.remove(0);
            }
            if self.last == pattern {
                self.last.clear();
                return Some(c.at_s);
            }
        }
        None
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::settings::Bench;
    use crate::signal::Chain;
    use crate::tape;

    #[test]
    fn it_stands_still_at_what_is_waited_for() {
        let bench = Bench::default();
        let recording = tape::record(b"TIDE", &bench.tape);
        let characters = Chain::read(&bench, &recording).characters;
        let at = characters[2].at_s;
        let events = [
            Event::Characters(characters[..2].to_vec()),
            Event::Characters(characters[2..].to_vec()),
        ];
        let look = |until, pattern: &str| {
            Watch::default().look(
                until,
                pattern,
                &events,
                (&Meter::new(1.0, 1.0), 9.0),
                &bench,
            )
        };
        assert_eq!(look(Until::Character, ""), Some(characters[0].at_s));
        assert_eq!(look(Until::Bytes, "ID"), Some(at));
        assert_eq!(look(Until::Bytes, "XX"), None);
        assert_eq!(look(Until::Fault, ""), None);
        assert_eq!(look(Until::Never, ""), None);
    }

    #[test]
    fn another_row_of_bytes_is_waited_for_from_then_on() {
        let bench = Bench::default();
        let recording = tape::record(b"TIDELOG", &bench.tape);
        let characters = Chain::read(&bench, &recording).characters;
        let mut watch = Watch::default();
        let mut look = |pattern: &str, which: std::ops::Range<usize>| {
            let events = [Event::Characters(characters[which].to_vec())];
            let seen = (&Meter::new(1.0, 1.0), 9.0);
            watch.look(Until::Bytes, pattern, &events, seen, &bench)
        };
        assert_eq!(look("SEA", 0..3), None);
        assert_eq!(look("EL", 3..5), Some(characters[4].at_s));
        assert_eq!(look("LO", 4..5), None);
        // What came while something else was waited for is no part of it.
        assert_eq!(look("LG", 6..7), None);
        assert_eq!(look("OG", 5..7), Some(characters[6].at_s));
    }

    #[test]
    fn sound_after_silence_is_noticed_once() {
        let bench = Bench::default();
        let mut watch = Watch::default();
        let mut meter = Meter::new(1.0, 1.0);
        let mut at = |held_v, now_s| {
            meter.held_v = held_v;
            watch.look(Until::Sound, "", &[], (&meter, now_s), &bench)
        };
        assert_eq!(at(0.001, 1.0), None);
        assert_eq!(at(0.5, 2.0), Some(2.0));
        assert_eq!(at(0.5, 3.0), None);
    }
}
