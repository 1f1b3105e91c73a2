//! Text that does nothing to a terminal but to stand on it.
//!
//! File names, reports, benches and devices may hold control characters, with which a terminal can
//! be told to do things, and marks of direction, with which a text can be made to read otherwise
//! than it is.

use std::borrow::Cow;

/// The text on one line, with what is not visible as `\u001b`: the spelling of JSON, so that JSON
/// stays the same JSON.
pub(super) fn visible(text: &str) -> Cow<'_, str> {
    shown(text, &[])
}

/// The same of a text that has lines and columns.
pub(super) fn visible_lines(text: &str) -> Cow<'_, str> {
    shown(text, &['\n', '\t'])
}

fn shown<'a>(text: &'a str, kept: &[char]) -> Cow<'a, str> {
    let is_hidden = |c: char| is_hidden(c) && !kept.contains(&c);
    if !text.contains(is_hidden) {
        return Cow::Borrowed(text);
    }
    let mut shown = String::with_capacity(text.len() + 8);
    for c in text.chars() {
        match is_hidden(c) {
            true => shown.push_str(&format!("\\u{:04x}", u32::from(c))),
            false => shown.push(c),
        }
    }
    Cow::Owned(shown)
}

/// Whether a terminal would obey a character (ECMA-48, C0 and C1 controls), or show no sign of it
/// while the text around it moves: separators of lines and paragraphs, marks and overrides of
/// direction (Unicode 15, UAX 9), characters without a width.
fn is_hidden(c: char) -> bool {
    c.is_control()
        || matches!(c,
            '\u{061C}' | '\u{200B}'..='\u{200F}' | '\u{2028}'..='\u{202E}'
            | '\u{2060}'..='\u{2069}' | '\u{FEFF}')
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_a_terminal_would_obey_is_written_out() {
        assert_eq!(visible("tide Ω «日» .wav"), "tide Ω «日» .wav");
        assert_eq!(
            visible("\x1b[2J\x07\r\n\t\u{9b}31m\u{7f}"),
            "\\u001b[2J\\u0007\\u000d\\u000a\\u0009\\u009b31m\\u007f"
        );
        assert_eq!(visible("a\u{202E}vaw.b"), "a\\u202evaw.b");
        assert_eq!(visible_lines("a\tb\nc\x1b\n"), "a\tb\nc\\u001b\n");
    }

    #[test]
    fn json_stays_the_same_json() {
        let value = serde_json::json!({ "path": "a\u{202E}\u{7f}\x1b\\.wav", "n": [1, 2] });
        let text = serde_json::to_string_pretty(&value).unwrap();
        let shown = visible_lines(&text);
        assert_ne!(shown, text);
        assert_eq!(
            serde_json::from_str::<serde_json::Value>(&shown).unwrap(),
            value
        );
    }
}
