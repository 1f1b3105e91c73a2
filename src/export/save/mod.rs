//! The one place that creates files.

mod place;
mod stream;

pub use place::{Identity, identity, is_stream, would_replace};

use crate::source::reason;
use place::{Kind, Place, folder};
use std::fs;
use std::io::{self, Write};
use std::path::{Path, PathBuf};
use tempfile::TempPath;

/// Writes a file whole or not at all. One that was there before is replaced.
///
/// # Errors
/// As [`Batch::add`] and [`Batch::commit`].
pub fn save(path: &Path, bytes: &[u8]) -> Result<(), String> {
    let mut batch = Batch::new(true);
    batch.add(path, bytes)?;
    batch.commit()
}

/// Files that are written together: all of them, or none.
///
/// Each is written to a temporary file in its own folder, and only when all of them are on the
/// disk do they take their names. A file that was there before is replaced only by the finished one
/// and hands on its permissions; where a symbolic link leads, the file it points to is written. A
/// device or a pipe is written to directly, and what is protected against writing is left alone.
pub struct Batch<'a> {
    replace: bool,
    files: Vec<Staged>,
    streams: Vec<(&'a Path, &'a [u8])>,
}

/// A finished file that has not taken its name yet.
struct Staged {
    file: TempPath,
    /// Where it goes, past all links, and the name by which it was asked for.
    path: PathBuf,
    name: PathBuf,
}

/// How to take back a file that has taken its name.
struct Undo {
    path: PathBuf,
    old: Option<TempPath>,
}

impl<'a> Batch<'a> {
    /// A batch without files. Unless it may `replace`, it fails where a file of the name is there.
    pub fn new(replace: bool) -> Self {
        Self {
            replace,
            files: Vec::new(),
            streams: Vec::new(),
        }
    }

    /// Adds a file with this content.
    ///
    /// # Errors
    /// A sentence with the path and the reason; nothing is written then.
    pub fn add(&mut self, path: &'a Path, bytes: &'a [u8]) -> Result<(), String> {
        let place = Place::of(path).map_err(|why| failed(path, &why))?;
        if let Kind::Stream = place.kind {
            self.streams.push((path, bytes));
            return Ok(());
        }
        let file = stage(&place, bytes).map_err(|e| failed(path, &reason(&e)))?;
        self.files.push(Staged {
            file,
            path: place.path,
            name: path.to_owned(),
        });
        Ok(())
    }

    /// Writes to devices and pipes, then gives every file its name.
    ///
    /// # Errors
    /// A sentence with the path and the reason; all files are then what they were before.
    pub fn commit(self) -> Result<(), String> {
        for (path, bytes) in self.streams {
            stream::write(path, bytes).map_err(|why| failed(path, &why))?;
        }
        let mut done: Vec<Undo> = Vec::new();
        let mut left = self.files.len();
        for file in self.files {
            left -= 1;
            let name = file.name.clone();
            match file.take_name(self.replace, left > 0) {
                Ok(undo) => done.push(undo),
                Err(e) => {
                    done.into_iter().rev().for_each(Undo::run);
                    return Err(match e.kind() {
                        io::ErrorKind::AlreadyExists => {
                            format!("{} is there already; choose another name.", name.display())
                        }
                        _ => failed(&name, &reason(&e)),
                    });
                }
            }
        }
        Ok(())
    }
}

impl Staged {
    /// Gives the file its name, and says how to take that back; `keeps` the old file for it.
    fn take_name(self, replace: bool, keeps: bool) -> io::Result<Undo> {
        let Self { file, path, .. } = self;
        let old = (replace && keeps && path.exists()).then(|| spare(&path));
        let old = old.transpose()?;
        if replace {
            file.persist(&path)?;
        } else {
            new_name(file, &path)?;
        }
        Ok(Undo { path, old })
    }
}

impl Undo {
    /// Puts back what was there. This is done while another failure is on its way to the user;
    /// one more has nobody to hear it.
    fn run(self) {
        let _ = match self.old {
            Some(old) => old.persist(&self.path).map_err(io::Error::from),
            None => fs::remove_file(&self.path),
        };
    }
}

/// Gives a file a name that no file has yet.
fn new_name(file: TempPath, path: &Path) -> io::Result<()> {
    match file.persist_noclobber(path) {
        Ok(()) => Ok(()),
        // Some file systems cannot rename in this way.
        Err(e) if fs::symlink_metadata(path).is_err() => Ok(e.path.persist(path)?),
        Err(_) => Err(io::ErrorKind::AlreadyExists.into()),
    }
}

/// The file under a second, temporary name.
fn spare(path: &Path) -> io::Result<TempPath> {
    let link = |to: &Path| match fs::hard_link(path, to) {
        Err(e) if e.kind() != io::ErrorKind::AlreadyExists => fs::copy(path, to).map(drop),
        done => done,
    };
    Ok(builder().make_in(folder(path), link)?.into_temp_path())
}

/// The content in a temporary file beside the place it goes to.
fn stage(place: &Place, bytes: &[u8]) -> io::Result<TempPath> {
    let mut file = builder().tempfile_in(folder(&place.path))?;
    file.write_all(bytes)?;
    if let Kind::Plain(old) = &place.kind {
        file.as_file().set_permissions(old.clone())?;
    }
    file.as_file().sync_all()?;
    // Closed: a batch may hold more files than a program may have open.
    Ok(file.into_temp_path())
}

fn builder() -> tempfile::Builder<'static, 'static> {
    let mut builder = tempfile::Builder::new();
    builder.prefix(".pulsewright-");
    // The temporary file is private by default; a new file gets what the umask leaves.
    #[cfg(unix)]
    builder.permissions(std::os::unix::fs::PermissionsExt::from_mode(0o666));
    builder
}

fn failed(path: &Path, why: &str) -> String {
    format!("{} cannot be written: {why}.", path.display())
}

#[cfg(test)]
mod tests {
    use super::*;

    fn names(folder: &Path) -> Vec<String> {
        let names = fs::read_dir(folder).unwrap();
        let name = |e: io::Result<fs::DirEntry>| e.unwrap().file_name().into_string().unwrap();
        let mut names: Vec<_> = names.map(name).collect();
        names.sort();
        names
    }

    /// The last file of a batch cannot take its name: those before it are what they were.
    #[test]
    fn a_batch_that_fails_at_its_end_is_taken_back() {
        let folder = tempfile::tempdir().unwrap();
        let path = |name: &str| folder.path().join(name);
        fs::write(path("old"), "old").unwrap();
        let paths = ["old", "new", "late"].map(path);
        let mut batch = Batch::new(true);
        for path in &paths {
            batch.add(path, b"fresh").unwrap();
        }
        fs::create_dir(path("late")).unwrap();
        let why = batch.commit().unwrap_err();
        assert!(why.contains("late cannot be written"), "{why}");
        assert_eq!(fs::read(path("old")).unwrap(), b"old");
        assert_eq!(names(folder.path()), ["late", "old"]);
    }

    #[test]
    fn a_file_that_comes_up_meanwhile_is_not_written_over() {
        let folder = tempfile::tempdir().unwrap();
        let paths = ["a", "b"].map(|name| folder.path().join(name));
        let mut batch = Batch::new(false);
        for path in &paths {
            batch.add(path, b"fresh").unwrap();
        }
        fs::write(&paths[1], "precious").unwrap();
        let why = batch.commit().unwrap_err();
        assert!(why.contains("is there already"), "{why}");
        assert_eq!(fs::read(&paths[1]).unwrap(), b"precious");
        assert_eq!(names(folder.path()), ["b"]);
    }

    #[test]
    fn a_batch_that_is_given_up_leaves_nothing() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("a");
        let mut batch = Batch::new(false);
        batch.add(&path, b"fresh").unwrap();
        drop(batch);
        assert!(names(folder.path()).is_empty());
    }
}
