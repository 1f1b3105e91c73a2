//! From bytes to stretches of tone.
//!
//! The layout of a character: BYTE, February 1976, pp. 72-73. Parity behind the data and fewer
//! than eight data bits are from memory.

use crate::settings::TapeSettings;

/// A stretch of one tone.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Stretch {
    /// Frequency in hertz.
    pub tone_hz: f64,
    /// Length in seconds; it need not be a whole number of cycles or samples.
    pub length_s: f64,
}

/// The stretches that record `bytes`: leader, characters, trailer.
///
/// Leader, gap and trailer are rounded to whole cycles of mark, so that with tones of whole
/// cycles a bit and whole stop bits every bit begins at a rising zero crossing.
pub fn layout<'a>(
    bytes: &'a [u8],
    settings: &'a TapeSettings,
) -> impl Iterator<Item = Stretch> + 'a {
    let idle = |length_s: f64| Stretch {
        tone_hz: settings.mark_hz,
        length_s: (length_s * settings.mark_hz).round() / settings.mark_hz,
    };
    let gap = idle(settings.gap_s);
    std::iter::once(idle(settings.leader_s))
        .chain(bytes.iter().enumerate().flat_map(move |(i, &byte)| {
            let between = (i > 0).then_some(gap);
            between.into_iter().chain(character(byte, settings))
        }))
        .chain([idle(settings.trailer_s)])
        .filter(|stretch| stretch.length_s > 0.0)
}

/// One character from its start bit to its stop bits.
fn character(byte: u8, settings: &TapeSettings) -> impl Iterator<Item = Stretch> + '_ {
    let value = byte & (0xFF >> 8u32.saturating_sub(settings.data_bits));
    let bits = move |mark: bool, count: f64| Stretch {
        tone_hz: if mark {
            settings.mark_hz
        } else {
            settings.space_hz
        },
        length_s: count / settings.rate_bd,
    };
    let data = (0..settings.data_bits).map(move |place| value >> place & 1 == 1);
    std::iter::once(false)
        .chain(data)
        .chain(settings.parity.bit(value))
        .map(move |mark| bits(mark, 1.0))
        .chain([bits(true, settings.stop_bits.bits())])
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::settings::{Parity, StopBits};

    /// Draws the layout with one character a half bit: `-` mark, `_` space.
    fn drawn(bytes: &[u8], change: impl Fn(&mut TapeSettings)) -> String {
        let mut settings = TapeSettings {
            leader_s: 0.0,
            trailer_s: 0.0,
            ..Default::default()
        };
        change(&mut settings);
        layout(bytes, &settings)
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
        let leader = layout(&[], &settings).next().unwrap();
        assert_eq!(leader.length_s, 24.0 / 2400.0);
    }
}
