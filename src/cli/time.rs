//! Times as people write them on the command line.

use crate::units::{self, Unit};

/// Reads a time on a recording: a quantity (`1.5`, `1500ms`) or a counter (`1:02.5`, `1:00:02`).
/// The error is a sentence.
pub(super) fn parse(text: &str) -> Result<f64, String> {
    match units::parse(text, Unit::Seconds) {
        Ok(seconds) if seconds >= 0.0 => Ok(seconds),
        Ok(_) => Err("a time on a recording is not negative".into()),
        Err(_) => Err(format!(
            "'{text}' is not a time; write it like 1:02.500, 62.5 or 62500ms"
        )),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_time_is_not_negative() {
        assert_eq!(parse("1:30"), Ok(90.0));
        assert_eq!(parse("1500ms"), Ok(1.5));
        for text in ["", "x", "-1", "1:-2"] {
            assert!(parse(text).is_err(), "{text}");
        }
    }
}
