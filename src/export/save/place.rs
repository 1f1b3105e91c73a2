//! Where a path leads, before anything is written there.

use super::failed;
use crate::source::reason;
use std::fs::{self, Metadata, Permissions};
use std::io;
use std::path::{Path, PathBuf};

/// The most symbolic links that are followed one after the other; Linux follows as many.
const MOST_LINKS: usize = 40;

/// Where a path leads.
pub(super) struct Place {
    /// The file itself, past all links.
    pub path: PathBuf,
    pub kind: Kind,
}

/// What is there.
pub(super) enum Kind {
    /// Nothing yet.
    New,
    /// A plain file with these permissions.
    Plain(Permissions),
    /// A device or a pipe, which takes bytes and keeps none.
    Stream,
}

impl Place {
    /// Where `path` leads.
    ///
    /// # Errors
    /// The end of a sentence, where nothing can be written there.
    pub fn of(path: &Path) -> Result<Self, String> {
        let there = match fs::metadata(path) {
            Ok(there) => there,
            Err(e) if e.kind() == io::ErrorKind::NotFound => return Self::new(path),
            Err(e) if folder(path).is_dir() => return Err(reason(&e)),
            Err(_) => return Err(NO_FOLDER.into()),
        };
        if there.is_dir() {
            return Err("it is a folder".into());
        }
        if holds_a_disk(&there) {
            return Err("it is a disk".into());
        }
        if !there.is_file() {
            return Ok(Self {
                path: path.to_owned(),
                kind: Kind::Stream,
            });
        }
        let permissions = there.permissions();
        // A rename would replace what its owner has protected.
        if permissions.readonly() {
            return Err(reason(&io::ErrorKind::PermissionDenied.into()));
        }
        Ok(Self {
            path: fs::canonicalize(path).map_err(|e| reason(&e))?,
            kind: Kind::Plain(permissions),
        })
    }

    fn new(path: &Path) -> Result<Self, String> {
        let path = past_links(path)?;
        if !folder(&path).is_dir() {
            return Err(NO_FOLDER.into());
        }
        Ok(Self {
            path,
            kind: Kind::New,
        })
    }
}

const NO_FOLDER: &str = "there is no such folder";

/// Whether a file is there that would be lost if `path` were written; for a look before the work.
///
/// # Errors
/// A sentence, where nothing can be written there.
pub fn would_replace(path: &Path) -> Result<bool, String> {
    let place = Place::of(path).map_err(|why| failed(path, &why))?;
    Ok(matches!(place.kind, Kind::Plain(_)))
}

/// Whether `path` leads to a device or a pipe, which keep nothing.
pub fn is_stream(path: &Path) -> bool {
    Place::of(path).is_ok_and(|place| matches!(place.kind, Kind::Stream))
}

/// Which file something is: two that are equal are one file, whatever names lead there.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Identity {
    /// The device and the number of a file on it.
    #[cfg(unix)]
    Number(u64, u64),
    /// The path without links, of what is not there yet or has no number.
    Path(PathBuf),
}

impl Identity {
    /// That of an open file, where it is a plain one.
    #[cfg(unix)]
    pub fn of_open(file: &fs::File) -> Option<Self> {
        let about = file.metadata().ok().filter(Metadata::is_file)?;
        Some(number(&about))
    }
}

/// Which file a path leads to, be it there already or not. None for devices, as they keep
/// nothing that could be lost, for folders, and where there is no such folder.
pub fn identity(path: &Path) -> Option<Identity> {
    let Ok(about) = fs::metadata(path) else {
        let path = past_links(path).ok()?;
        let folder = fs::canonicalize(folder(&path)).ok()?;
        return Some(Identity::Path(folder.join(path.file_name()?)));
    };
    #[cfg(unix)]
    return (about.is_file() || is_pipe(&about)).then(|| number(&about));
    #[cfg(not(unix))]
    return about
        .is_file()
        .then(|| fs::canonicalize(path).ok().map(Identity::Path))?;
}

#[cfg(unix)]
fn number(about: &Metadata) -> Identity {
    use std::os::unix::fs::MetadataExt;
    Identity::Number(about.dev(), about.ino())
}

#[cfg(unix)]
fn is_pipe(about: &Metadata) -> bool {
    std::os::unix::fs::FileTypeExt::is_fifo(&about.file_type())
}

/// The path at the end of the symbolic links that begin with it, where there is no file yet.
fn past_links(path: &Path) -> Result<PathBuf, String> {
    let mut path = path.to_owned();
    for _ in 0..MOST_LINKS {
        let Ok(next) = fs::read_link(&path) else {
            return Ok(path);
        };
        path = folder(&path).join(next);
    }
    Err("its symbolic links lead nowhere".into())
}

#[cfg(unix)]
fn holds_a_disk(about: &Metadata) -> bool {
    std::os::unix::fs::FileTypeExt::is_block_device(&about.file_type())
}

#[cfg(not(unix))]
fn holds_a_disk(_: &Metadata) -> bool {
    false
}

/// The folder that a path lies in.
pub(super) fn folder(path: &Path) -> PathBuf {
    match path.parent() {
        Some(folder) if !folder.as_os_str().is_empty() => folder.to_owned(),
        _ => PathBuf::from("."),
    }
}
