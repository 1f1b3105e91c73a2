//! The report that lies beside a capture: where samples are missing from its files.

use crate::signal::Gap;
use serde::Deserialize;
use std::fs;
use std::io;
use std::path::{Path, PathBuf};

/// Where the report of the capture lies that begins with this file: `tide.capture.json` beside
/// `tide.wav`.
pub fn report_path(first: &Path) -> PathBuf {
    first.with_extension("capture.json")
}

/// What is read of a report.
#[derive(Deserialize)]
struct Report {
    files: Vec<PathBuf>,
    #[serde(default)]
    file_begins_at_s: Vec<f64>,
    gaps: Vec<Gap>,
}

impl Report {
    /// Which of its files this is.
    fn number(&self, path: &Path) -> Option<usize> {
        let name = path.file_name();
        self.files.iter().position(|f| f.file_name() == name)
    }

    /// The gaps as they lie on one of its files, or on the whole.
    fn on(&self, number: Option<usize>) -> Vec<Gap> {
        let begins_at_s = |n: usize| self.file_begins_at_s.get(n).copied();
        let from_s = number.and_then(begins_at_s).unwrap_or(0.0);
        let to_s = number
            .and_then(|n| begins_at_s(n + 1))
            .unwrap_or(f64::INFINITY);
        let gaps = Gap::within(&self.gaps, from_s, to_s).iter();
        gaps.map(|gap| gap.moved(-from_s)).collect()
    }
}

/// Where samples are missing from the file, by the report beside it; nowhere, where there is none.
///
/// # Errors
/// A sentence, where there is a report that cannot be read.
pub(super) fn gaps_of(path: &Path) -> Result<Vec<Gap>, String> {
    let own = report_path(path);
    let of_first = first_of(path).map(|first| report_path(&first));
    for beside in [Some(&own), of_first.as_ref()].into_iter().flatten() {
        let text = match fs::read_to_string(beside) {
            Ok(text) => Ok(text),
            Err(e) if e.kind() == io::ErrorKind::NotFound => continue,
            Err(e) => Err(e.to_string()),
        };
        let report =
            text.and_then(|text| serde_json::from_str::<Report>(&text).map_err(|e| e.to_string()));
        let name = beside.file_name().unwrap_or_default().to_string_lossy();
        let report = report.map_err(|why| {
            format!(
                "Whether samples are missing is not known: the report {name} beside it cannot be \
                 read ({why})."
            )
        })?;
        let number = report.number(path);
        // It may have been copied under another name or in another format since.
        if number.is_some() || *beside == own {
            return Ok(report.on(number));
        }
    }
    Ok(Vec::new())
}

/// The first file of the capture whose next files are called like this: `tide.wav` for
/// `tide-2.wav`.
fn first_of(path: &Path) -> Option<PathBuf> {
    let (first, number) = path.file_stem()?.to_str()?.rsplit_once('-')?;
    number.parse::<u32>().ok()?;
    Some(
        path.with_file_name(first)
            .with_added_extension(path.extension()?),
    )
}
