//! Bytes from files and from standard input.

use super::Failure;
use super::progress::Progress;
use crate::export::reason;
use crate::settings::SourceSettings;
use crate::source::{self, Opened};
use std::fs;
use std::io::{self, Read};
use std::ops::ControlFlow;
use std::path::Path;

/// What notes and errors call a recording from standard input.
pub(super) const STANDARD: &str = "standard input";

/// Whether a file name stands for standard input or standard output.
pub(super) fn is_standard(path: &Path) -> bool {
    path.as_os_str() == "-"
}

/// Everything from standard input.
pub(super) fn standard() -> Result<Vec<u8>, Failure> {
    let mut bytes = Vec::new();
    let most = source::MOST_PIPED_BYTES;
    match io::stdin().lock().take(most).read_to_end(&mut bytes) {
        Ok(got) if got as u64 == most => Err(Failure::Failed(
            "Standard input gives 4 GiB and more without an end; save it as a file first.".into(),
        )),
        Ok(_) => Ok(bytes),
        Err(e) => Err(Failure::Failed(format!(
            "Standard input cannot be read: {}.",
            reason(&e)
        ))),
    }
}

/// A recording from a file, or from standard input for `-`.
pub(super) fn recording(path: &Path, settings: &SourceSettings) -> Result<Opened, Failure> {
    if is_standard(path) {
        return Ok(source::read_all(standard()?, STANDARD, settings)?);
    }
    let mut progress = Progress::begin();
    let mut show = |now: source::Progress<'_>| {
        if let Some(part) = now.part {
            progress.show("opening", part);
        }
        ControlFlow::Continue(())
    };
    Ok(source::open(path, settings, &mut show)?)
}

/// Everything from a file, or from standard input for `-`.
pub(super) fn bytes(path: &Path) -> Result<Vec<u8>, Failure> {
    if is_standard(path) {
        return standard();
    }
    fs::read(path).map_err(|e| {
        Failure::Failed(format!(
            "{} cannot be read: {}.",
            path.display(),
            reason(&e)
        ))
    })
}
