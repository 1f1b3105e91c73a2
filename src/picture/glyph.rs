//! What a byte looks like in text.

/// The abbreviations of the control characters (ECMA-6 / ISO 646, from memory).
const CONTROLS: [&str; 32] = [
    "NUL", "SOH", "STX", "ETX", "EOT", "ENQ", "ACK", "BEL", "BS", "HT", "LF", "VT", "FF", "CR",
    "SO", "SI", "DLE", "DC1", "DC2", "DC3", "DC4", "NAK", "SYN", "ETB", "CAN", "EM", "SUB", "ESC",
    "FS", "GS", "RS", "US",
];

/// A byte as a reader names it: the graphic character, the abbreviation of the control
/// character, or nothing where ECMA-6 has none.
pub fn glyph(value: u8) -> String {
    match value {
        0..=31 => CONTROLS[usize::from(value)].into(),
        b' ' => "SP".into(),
        33..=126 => char::from(value).into(),
        127 => "DEL".into(),
        _ => String::new(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Code positions from ECMA-6 (from memory).
    #[test]
    fn positions_are_those_of_the_standard() {
        for (value, name) in [
            (0x41, "A"),
            (0x0D, "CR"),
            (0x0A, "LF"),
            (0x1B, "ESC"),
            (0x20, "SP"),
            (0x7F, "DEL"),
        ] {
            assert_eq!(glyph(value), name);
        }
        assert_eq!(glyph(0x80), "");
    }
}
