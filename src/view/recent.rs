//! The recordings that were open last.

use std::path::{Path, PathBuf};
use toml::{Table, Value};

/// How many are remembered, at the most.
const MOST: usize = 8;
/// What they are called among the preferences.
const NAME: &str = "recent";

/// Paths of recordings, the newest first, each once.
#[derive(Clone, Debug, Default, PartialEq)]
pub(super) struct Recent(Vec<PathBuf>);

impl Recent {
    /// The paths.
    pub fn paths(&self) -> &[PathBuf] {
        &self.0
    }

    /// A recording has been opened.
    pub fn opened(&mut self, path: &Path) {
        let Ok(path) = std::path::absolute(path) else {
            return;
        };
        self.0.retain(|p| *p != path);
        self.0.insert(0, path);
        self.0.truncate(MOST);
    }

    /// Forgets those that are no longer there.
    pub fn forget_lost(&mut self) {
        self.0.retain(|p| p.exists());
    }

    /// A line of TOML. A path that is not text is left out.
    pub fn write(&self) -> String {
        let texts = self.0.iter().filter_map(|p| p.to_str());
        let texts: Vec<_> = texts.map(|t| Value::String(t.into())).collect();
        format!("{NAME} = {}\n", Value::Array(texts))
    }

    /// Reads what [`Recent::write`] has written.
    pub fn read(table: &Table) -> Self {
        let list = table.get(NAME).and_then(Value::as_array);
        let paths = list.into_iter().flatten().filter_map(Value::as_str);
        Self(paths.map(PathBuf::from).take(MOST).collect())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_newest_comes_first_and_none_twice() {
        let mut recent = Recent::default();
        for n in [1, 2, 3, 1] {
            recent.opened(Path::new(&format!("/tapes/{n} \"a\".wav")));
        }
        let names: Vec<_> = recent.paths().iter().filter_map(|p| p.to_str()).collect();
        assert_eq!(
            names,
            [
                "/tapes/1 \"a\".wav",
                "/tapes/3 \"a\".wav",
                "/tapes/2 \"a\".wav"
            ]
        );
        let read: Table = recent.write().parse().unwrap();
        assert_eq!(Recent::read(&read), recent);
        for n in 0..20 {
            recent.opened(Path::new(&format!("/tapes/{n}.wav")));
        }
        assert_eq!(recent.paths().len(), MOST);
        recent.forget_lost();
        assert!(recent.paths().is_empty());
    }
}
