//! The report that lies beside a capture: where samples are missing from its files.

use super::{json_reason, read_found_text, reason};
use crate::signal::Gap;
use serde::Deserialize;
use std::path::{Path, PathBuf};

/// Where the report of the capture lies that begins with this file: `tide.capture.json` beside
/// `tide.wav`.
pub fn report_path(first: &Path) -> PathBuf {
    first.with_extension("capture.json")
}

/// Where a report may lie that tells of this file: beside it, or beside the first file of the same
/// capture.
pub fn report_paths(path: &Path) -> Vec<PathBuf> {
    let first = first_of(path).map(|(first, _)| first);
    let beside = std::iter::once(path).chain(first.as_deref());
    beside.map(report_path).collect()
}

/// The greatest length of a gap that is believed, in seconds: over a week.
const MOST_S: f64 = 1e6;

/// What is read of a report.
#[derive(Deserialize)]
struct Report {
    files: Vec<PathBuf>,
    #[serde(default)]
    file_begins_at_s: Vec<f64>,
    gaps: Vec<Gap>,
}

impl Report {
    /// Which of its files has this name.
    fn number(&self, path: &Path) -> Option<usize> {
        let name = path.file_name();
        self.files.iter().position(|f| f.file_name() == name)
    }

    /// The gaps as they lie on one of its files, which is so long.
    fn on(&self, number: usize, duration_s: f64) -> Vec<Gap> {
        let from_s = self.file_begins_at_s.get(number).copied().unwrap_or(0.0);
        let gaps = self.gaps.iter().map(|gap| gap.moved(-from_s));
        let mut gaps: Vec<Gap> = gaps
            .filter(|gap| {
                (0.0..=duration_s).contains(&gap.at_s) && (0.0..=MOST_S).contains(&gap.length_s)
            })
            .collect();
        gaps.sort_by(|a, b| a.at_s.total_cmp(&b.at_s));
        gaps
    }
}

/// Where samples are missing from the file, which is so long, by the report beside it; nowhere, where there is none.
///
/// # Errors
/// A sentence, where there is a report that cannot be read.
pub(super) fn gaps_of(path: &Path, duration_s: f64) -> Result<Vec<Gap>, String> {
    let own = report_path(path);
    if let Some(report) = read(&own)? {
        // It may have been copied under another name or in another format since.
        return Ok(report.on(report.number(path).unwrap_or(0), duration_s));
    }
    let Some((first, count)) = first_of(path) else {
        return Ok(Vec::new());
    };
    let Some(report) = read(&report_path(&first))? else {
        return Ok(Vec::new());
    };
    // All files of a capture may have been renamed together; then the count tells which this is.
    let renamed = || {
        report
            .number(&first)
            .is_none()
            .then(|| count.checked_sub(1))?
    };
    let number = report
        .number(path)
        .or_else(renamed)
        .filter(|n| *n < report.files.len());
    Ok(number.map(|n| report.on(n, duration_s)).unwrap_or_default())
}

/// Reads a report, where there is one.
fn read(path: &Path) -> Result<Option<Report>, String> {
    let text = match read_found_text(path) {
        Ok(Some(text)) => Ok(text),
        Ok(None) => return Ok(None),
        Err(e) => Err(reason(&e)),
    };
    let report = text.and_then(|text| serde_json::from_str(&text).map_err(|e| json_reason(&e)));
    report.map(Some).map_err(|why| {
        format!(
            "Whether samples are missing is not known: the report {} beside it cannot be read \
             ({why}).",
            path.file_name().unwrap_or_default().to_string_lossy()
        )
    })
}

/// The first file of the capture whose next files are called like this, and the count of this one:
/// `tide.wav` and 2 for `tide-2.wav`.
fn first_of(path: &Path) -> Option<(PathBuf, usize)> {
    let (first, count) = path.file_stem()?.to_str()?.rsplit_once('-')?;
    let mut first = path.with_file_name(first);
    if let Some(extension) = path.extension() {
        first.add_extension(extension);
    }
    Some((first, count.parse().ok()?))
}
