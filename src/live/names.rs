//! What the files of captures are called.

use crate::date;
use crate::source::report_path;
use std::path::{Path, PathBuf};

/// The name of a capture that begins now: `capture-2026-11-24-064000.wav`, in UTC.
pub fn default_name() -> String {
    named_by(&date::now())
}

fn named_by(now: &str) -> String {
    let plain = now.replace('T', "-").replace([':', 'Z'], "");
    format!("capture-{plain}.wav")
}

/// A name like this that no capture has: `tide-again.wav` for `tide.wav`, then `tide-again-2.wav`.
pub fn name_again(path: &Path) -> PathBuf {
    let stem = path.file_stem().unwrap_or_default().to_string_lossy();
    let stem = first_stem(&stem);
    let names = (1..).map(|n| match n {
        1 => format!("{stem}-again.wav"),
        n => format!("{stem}-again-{n}.wav"),
    });
    let mut paths = names.map(|name| path.with_file_name(name));
    let free = paths.find(|p| !p.exists() && !report_path(p).exists());
    free.unwrap_or_else(|| path.into())
}

/// `tide` for `tide-again` and `tide-again-2`.
fn first_stem(stem: &str) -> &str {
    let counts = |rest: &str| {
        let digits = rest.strip_prefix('-').unwrap_or_default();
        rest.is_empty() || (!digits.is_empty() && digits.bytes().all(|b| b.is_ascii_digit()))
    };
    match stem.rsplit_once("-again") {
        Some((first, rest)) if counts(rest) => first,
        _ => stem,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn files_are_named_by_date_and_time() {
        let name = named_by("2026-11-24T06:40:05Z");
        assert_eq!(name, "capture-2026-11-24-064005.wav");
    }

    #[test]
    fn what_begins_again_has_a_file_of_its_own() {
        let folder = tempfile::tempdir().unwrap();
        let mut names = Vec::new();
        let mut last = folder.path().join("tide.wav");
        std::fs::write(folder.path().join("tide-again-2.capture.json"), "").unwrap();
        for _ in 0..3 {
            last = name_again(&last);
            std::fs::write(&last, "").unwrap();
            names.push(last.file_name().unwrap().to_string_lossy().into_owned());
        }
        assert_eq!(
            names,
            ["tide-again.wav", "tide-again-3.wav", "tide-again-4.wav"]
        );
    }

    #[test]
    fn only_the_end_of_a_name_counts() {
        for (stem, first) in [
            ("play-against-tide", "play-against-tide"),
            ("tide-again-low", "tide-again-low"),
            ("tide-again-", "tide-again-"),
            ("tide-again-12", "tide"),
        ] {
            assert_eq!(first_stem(stem), first);
        }
    }
}
