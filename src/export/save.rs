//! The one place that creates files.

use std::fs;
use std::io::{self, Write};
use std::path::{Path, PathBuf};

/// Writes a file as a whole: to a temporary file in the same folder, which then takes the name.
/// A file that was there before is replaced only by the finished one and hands on its
/// permissions; behind a symbolic link, the file it points to is replaced. What is not a plain
/// file (a pipe, a device) is written to directly, and what is protected against writing is left
/// alone.
///
/// # Errors
/// A sentence with the path and the reason.
pub fn save(path: &Path, bytes: &[u8]) -> Result<(), String> {
    write(path, bytes).map_err(|e| {
        let reason = if folder(path).is_dir() {
            reason(&e)
        } else {
            "there is no such folder".into()
        };
        format!("{} cannot be written: {reason}.", path.display())
    })
}

fn write(path: &Path, bytes: &[u8]) -> io::Result<()> {
    let old = fs::metadata(path).ok();
    if let Some(old) = &old
        && !old.is_file()
    {
        return fs::write(path, bytes);
    }
    // A rename would replace what its owner has protected.
    if old.as_ref().is_some_and(|o| o.permissions().readonly()) {
        return Err(io::ErrorKind::PermissionDenied.into());
    }
    let path = if old.is_some() {
        fs::canonicalize(path)?
    } else {
        path.to_owned()
    };
    let mut builder = tempfile::Builder::new();
    builder.prefix(".pulsewright-");
    // The temporary file is private by default; a new file gets what the umask leaves.
    #[cfg(unix)]
    builder.permissions(std::os::unix::fs::PermissionsExt::from_mode(0o666));
    let mut file = builder.tempfile_in(folder(&path))?;
    file.write_all(bytes)?;
    if let Some(old) = old {
        file.as_file().set_permissions(old.permissions())?;
    }
    file.as_file().sync_all()?;
    file.persist(&path)?;
    Ok(())
}

/// The folder that a path lies in.
fn folder(path: &Path) -> PathBuf {
    match path.parent() {
        Some(folder) if !folder.as_os_str().is_empty() => folder.to_owned(),
        _ => PathBuf::from("."),
    }
}

/// What the system says about an error, without its number and without the path that a library may
/// have put before it.
pub fn reason(error: &io::Error) -> String {
    let inner = error.get_ref().and_then(|e| e.source());
    let text = inner.map_or_else(|| error.to_string(), ToString::to_string);
    match text.split_once(" (os error") {
        Some((words, _)) => words.to_owned(),
        None => text,
    }
}
