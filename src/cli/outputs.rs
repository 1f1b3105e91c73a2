//! What a command reads and writes: declared before its work begins, so that nothing is lost by it.
//!
//! A command names every file that it will write, and those that it reads and `Outputs::of` does
//! not know; whatever would be lost is refused there, with a sentence. What it has made goes out
//! through `Outputs::save` and `output::print`, and by no other way.

use super::Failure;
use super::input::is_standard;
use super::output;
use crate::export::{self, Batch, Identity};
use crate::source;
use clap::{Arg, ArgAction, ArgMatches};
use std::path::{Path, PathBuf};

/// The argument that allows to write over files; every command that writes some has it.
pub(super) fn replace() -> Arg {
    Arg::new("replace")
        .long("replace")
        .action(ArgAction::SetTrue)
        .help("Write over files that are there already")
}

/// The files of a command.
pub(super) struct Outputs<'a> {
    matches: &'a ArgMatches,
    /// Whether files that are there may be written over.
    replace: bool,
    claims: Vec<Claim>,
    /// What goes to standard output instead of the usual text.
    printed: Option<String>,
}

/// A file that the command has a use for.
struct Claim {
    file: Identity,
    used: Use,
}

/// What for.
enum Use {
    /// It is read; what it is.
    Read(&'static str),
    /// A result goes there, by this name.
    Written(PathBuf),
    /// The shell has sent a stream there; which.
    Stream(&'static str),
}

impl<'a> Outputs<'a> {
    /// The declaration of a command without outputs yet. What it reads by the arguments `file` and
    /// `bench` is known.
    pub fn of(matches: &'a ArgMatches) -> Result<Self, Failure> {
        let mut outputs = Self {
            matches,
            replace: matches.try_get_one("replace").ok().flatten() == Some(&true),
            claims: Vec::new(),
            printed: None,
        };
        for (name, file) in standard_streams() {
            outputs.claim(file, Use::Stream(name));
        }
        for file in given(matches, "file") {
            outputs.reads(file, "the file that is read")?;
            for report in source::report_paths(file) {
                outputs.reads(&report, "the report of the capture that is read")?;
            }
        }
        for bench in given(matches, "bench") {
            outputs.reads(bench, "the bench that is read")?;
        }
        Ok(outputs)
    }

    /// Declares a file that is read; `what` it is goes into a sentence.
    ///
    /// # Errors
    /// A sentence, where the shell has standard output or standard error written to it.
    pub fn reads(&mut self, path: &Path, what: &'static str) -> Result<(), Failure> {
        let file = if is_standard(path) {
            standard_input()
        } else {
            export::identity(path)
        };
        if let Some(Use::Stream(name)) = self.used(file.as_ref()) {
            return Err(Failure::Usage(format!(
                "{} is {what}, and {name} goes to the same file; send that to another one.",
                path.display()
            )));
        }
        self.claim(file, Use::Read(what));
        Ok(())
    }

    /// Declares the file that the argument `id` names as one to write, if it is given.
    ///
    /// # Errors
    /// As [`Outputs::writes`].
    pub fn writes_given(&mut self, id: &str) -> Result<(), Failure> {
        match self.matches.get_one::<PathBuf>(id) {
            Some(path) => self.writes(id, path),
            None => Ok(()),
        }
    }

    /// Declares a file to write, be it named by the argument `id` or derived from others in its
    /// place; `-` is standard output.
    ///
    /// # Errors
    /// A sentence, where it is one of those declared before, is there and may not be replaced, or
    /// cannot be written.
    pub fn writes(&mut self, id: &str, path: &Path) -> Result<(), Failure> {
        if is_standard(path) {
            return self.prints(&format!("--{id} -"));
        }
        let file = export::identity(path);
        if let Some(other) = self.used(file.as_ref()) {
            return Err(Failure::Usage(other.against(path)));
        }
        if export::would_replace(path)? && !self.replace {
            return Err(Failure::Failed(format!(
                "{} is there already; choose another name, or add --replace to write over it.",
                path.display()
            )));
        }
        self.claim(file, Use::Written(path.to_owned()));
        Ok(())
    }

    /// Declares that what the argument `flag` asks for goes to standard output.
    ///
    /// # Errors
    /// A sentence, where something else goes there already.
    pub fn prints(&mut self, flag: &str) -> Result<(), Failure> {
        if let Some(other) = &self.printed {
            return Err(Failure::Usage(format!(
                "Standard output takes only one of {other} and {flag}; name a file for the other."
            )));
        }
        self.printed = Some(flag.to_owned());
        Ok(())
    }

    /// Whether files that are there may be written over.
    pub fn may_replace(&self) -> bool {
        self.replace
    }

    /// Whether standard output holds a result, and must hold nothing else.
    pub fn is_standard_output_taken(&self) -> bool {
        self.printed.is_some()
    }

    /// Writes results to the files they belong to, `-` being standard output: all of them, or none.
    ///
    /// # Errors
    /// A sentence, where one cannot be written; all files are then what they were before.
    pub fn save(&self, results: &[(&Path, &[u8])]) -> Result<(), Failure> {
        let mut batch = Batch::new(self.replace);
        let (printed, kept): (Vec<_>, Vec<_>) = results.iter().partition(|r| is_standard(r.0));
        for (path, bytes) in kept {
            batch.add(path, bytes)?;
        }
        for (_, bytes) in printed {
            output::print_bytes(bytes)?;
        }
        Ok(batch.commit()?)
    }

    /// What a file is used for that was declared before.
    fn used(&self, file: Option<&Identity>) -> Option<&Use> {
        let claim = self.claims.iter().find(|c| Some(&c.file) == file);
        claim.map(|c| &c.used)
    }

    fn claim(&mut self, file: Option<Identity>, used: Use) {
        self.claims.extend(file.map(|file| Claim { file, used }));
    }
}

impl Use {
    /// Why a result that would go to `path` cannot, where that is the same file.
    fn against(&self, path: &Path) -> String {
        let path = path.display();
        match self {
            Self::Read(what) => format!("{path} is {what}; write to another one."),
            Self::Written(other) if other.display().to_string() == path.to_string() => {
                format!("{path} is named for two results; give each a file of its own.")
            }
            Self::Written(other) => format!(
                "{} and {path} are one file; give each result a file of its own.",
                other.display()
            ),
            Self::Stream(name) => {
                format!("{path} is where {name} goes already; write to another file.")
            }
        }
    }
}

/// The paths that an argument names, if the command has it.
fn given<'a>(matches: &'a ArgMatches, id: &str) -> impl Iterator<Item = &'a PathBuf> {
    let paths = matches.try_get_many::<PathBuf>(id).ok().flatten();
    paths.into_iter().flatten()
}

/// The plain files that the shell has sent standard output and standard error to.
#[cfg(unix)]
fn standard_streams() -> [(&'static str, Option<Identity>); 2] {
    [
        ("standard output", open_file(std::io::stdout())),
        ("standard error", open_file(std::io::stderr())),
    ]
}

#[cfg(not(unix))]
fn standard_streams() -> [(&'static str, Option<Identity>); 0] {
    []
}

/// The plain file that standard input comes from.
#[cfg(unix)]
fn standard_input() -> Option<Identity> {
    open_file(std::io::stdin())
}

#[cfg(not(unix))]
fn standard_input() -> Option<Identity> {
    None
}

#[cfg(unix)]
fn open_file(stream: impl std::os::fd::AsFd) -> Option<Identity> {
    let owned = stream.as_fd().try_clone_to_owned().ok()?;
    Identity::of_open(&owned.into())
}

#[cfg(test)]
mod tests {
    use super::super::VERBS;

    /// One rule for all of them: what takes a file to write takes `--replace`.
    #[test]
    fn every_command_that_writes_files_can_be_told_to_replace_them() {
        let mut writing = 0;
        for command in VERBS.iter().map(|v| (v.command)()) {
            let names = |id: &str| command.get_arguments().any(|a| a.get_id() == id);
            let outputs = ["out", "bytes", "records"].into_iter().any(names);
            assert_eq!(outputs, names("replace"), "{}", command.get_name());
            writing += usize::from(outputs);
        }
        assert!(writing >= 4, "{writing}");
    }
}
