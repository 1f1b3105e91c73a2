//! Why something could not be read or written, in plain words.

use serde_json::error::Category;
use std::io::{self, ErrorKind};

/// What the system says about an error, without its number and without the path that a library may
/// have put before it.
pub fn reason(error: &io::Error) -> String {
    let inner = error.get_ref().and_then(|e| e.source());
    let text = inner.map_or_else(|| error.to_string(), ToString::to_string);
    match text.split_once(" (os error") {
        Some((words, _)) => words.to_owned(),
        // What the library for input and output says of its own.
        None if error.kind() == ErrorKind::UnexpectedEof => "it ends too early".into(),
        None => text,
    }
}

/// Why a text is not the JSON that it should be: the end of a sentence.
pub fn json_reason(error: &serde_json::Error) -> String {
    match error.classify() {
        Category::Eof => "it ends too early".into(),
        Category::Data => format!("line {} does not hold what belongs there", error.line()),
        Category::Io | Category::Syntax => format!("line {} is not JSON", error.line()),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_reason_is_words_alone() {
        let missing = std::fs::read("there/is/no/such/file").unwrap_err();
        assert!(missing.to_string().contains("os error"));
        assert_eq!(reason(&missing), "No such file or directory");
        let short = io::Read::read_exact(&mut &b"a"[..], &mut [0; 2]).unwrap_err();
        assert_eq!(reason(&short), "it ends too early");
    }

    #[test]
    fn what_is_no_json_is_said_without_the_words_of_a_parser() {
        let why = |text: &str| json_reason(&serde_json::from_str::<Vec<u8>>(text).unwrap_err());
        assert_eq!(why("[1,"), "it ends too early");
        assert_eq!(why("[1,\n2 3]"), "line 2 is not JSON");
        assert_eq!(
            why("[1,\n\n256]"),
            "line 3 does not hold what belongs there"
        );
    }
}
