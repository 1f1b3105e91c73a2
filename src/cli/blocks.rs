//! A file for each block of a recording.

use super::{Failure, input, output};
use crate::signal::Character;
use crate::source::reason;
use crate::study;
use crate::units;
use std::ffi::{OsStr, OsString};
use std::fs;
use std::io;
use std::path::{Path, PathBuf};

/// A folder for blocks. Where it is left without any, it goes again.
pub(super) struct Folder<'a>(&'a Path);

impl<'a> Folder<'a> {
    /// Makes the folder where it is not there.
    pub fn make(path: &'a Path) -> Result<Option<Self>, Failure> {
        if path.is_dir() {
            return Ok(None);
        }
        match fs::create_dir(path) {
            Ok(()) => Ok(Some(Self(path))),
            Err(e) => Err(Failure::Failed(format!(
                "The folder {} cannot be made: {}.",
                path.display(),
                reason(&e)
            ))),
        }
    }
}

impl Drop for Folder<'_> {
    fn drop(&mut self) {
        // The system removes no folder that holds anything.
        let _ = fs::remove_dir(self.0);
    }
}

/// The bytes of each block with their file in `folder`: `NAME-01.bin` and so on, `NAME` being that
/// of the recording without its ending.
pub(super) fn files(
    folder: &Path,
    recording: &Path,
    characters: &[Character],
) -> Vec<(PathBuf, Vec<u8>)> {
    let blocks = study::blocks(characters);
    let last = blocks.len();
    let files = (1..).zip(blocks).map(|(number, block)| {
        let bytes = characters[block].iter().map(|c| c.value).collect();
        (path(folder, recording, number, last), bytes)
    });
    files.collect()
}

/// Says which blocks are written.
pub(super) fn tell(files: &[(PathBuf, Vec<u8>)]) {
    let count = units::counted(files.len(), "block");
    match files {
        [] => {}
        [(only, _)] => output::tell(&format!("{count} written: {}", only.display())),
        [(first, _), .., (last, _)] => output::tell(&format!(
            "{count} written: {} to {}",
            first.display(),
            last.display()
        )),
    }
}

/// Refuses a folder that holds blocks of one of the recordings already, or is none.
pub(super) fn refuse_old_blocks(folder: &Path, recordings: &[&Path]) -> Result<(), Failure> {
    let entries = match fs::read_dir(folder) {
        Ok(entries) => entries,
        Err(e) if e.kind() == io::ErrorKind::NotFound => return Ok(()),
        Err(e) => {
            return Err(Failure::Failed(format!(
                "{} cannot take the blocks: {}.",
                folder.display(),
                reason(&e)
            )));
        }
    };
    let names: Vec<_> = recordings.iter().map(|r| name(r)).collect();
    let old = entries.flatten().map(|entry| entry.path());
    let mut old = old.filter(|path| names.iter().any(|name| is_block(path, name)));
    match old.next() {
        Some(old) => Err(Failure::Failed(format!(
            "{} is there already; choose another folder, or add --replace to write over it.",
            old.display()
        ))),
        None => Ok(()),
    }
}

/// Whether a file is called as the blocks of the recording of this name are.
fn is_block(path: &Path, recording: &OsStr) -> bool {
    let number = path.file_stem().zip(recording.to_str());
    let number =
        number.and_then(|(stem, name)| stem.to_str()?.strip_prefix(name)?.strip_prefix('-'));
    let is_number = |text: &str| text.len() >= 2 && text.bytes().all(|b| b.is_ascii_digit());
    path.extension().is_some_and(|e| e == "bin") && number.is_some_and(is_number)
}

/// Refuses recordings whose blocks would have the same names.
pub(super) fn refuse_equal_names(recordings: &[&Path]) -> Result<(), Failure> {
    let mut names: Vec<_> = recordings.iter().map(|r| name(r)).collect();
    names.sort();
    match names.windows(2).find(|pair| pair[0] == pair[1]) {
        Some(pair) => Err(Failure::Usage(format!(
            "The blocks of two recordings would both be called {}-01.bin; read them one by one.",
            pair[0].display()
        ))),
        None => Ok(()),
    }
}

fn path(folder: &Path, recording: &Path, number: usize, last: usize) -> PathBuf {
    // As many digits as the last one has, so that the names are in order.
    let width = last.to_string().len().max(2);
    let mut file = name(recording);
    file.push(format!("-{number:0width$}.bin"));
    folder.join(file)
}

fn name(recording: &Path) -> OsString {
    if input::is_standard(recording) {
        return "standard-input".into();
    }
    recording.file_stem().unwrap_or_default().to_owned()
}
