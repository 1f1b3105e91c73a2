//! The characters as people read them: time, hexadecimal, text.

use crate::signal::{Character, Faults};
use crate::units;
use std::fmt::Write;

/// Characters in a row.
const ROW: usize = 16;

/// Writes the characters in rows of up to 16: the time at which the first of them begins in the
/// recording, their values in hexadecimal, each with its [`sign`], and their text. A row ends
/// early where more than the length of a character is silent behind it.
///
/// In the text, a middle dot stands for what is not a printable character of ASCII (ECMA-6).
pub fn listing(characters: &[Character]) -> String {
    let time_width = characters.last().map_or(0, |c| units::clock(c.at_s).len());
    let mut rows = String::new();
    for stretch in characters.chunk_by(|a, b| !is_pause(a, b)) {
        for row in stretch.chunks(ROW) {
            let time = units::clock(row[0].at_s);
            let values: String = row
                .iter()
                .map(|c| format!("{:02X}{}", c.value, sign(c.faults)))
                .collect();
            let text: String = row.iter().map(|c| printable(c.value)).collect();
            let width = 3 * ROW;
            let _ = writeln!(rows, "{time:>time_width$}  {values:width$}  {text}");
        }
    }
    rows
}

/// The sign behind a character's value: `_` for a break (the line stays down), `!` for a framing
/// error, `?` for a parity error, a space for none. Of several, the first in this order.
pub fn sign(faults: Faults) -> char {
    match faults {
        Faults { break_: true, .. } => '_',
        Faults { framing: true, .. } => '!',
        Faults { parity: true, .. } => '?',
        _ => ' ',
    }
}

fn is_pause(a: &Character, b: &Character) -> bool {
    b.line_start_s - a.line_end_s() > a.length_s()
}

fn printable(value: u8) -> char {
    match value {
        b' '..=b'~' => char::from(value),
        _ => '·',
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::signal::Instants;

    /// Characters of one bit a millisecond that begin at these times.
    fn characters(list: &[(f64, u8, Faults)]) -> Vec<Character> {
        let character = |&(at_s, value, faults): &(f64, u8, Faults)| Character {
            at_s,
            line_start_s: at_s,
            value,
            faults,
            margin_percent: 50.0,
            instants: Instants {
                first_s: at_s + 0.0005,
                bit_s: 0.001,
                whole: 10,
                half: false,
            },
        };
        list.iter().map(character).collect()
    }

    #[test]
    fn a_row_is_full_at_sixteen_and_ends_at_a_pause() {
        let fine = Faults::default();
        let mut list: Vec<_> = (0..17)
            .map(|i| (i as f64 * 0.011, b'A' + i, fine))
            .collect();
        list.push((3601.0, b'~', fine));
        let text = listing(&characters(&list));
        let rows: Vec<_> = text.lines().collect();
        assert_eq!(
            rows[0],
            "   0:00.000  41 42 43 44 45 46 47 48 49 4A 4B 4C 4D 4E 4F 50   ABCDEFGHIJKLMNOP"
        );
        assert!(rows[1].starts_with("   0:00.176  51  ") && rows[1].ends_with("  Q"));
        assert!(rows[2].starts_with("1:00:01.000  7E  ") && rows[2].ends_with("  ~"));
        assert_eq!(rows.len(), 3);
    }

    #[test]
    fn faults_carry_a_sign_and_unprintable_characters_a_dot() {
        let fault = |framing, parity, break_| Faults {
            framing,
            parity,
            break_,
        };
        let list = characters(&[
            (0.00, 0x0D, fault(false, false, false)),
            (0.01, 0x41, fault(true, true, false)),
            (0.02, 0x42, fault(false, true, false)),
            (0.03, 0x00, fault(true, false, true)),
        ]);
        let text = listing(&list);
        assert!(text.starts_with("0:00.000  0D 41!42?00_ "), "{text}");
        assert!(text.ends_with(" ·AB·\n"), "{text}");
        assert_eq!(listing(&[]), "");
    }
}
