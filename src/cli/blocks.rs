//! A file for each block of a recording.

use super::{Failure, input, output};
use crate::export;
use crate::signal::Character;
use crate::study;
use crate::units;
use std::ffi::OsString;
use std::fs;
use std::path::{Path, PathBuf};

/// Writes the bytes of each block into `folder`, which is made where it is not there, as
/// `NAME-01.bin` and so on, `NAME` being that of the recording without its ending.
pub(super) fn write(
    folder: &Path,
    recording: &Path,
    characters: &[Character],
    replace: bool,
) -> Result<(), Failure> {
    let blocks = study::blocks(characters);
    let paths: Vec<_> = (1..=blocks.len())
        .map(|number| path(folder, recording, number, blocks.len()))
        .collect();
    if let Some(there) = paths.iter().find(|p| !replace && p.exists()) {
        return Err(Failure::Failed(format!(
            "{} is there already; choose another folder, or add --replace to write over it.",
            there.display()
        )));
    }
    let (Some(first), Some(last)) = (paths.first(), paths.last()) else {
        return Ok(());
    };
    if !folder.is_dir() {
        fs::create_dir(folder).map_err(|e| {
            let reason = export::reason(&e);
            format!("The folder {} cannot be made: {reason}.", folder.display())
        })?;
    }
    for (path, block) in paths.iter().zip(blocks) {
        let bytes: Vec<u8> = characters[block].iter().map(|c| c.value).collect();
        export::save(path, &bytes)?;
    }
    output::tell(&format!(
        "{} written: {} to {}",
        units::counted(paths.len(), "block"),
        first.display(),
        last.display()
    ));
    Ok(())
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
