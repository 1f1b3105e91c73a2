//! From bytes to stretches of tone.
//!
//! The layout of a character: BYTE, February 1976, pp. 72-73. Parity behind the data and fewer
//! than eight data bits are from memory.

use crate::settings::{Parity, TapeSettings};

/// A stretch of one tone.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Stretch {
    /// Frequency in hertz.
    pub tone_hz: f64,
    /// Length in seconds; it need not be a whole number of cycles or samples.
    pub length_s: f64,
}

/// A part of a tape.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) enum Part {
    /// A tone that belongs to no character.
    Tone(Stretch),
    /// A character.
    Character(u8),
}

impl Part {
    /// Mark or space for a time.
    pub fn tone(mark: bool, length_s: f64, settings: &TapeSettings) -> Self {
        Self::Tone(tone(mark, length_s, settings))
    }

    /// Hands on the stretches of the part, one after the other.
    pub fn each_stretch(self, settings: &TapeSettings, mut run: impl FnMut(Stretch)) {
        match self {
            Self::Tone(stretch) => run(stretch),
            Self::Character(byte) => character(byte, settings).for_each(run),
        }
    }

    /// Length in seconds.
    pub fn length_s(self, settings: &TapeSettings) -> f64 {
        match self {
            Self::Tone(stretch) => stretch.length_s,
            Self::Character(_) => bits(settings) / settings.rate_bd,
        }
    }
}

/// Mark between characters, rounded to whole cycles.
pub(super) fn idle(length_s: f64, settings: &TapeSettings) -> Part {
    Part::tone(true, whole_s(length_s, settings), settings)
}

/// A length of mark, rounded to whole cycles.
fn whole_s(length_s: f64, settings: &TapeSettings) -> f64 {
    let cycles = length_s * settings.mark_hz;
    // Rounding in the last places is none.
    if (cycles - cycles.round()).abs() <= 1e-12 * cycles {
        length_s
    } else {
        cycles.round() / settings.mark_hz
    }
}

/// The settings with the lengths of leader, gap and trailer as they are made.
pub(super) fn as_made(settings: &TapeSettings) -> TapeSettings {
    TapeSettings {
        leader_s: whole_s(settings.leader_s, settings),
        gap_s: whole_s(settings.gap_s, settings),
        trailer_s: whole_s(settings.trailer_s, settings),
        ..*settings
    }
}

/// The greatest value that a character holds.
pub(super) fn greatest_value(settings: &TapeSettings) -> u8 {
    0xFF >> 8u32.saturating_sub(settings.data_bits)
}

/// The bits of a byte that a character holds.
pub(super) fn value(byte: u8, settings: &TapeSettings) -> u8 {
    byte & greatest_value(settings)
}

/// From one character to the next where they follow on each other, in seconds.
pub(super) fn character_s(settings: &TapeSettings) -> f64 {
    bits(settings) / settings.rate_bd + whole_s(settings.gap_s, settings)
}

/// Length of a character in bits.
fn bits(settings: &TapeSettings) -> f64 {
    let parity = f64::from(u8::from(settings.parity != Parity::None));
    1.0 + f64::from(settings.data_bits) + parity + settings.stop_bits.bits()
}

fn tone(mark: bool, length_s: f64, settings: &TapeSettings) -> Stretch {
    Stretch {
        tone_hz: if mark {
            settings.mark_hz
        } else {
            settings.space_hz
        },
        length_s,
    }
}

/// One character from its start bit to its stop bits.
fn character(byte: u8, settings: &TapeSettings) -> impl Iterator<Item = Stretch> + '_ {
    let value = value(byte, settings);
    let data = (0..settings.data_bits).map(move |place| value >> place & 1 == 1);
    std::iter::once(false)
        .chain(data)
        .chain(settings.parity.bit(value))
        .map(|mark| (mark, 1.0))
        .chain([(true, settings.stop_bits.bits())])
        .map(|(mark, bits)| tone(mark, bits / settings.rate_bd, settings))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::settings::StopBits;
    use crate::tape::Content;

    fn stretches(bytes: &[u8], settings: &TapeSettings) -> Vec<Stretch> {
        let mut all = Vec::new();
        for part in Content::bytes(bytes).parts(settings) {
            let before = all.len();
            part.each_stretch(settings, |stretch| all.push(stretch));
            let sum_s: f64 = all[before..].iter().map(|s| s.length_s).sum();
            assert!((sum_s - part.length_s(settings)).abs() < 1e-12);
        }
        all
    }

    /// Draws the layout with one character a half bit: `-` mark, `_` space.
    fn drawn(bytes: &[u8], change: impl Fn(&mut TapeSettings)) -> String {
        let mut settings = TapeSettings {
            leader_s: 0.0,
            trailer_s: 0.0,
            ..Default::default()
        };
        change(&mut settings);
        stretches(bytes, &settings)
            .iter()
            .map(|stretch| {
                let halves = stretch.length_s * settings.rate_bd * 2.0;
                assert!((halves - halves.round()).abs() < 1e-9);
                let mark = stretch.tone_hz == settings.mark_hz;
                (if mark { "-" } else { "_" }).repeat(halves.round() as usize)
            })
            .collect()
    }

    #[test]
    fn start_data_from_the_lowest_bit_stop() {
        // 0x41: 1 0 0 0 0 0 1 0 in the order of recording.
        assert_eq!(drawn(&[0x41], |_| {}), "__--__________--__----");
    }

    #[test]
    fn parity_follows_the_data_and_high_bits_are_left_out() {
        // 0xFF with five data bits is 0x1F: five ones.
        for (parity, bit) in [
            (Parity::None, ""),
            (Parity::Even, "--"),
            (Parity::Odd, "__"),
            (Parity::Mark, "--"),
            (Parity::Space, "__"),
        ] {
            let text = drawn(&[0xFF], |s| (s.data_bits, s.parity) = (5, parity));
            assert_eq!(text, format!("__----------{bit}----"));
        }
    }

    #[test]
    fn a_stop_bit_may_be_one_and_a_half() {
        let text = drawn(&[0, 0], |s| s.stop_bits = StopBits::OneAndHalf);
        let character = format!("{}---", "_".repeat(18));
        assert_eq!(text, character.repeat(2));
    }

    #[test]
    fn leader_gap_and_trailer_are_mark() {
        let text = drawn(&[0, 0], |s| {
            (s.leader_s, s.gap_s, s.trailer_s) = (0.01, 0.005, 1.0 / 300.0);
        });
        let character = format!("{}----", "_".repeat(18));
        assert_eq!(text, format!("------{character}---{character}--"));
        assert_eq!(drawn(&[], |s| s.leader_s = 0.01), "------");
        assert_eq!(drawn(&[], |_| {}), "");
    }

    #[test]
    fn idle_mark_is_whole_cycles() {
        let settings = TapeSettings {
            leader_s: 0.0101,
            ..Default::default()
        };
        assert_eq!(stretches(&[], &settings)[0].length_s, 24.0 / 2400.0);
    }
}
