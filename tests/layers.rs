//! Each layer of `src` may import only the layers above it, and what is tied to the outside
//! world is named only in its own place.

use std::path::{Path, PathBuf};

/// The layers, the lowest first; the same list stands in `DEVELOPERS.md`.
const LAYERS: [&str; 18] = [
    "units",
    "glossary",
    "timing",
    "settings",
    "signal",
    "tape",
    "reference",
    "study",
    "picture",
    "source",
    "export",
    "date",
    "store",
    "worker",
    "live",
    "view",
    "cli",
    "main",
];

/// Layers that touch no file, clock or thread.
const PURE: [&str; 9] = [
    "units",
    "glossary",
    "timing",
    "settings",
    "signal",
    "tape",
    "reference",
    "study",
    "picture",
];

/// Words that stand for a file, a clock, a thread or the network.
const OUTSIDE: [&str; 8] = [
    "std::fs",
    "std::io",
    "std::thread",
    "std::net",
    "std::env",
    "std::process",
    "Instant",
    "SystemTime",
];

/// A word and the only layers that may name it. Tests in a file of their own may use `tempfile`.
const BOUND: [(&str, &[&str]); 10] = [
    ("egui", &["view"]),
    ("eframe", &["view"]),
    ("rfd", &["view"]),
    ("clap", &["cli"]),
    ("symphonia", &["source"]),
    ("tempfile", &["export", "live", "store"]),
    ("egui_plot", &["view"]),
    ("cpal", &["live"]),
    ("rtrb", &["live"]),
    ("ctrlc", &["cli"]),
];

/// A source file without its comments.
struct Source {
    /// Path below `src`.
    name: String,
    code: String,
}

impl Source {
    fn new(name: &str, text: &str) -> Self {
        let code = text
            .lines()
            .map(|line| line.split("//").next().unwrap_or(""));
        Self {
            name: name.into(),
            code: code.collect::<Vec<_>>().join("\n"),
        }
    }

    fn layer(&self) -> &str {
        let first = self.name.split('/').next().unwrap_or("");
        first.trim_end_matches(".rs")
    }

    /// How many modules deep the file lies: 1 for a layer's own file.
    fn depth(&self) -> usize {
        let parts = self.name.split('/').count();
        parts - usize::from(self.name.ends_with("/mod.rs"))
    }

    /// The layers it imports: what follows `crate::`, or a chain of `super::` out of the layer.
    fn imports(&self) -> Vec<&str> {
        let roots = self.code.match_indices("crate::");
        let mut found: Vec<&str> = roots
            .flat_map(|(at, word)| first_names(&self.code[at + word.len()..]))
            .collect();
        let mut rest = 0;
        while let Some(at) = self.code[rest..].find("super::").map(|at| rest + at) {
            let mut end = at;
            while self.code[end..].starts_with("super::") {
                end += "super::".len();
            }
            let levels = (end - at) / "super::".len();
            if levels >= self.depth() + inline_modules(&self.code[..at]) {
                found.extend(first_names(&self.code[end..]));
            }
            rest = end;
        }
        found
    }

    fn names(&self, word: &str) -> bool {
        let is_word = |c: char| c.is_alphanumeric() || c == '_';
        self.code.match_indices(word).any(|(at, _)| {
            !self.code[..at].ends_with(is_word)
                && !self.code[at + word.len()..].starts_with(is_word)
        })
    }
}

/// The first name of a path, or of every path in a group in braces.
fn first_names(path: &str) -> Vec<&str> {
    let name = |text: &str| -> usize {
        let end = text.find(|c: char| !c.is_alphanumeric() && c != '_');
        end.unwrap_or(text.len())
    };
    let Some(group) = path.strip_prefix('{') else {
        return vec![&path[..name(path)]];
    };
    let (mut names, mut depth, mut fresh) = (Vec::new(), 0, true);
    for (at, c) in group.char_indices() {
        match c {
            '{' => depth += 1,
            '}' if depth == 0 => break,
            '}' => depth -= 1,
            ',' if depth == 0 => fresh = true,
            c if fresh && c.is_alphabetic() => {
                names.push(&group[at..at + name(&group[at..])]);
                fresh = false;
            }
            _ => {}
        }
    }
    names
}

/// How many inline modules are open at the end of `code`, which rustfmt has indented.
fn inline_modules(code: &str) -> usize {
    let mut open: Vec<usize> = Vec::new();
    for line in code.lines() {
        let indent = line.len() - line.trim_start().len();
        let text = line.trim();
        if text == "}" && open.last() == Some(&indent) {
            open.pop();
        }
        let opens = text.ends_with('{') && text.split_whitespace().any(|word| word == "mod");
        if opens {
            open.push(indent);
        }
    }
    open.len()
}

fn place(layer: &str) -> Option<usize> {
    LAYERS.iter().position(|l| *l == layer)
}

/// What the file does that its layer may not.
fn offences(source: &Source) -> Vec<String> {
    let layer = source.layer();
    let Some(own) = place(layer) else {
        return vec![format!("{} belongs to no layer", source.name)];
    };
    let mut found = Vec::new();
    for import in source.imports() {
        if place(import).is_none_or(|other| other > own) {
            found.push(format!("{} imports {import}", source.name));
        }
    }
    for (word, layers) in BOUND {
        let tests = word == "tempfile" && source.name.ends_with("/tests.rs");
        if source.names(word) && !layers.contains(&layer) && !tests {
            found.push(format!("{} names {word}", source.name));
        }
    }
    if PURE.contains(&layer) {
        for word in OUTSIDE.iter().filter(|word| source.names(word)) {
            found.push(format!("{} names {word}", source.name));
        }
    }
    found
}

fn all_sources() -> Vec<Source> {
    let root = PathBuf::from(concat!(env!("CARGO_MANIFEST_DIR"), "/src"));
    let mut sources = Vec::new();
    collect(&root, "", &mut sources);
    // The crate's root only declares the layers.
    sources.retain(|s| s.name != "lib.rs");
    sources
}

fn collect(folder: &Path, prefix: &str, sources: &mut Vec<Source>) {
    for entry in std::fs::read_dir(folder).unwrap().map(Result::unwrap) {
        let name = format!("{prefix}{}", entry.file_name().to_string_lossy());
        if entry.path().is_dir() {
            collect(&entry.path(), &format!("{name}/"), sources);
        } else if name.ends_with(".rs") {
            let text = std::fs::read_to_string(entry.path()).unwrap();
            sources.push(Source::new(&name, &text));
        }
    }
}

#[test]
fn every_file_keeps_to_its_layer() {
    let sources = all_sources();
    assert!(sources.len() > 20, "the sources were not found");
    let found: Vec<String> = sources.iter().flat_map(offences).collect();
    assert!(found.is_empty(), "{}", found.join("\n"));
}

#[test]
fn exports_touch_files_in_one_place() {
    let sources = all_sources();
    let touching = sources
        .iter()
        .filter(|s| s.layer() == "export" && s.names("std::fs"));
    let elsewhere = touching.filter(|s| !s.name.starts_with("export/save/"));
    let names: Vec<_> = elsewhere.map(|s| &s.name).collect();
    assert!(names.is_empty(), "{names:?}");
}

/// The check itself finds what it is there to find.
#[test]
fn an_offence_is_found() {
    for (name, code, says) in [
        (
            "signal/chain.rs",
            "use crate::tape::record;",
            "imports tape",
        ),
        (
            "signal/chain.rs",
            "use crate::{settings::{Bench, Trigger}, view};",
            "imports view",
        ),
        ("signal/chain.rs", "use super::super::cli;", "imports cli"),
        ("signal/mod.rs", "use super::cli;", "imports cli"),
        (
            "units.rs",
            "mod tests {\n    use super::super::cli;\n}",
            "imports cli",
        ),
        ("picture/mod.rs", "fn f(ui: &mut egui::Ui) {}", "names egui"),
        (
            "signal/chain.rs",
            "let t = std::time::Instant::now();",
            "names Instant",
        ),
        ("tape/mod.rs", "std::fs::read(p)", "names std::fs"),
        ("view/sound.rs", "use tempfile::TempDir;", "names tempfile"),
        ("extra/mod.rs", "", "belongs to no layer"),
    ] {
        let found = offences(&Source::new(name, code));
        assert!(found.iter().any(|f| f.ends_with(says)), "{name}: {code}");
    }
    for (name, code) in [
        (
            "signal/chain.rs",
            "use crate::settings::Bench; // crate::tape",
        ),
        ("signal/chain.rs", "use super::Edges;"),
        (
            "signal/chain.rs",
            "mod tests {\n    use super::super::edges::drawn;\n}",
        ),
        (
            "view/card.rs",
            "use crate::{picture::DisplayList, signal}; use egui::Ui;",
        ),
        ("signal/character.rs", "struct Instants;"),
        ("view/sound/tests.rs", "use tempfile::TempDir;"),
    ] {
        let found = offences(&Source::new(name, code));
        assert!(found.is_empty(), "{found:?}");
    }
}
