//! What the user's own folder keeps between sessions: the last settings, named benches,
//! preferences of the window.
//!
//! A file that cannot be read is never written over: [`Store::set_aside`] renames it first.

use crate::export::save;
use crate::source::{read_found_text, reason};
use std::fs;
use std::path::{Path, PathBuf};

/// The user's folder for Pulsewright.
#[derive(Clone, Debug)]
pub struct Store {
    folder: Option<PathBuf>,
}

/// The folder of named benches within the store.
const BENCHES: &str = "benches";

impl Store {
    /// The folder by the XDG Base Directory Specification: `$XDG_CONFIG_HOME/pulsewright`, or
    /// `~/.config/pulsewright`.
    pub fn of_user() -> Self {
        let absolute = |name| {
            std::env::var_os(name)
                .map(PathBuf::from)
                .filter(|p| p.is_absolute())
        };
        let config =
            absolute("XDG_CONFIG_HOME").or_else(|| Some(absolute("HOME")?.join(".config")));
        Self {
            folder: config.map(|c| c.join("pulsewright")),
        }
    }

    /// A store in the given folder.
    pub fn at(folder: impl Into<PathBuf>) -> Self {
        Self {
            folder: Some(folder.into()),
        }
    }

    fn path(&self, name: &str) -> Result<PathBuf, String> {
        let folder = self.folder.as_ref();
        folder
            .map(|f| f.join(name))
            .ok_or_else(|| "There is no home folder to keep settings in.".into())
    }

    /// The path of the bench of this name.
    ///
    /// # Errors
    /// A sentence, where the name cannot be a file's or there is no folder.
    pub fn bench_path(&self, name: &str) -> Result<PathBuf, String> {
        let fits = |c: char| c.is_alphanumeric() || " -_.+".contains(c);
        if name.trim().is_empty() || name.starts_with('.') || !name.chars().all(fits) {
            return Err(format!(
                "'{name}' cannot name a bench; use letters, digits, spaces and - _ . +"
            ));
        }
        self.path(&format!("{BENCHES}/{name}.toml"))
    }

    /// The text of the bench of this name; `None` where there is none.
    ///
    /// # Errors
    /// A sentence, where it is there and cannot be read.
    pub fn bench(&self, name: &str) -> Result<Option<String>, String> {
        self.read(&format!("{BENCHES}/{name}.toml"))
    }

    /// The names of the benches, sorted.
    pub fn bench_names(&self) -> Vec<String> {
        let folder = self.path(BENCHES).ok();
        let entries = folder.and_then(|f| fs::read_dir(f).ok());
        let mut names: Vec<_> = entries
            .into_iter()
            .flatten()
            .filter_map(|e| bench_name(&e.ok()?.path()))
            .collect();
        names.sort();
        names
    }

    /// Gives a bench another name.
    ///
    /// # Errors
    /// A sentence, where that name is taken or cannot be a file's, or the file cannot be renamed.
    pub fn rename_bench(&self, from: &str, to: &str) -> Result<(), String> {
        let (old, new) = (self.bench_path(from)?, self.bench_path(to)?);
        if new != old && is_taken(&new) {
            return Err(format!(
                "There is a bench '{to}' already; choose another name."
            ));
        }
        fs::rename(&old, &new)
            .map_err(|e| format!("The bench '{from}' could not be renamed: {}.", reason(&e)))
    }

    /// Deletes a bench.
    ///
    /// # Errors
    /// A sentence, where the file cannot be removed.
    pub fn delete_bench(&self, name: &str) -> Result<(), String> {
        fs::remove_file(self.bench_path(name)?)
            .map_err(|e| format!("The bench '{name}' could not be deleted: {}.", reason(&e)))
    }

    /// The content of a file of the store; `None` where there is no such file.
    ///
    /// # Errors
    /// A sentence, where it is there and cannot be read.
    pub fn read(&self, name: &str) -> Result<Option<String>, String> {
        let Ok(path) = self.path(name) else {
            return Ok(None);
        };
        read_found_text(&path)
            .map_err(|e| format!("{} could not be read: {}.", path.display(), reason(&e)))
    }

    /// Reads a file of the store with `parse`; `None` where there is no such file. One that does
    /// not read is set aside, so that nothing is ever written over it; a device, a pipe or a folder
    /// of that name stays where it is. `what` it holds begins the
    /// sentence, in the plural.
    ///
    /// # Errors
    /// A sentence that says so, and why.
    pub fn read_or_set_aside<T>(
        &self,
        name: &str,
        what: &str,
        parse: impl FnOnce(&str) -> Result<T, String>,
    ) -> Result<Option<T>, String> {
        let read = self.read(name);
        let why = match read.and_then(|text| text.map(|t| parse(&t)).transpose()) {
            Ok(read) => return Ok(read),
            Err(why) => why,
        };
        if self.is_not_plain(name) {
            return Err(format!("{what} are the defaults. {why}"));
        }
        let aside = self.set_aside(name)?;
        let aside = aside.file_name().unwrap_or_default().to_string_lossy();
        Err(format!(
            "{what} could not be read and are kept as {aside}; the defaults are used. {why}"
        ))
    }

    /// Writes a file of the store, whole or not at all; a device, a pipe or a folder of that name
    /// is left alone.
    ///
    /// # Errors
    /// A sentence, where that fails.
    pub fn write(&self, name: &str, text: &str) -> Result<(), String> {
        write_text(&self.path(name)?, text)
    }

    /// Whether there is something of this name that is no plain file.
    fn is_not_plain(&self, name: &str) -> bool {
        self.path(name).is_ok_and(|path| is_not_plain(&path))
    }

    /// Renames a file of the store that cannot be used, and gives its new path.
    ///
    /// # Errors
    /// A sentence, where that fails.
    pub fn set_aside(&self, name: &str) -> Result<PathBuf, String> {
        let path = self.path(name)?;
        let free = (1..).map(|n| match n {
            1 => path.with_extension("damaged"),
            n => path.with_extension(format!("damaged-{n}")),
        });
        let aside = free
            .into_iter()
            .find(|p| !is_taken(p))
            .expect("a free name comes in time");
        fs::rename(&path, &aside)
            .map_err(|e| format!("{} could not be renamed: {}.", path.display(), reason(&e)))?;
        Ok(aside)
    }
}

/// Whether something has this name, if only a symbolic link that leads nowhere.
fn is_taken(path: &Path) -> bool {
    fs::symlink_metadata(path).is_ok()
}

/// Whether there is something at this path that is no plain file.
fn is_not_plain(path: &Path) -> bool {
    fs::metadata(path).is_ok_and(|about| !about.is_file())
}

/// Writes a text with the folders that it needs, whole or not at all.
///
/// # Errors
/// A sentence, where that fails or the path leads to something that is no plain file.
pub fn write_text(path: &Path, text: &str) -> Result<(), String> {
    if is_not_plain(path) {
        let path = path.display();
        return Err(format!("{path} is no plain file, and is left as it is."));
    }
    if let Some(folder) = path.parent() {
        fs::create_dir_all(folder)
            .map_err(|e| format!("{} could not be made: {}.", folder.display(), reason(&e)))?;
    }
    save(path, text.as_bytes()).map_err(|e| e.to_string())
}

/// The name of the bench in this file.
pub fn bench_name(path: &Path) -> Option<String> {
    let is_toml = path.extension().is_some_and(|e| e == "toml");
    is_toml.then(|| path.file_stem().map(|s| s.to_string_lossy().into_owned()))?
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_is_written_is_read_and_a_damaged_file_is_kept() {
        let folder = tempfile::tempdir().unwrap();
        let store = Store::at(folder.path().join("deep"));
        assert_eq!(store.read("last.toml"), Ok(None));
        store.write("last.toml", "one").unwrap();
        assert_eq!(store.read("last.toml"), Ok(Some("one".into())));
        let aside = store.set_aside("last.toml").unwrap();
        assert_eq!(fs::read_to_string(aside).unwrap(), "one");
        store.write("last.toml", "two").unwrap();
        let second = store.set_aside("last.toml").unwrap();
        assert_eq!(fs::read_to_string(second).unwrap(), "two");
    }

    /// POSIX mkfifo: a pipe that is opened for reading waits for a writer, by default for ever.
    #[test]
    #[cfg(unix)]
    fn what_is_no_plain_file_is_neither_opened_nor_replaced() {
        use std::os::unix::fs::{FileTypeExt, symlink};
        let folder = tempfile::tempdir().unwrap();
        let path = |name: &str| folder.path().join(name);
        let made = std::process::Command::new("mkfifo")
            .arg(path("pipe.toml"))
            .status();
        assert!(made.unwrap().success());
        symlink("/dev/null", path("null.toml")).unwrap();
        fs::create_dir(path("folder.toml")).unwrap();
        let store = Store::at(folder.path());
        for name in ["pipe.toml", "null.toml", "folder.toml"] {
            let read = store.read_or_set_aside(name, "The settings", |_| Ok(()));
            assert!(read.unwrap_err().contains("no plain file"), "{name}");
            let written = store.write(name, "new").unwrap_err();
            assert!(written.contains("is left as it is"), "{written}");
        }
        assert!(
            fs::metadata(path("pipe.toml"))
                .unwrap()
                .file_type()
                .is_fifo()
        );
        assert!(path("null.toml").is_symlink());
        assert_eq!(fs::read_dir(folder.path()).unwrap().count(), 3);
    }

    /// Settings that lie elsewhere, on a disk that may not be there.
    #[test]
    #[cfg(unix)]
    fn a_link_to_settings_that_are_not_there_yet_stays_a_link() {
        use std::os::unix::fs::symlink;
        let (folder, other) = (tempfile::tempdir().unwrap(), tempfile::tempdir().unwrap());
        let store = Store::at(folder.path());
        let link = folder.path().join("last.toml");
        symlink(other.path().join("disk/last.toml"), &link).unwrap();
        assert_eq!(store.read("last.toml"), Ok(None));
        assert!(store.write("last.toml", "one").is_err());
        fs::create_dir(other.path().join("disk")).unwrap();
        store.write("last.toml", "two").unwrap();
        assert_eq!(store.read("last.toml"), Ok(Some("two".into())));
        assert!(link.is_symlink());
        assert!(other.path().join("disk/last.toml").is_file());
        // Nor is a link that leads nowhere a free name.
        symlink("nowhere", folder.path().join("last.damaged")).unwrap();
        let aside = store.set_aside("last.toml").unwrap();
        assert!(aside.ends_with("last.damaged-2"), "{aside:?}");
    }

    #[test]
    fn benches_have_names() {
        let folder = tempfile::tempdir().unwrap();
        let store = Store::at(folder.path());
        for name in ["deck two", "attic-7"] {
            write_text(&store.bench_path(name).unwrap(), "").unwrap();
        }
        assert_eq!(store.bench_names(), ["attic-7", "deck two"]);
        for name in ["", " ", "../up", "a/b", ".hidden"] {
            assert!(store.bench_path(name).is_err(), "{name}");
        }
        let taken = store.rename_bench("attic-7", "deck two").unwrap_err();
        assert!(taken.contains("'deck two' already"), "{taken}");
        store.rename_bench("attic-7", "attic").unwrap();
        store.delete_bench("deck two").unwrap();
        assert_eq!(store.bench_names(), ["attic"]);
        assert!(store.delete_bench("deck two").is_err());
    }
}
