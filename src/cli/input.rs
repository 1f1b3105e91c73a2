//! Bytes from files and from standard input.

use super::Failure;
use crate::source::{self, Origin, reason};
use std::fs::File;
use std::io;
use std::path::Path;

/// What notes and errors call a recording from standard input.
pub(super) const STANDARD: &str = "standard input";

/// Whether a file name stands for standard input or standard output.
pub(super) fn is_standard(path: &Path) -> bool {
    path.as_os_str() == "-"
}

/// Where the recording comes from that a command names, or from standard input for `-`.
pub(super) fn origin(path: &Path) -> Result<Origin, Failure> {
    Ok(match is_standard(path) {
        true => Origin::piped(io::stdin().lock(), STANDARD)?,
        false => Origin::of(path)?,
    })
}

/// Everything from a file, or from standard input for `-`, which may be so many mebibytes.
pub(super) fn bytes(path: &Path, most_mib: u64) -> Result<Vec<u8>, Failure> {
    let read = match is_standard(path) {
        true => source::read_at_most(io::stdin().lock(), most_mib),
        false => File::open(path).and_then(|file| source::read_at_most(file, most_mib)),
    };
    read.map_err(|e| {
        let name = match is_standard(path) {
            true => "Standard input".into(),
            false => path.display().to_string(),
        };
        Failure::Failed(format!("{name} cannot be read: {}.", reason(&e)))
    })
}
