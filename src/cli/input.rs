//! Bytes from files and from standard input.

use super::Failure;
use crate::export::reason;
use std::fs;
use std::io::{self, Read};
use std::path::{Path, PathBuf};

/// Whether a file name stands for standard input or standard output.
pub(super) fn is_standard(path: &Path) -> bool {
    path.as_os_str() == "-"
}

/// Refuses to write over the file that is read: with it, the recording itself would be lost.
pub(super) fn refuse_overwriting(
    input: &Path,
    outputs: &[Option<&PathBuf>],
) -> Result<(), Failure> {
    let Ok(read) = fs::canonicalize(input) else {
        return Ok(());
    };
    let same = |out: &&PathBuf| fs::canonicalize(out).is_ok_and(|written| written == read);
    match outputs.iter().flatten().find(|out| same(out)) {
        Some(out) => Err(Failure::Usage(format!(
            "{} is the file that is read; write to another one.",
            out.display()
        ))),
        None => Ok(()),
    }
}

/// Everything from standard input.
pub(super) fn standard() -> Result<Vec<u8>, Failure> {
    let mut bytes = Vec::new();
    match io::stdin().lock().read_to_end(&mut bytes) {
        Ok(_) => Ok(bytes),
        Err(e) => Err(Failure::Failed(format!(
            "Standard input cannot be read: {}.",
            reason(&e)
        ))),
    }
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
