//! Finding bytes or text among the characters.

use crate::signal::Character;
use std::ops::Range;

/// Reads what to look for.
///
/// - In quotes, single or double: the text between them.
/// - With `0x` or `$` before it, or two and more pairs of hexadecimal digits with spaces between
///   them: bytes (`0x53 41 4C`, `$0D0A`, `53 41`).
/// - Everything else: text, without the spaces at its ends.
///
/// Text stands for its bytes in UTF-8, of which ASCII (ECMA-6) is a part.
///
/// # Errors
/// A sentence that says what to write.
pub fn parse_pattern(text: &str) -> Result<Vec<u8>, String> {
    let text = text.trim();
    let quoted = ['"', '\''].into_iter().find_map(|q| {
        let inner = text.strip_prefix(q)?;
        inner.strip_suffix(q)
    });
    let bytes = match quoted {
        Some(inner) => inner.as_bytes().to_vec(),
        None if is_hexadecimal(text) => hexadecimal(text).ok_or_else(|| {
            format!(
                "'{text}' is not a row of bytes; write two hexadecimal digits for each, like \
                 0x53 41, or put text in quotes."
            )
        })?,
        None => text.as_bytes().to_vec(),
    };
    if bytes.is_empty() {
        return Err("There is nothing to find; write text, or bytes like 0x53 41.".into());
    }
    Ok(bytes)
}

fn is_hexadecimal(text: &str) -> bool {
    let mut groups = text.split_whitespace();
    let pair = |group: &str| group.len() == 2 && group.bytes().all(|b| b.is_ascii_hexdigit());
    without_prefix(text).is_some() || (text.contains(char::is_whitespace) && groups.all(pair))
}

fn without_prefix(text: &str) -> Option<&str> {
    ["0x", "0X", "$"]
        .into_iter()
        .find_map(|p| text.strip_prefix(p))
}

/// The bytes of groups of pairs of hexadecimal digits, each with a prefix or without; `None` for
/// what is not that.
pub fn hexadecimal(text: &str) -> Option<Vec<u8>> {
    let mut bytes = Vec::new();
    for group in text.split_whitespace() {
        let digits = without_prefix(group).unwrap_or(group).as_bytes();
        for pair in digits.chunks(2) {
            let [high, low] = *pair else { return None };
            let digit = |b: u8| char::from(b).to_digit(16);
            bytes.push((digit(high)? << 4 | digit(low)?) as u8);
        }
    }
    Some(bytes)
}

/// The characters of the next place at which `pattern` begins after `from` or, backward, before
/// it. Wraps round, so that `from` itself is the last to be tried; a `from` past the end counts as
/// the last character.
pub fn find(
    characters: &[Character],
    pattern: &[u8],
    from: usize,
    forward: bool,
) -> Option<Range<usize>> {
    let count = characters.len();
    let from = from.min(count.checked_sub(1)?);
    let begins = |&at: &usize| {
        let values = characters[at..].iter().map(|c| c.value);
        values.take(pattern.len()).eq(pattern.iter().copied())
    };
    let place = |step: usize| {
        if forward {
            (from + step) % count
        } else {
            (from + count - step) % count
        }
    };
    if pattern.is_empty() {
        return None;
    }
    let at = (1..=count).map(place).find(begins)?;
    Some(at..at + pattern.len())
}

#[cfg(test)]
mod tests {
    use super::super::made::character;
    use super::*;

    #[test]
    fn text_and_bytes_are_told_apart() {
        for (text, bytes) in [
            ("TIDE", b"TIDE".as_slice()),
            ("  3.2 M ", b"3.2 M"),
            ("\" 3.2 \"", b" 3.2 "),
            ("'53 41'", b"53 41"),
            ("53 41", b"\x53\x41"),
            ("53", b"53"),
            ("5341", b"5341"),
            ("53 4", b"53 4"),
            ("0x53 41 4c", b"SAL"),
            ("0X53414C", b"SAL"),
            ("$0D $0A", b"\r\n"),
            ("0x0D 0x0A", b"\r\n"),
            ("µ", b"\xC2\xB5"),
            ("\"", b"\""),
        ] {
            assert_eq!(parse_pattern(text).as_deref(), Ok(bytes), "{text}");
        }
    }

    #[test]
    fn what_cannot_be_found_is_refused_with_a_sentence() {
        for (text, says) in [
            ("", "nothing to find"),
            ("  ", "nothing to find"),
            ("''", "nothing to find"),
            ("0x", "nothing to find"),
            ("0x5", "two hexadecimal digits"),
            ("$5.00", "in quotes"),
            ("0xµ", "in quotes"),
        ] {
            let err = parse_pattern(text).unwrap_err();
            assert!(err.contains(says) && err.ends_with('.'), "{err}");
        }
    }

    #[test]
    fn the_search_goes_both_ways_and_wraps_round() {
        let list: Vec<_> = b"tidetide"
            .iter()
            .map(|&v| character(f64::from(v), v))
            .collect();
        assert_eq!(find(&list, b"de", 0, true), Some(2..4));
        assert_eq!(find(&list, b"de", 2, true), Some(6..8));
        assert_eq!(find(&list, b"de", 6, true), Some(2..4));
        assert_eq!(find(&list, b"de", 6, false), Some(2..4));
        assert_eq!(find(&list, b"de", 2, false), Some(6..8));
        assert_eq!(find(&list, b"t", usize::MAX, true), Some(0..1));
        // The only one is found again where the search began.
        assert_eq!(find(&list, b"et", 3, true), Some(3..5));
        assert_eq!(find(&list, b"et", 3, false), Some(3..5));
        // No match runs over the end.
        assert_eq!(find(&list, b"eti", 7, true), Some(3..6));
        assert_eq!(find(&list, b"tidetidet", 0, true), None);
        assert_eq!(find(&list, b"", 0, true), None);
        assert_eq!(find(&[], b"t", 0, false), None);
    }
}
