//! Where results go: standard output, standard error, files. All text passes here, and is made safe
//! for a terminal on its way.

use super::failure::Failure;
use super::input::is_standard;
use super::visible::{visible, visible_lines};
use crate::source::reason;
use std::io::{self, IsTerminal, Write};
use std::path::Path;

/// Writes text to standard output. A reader that has seen enough and closed the pipe is no failure.
pub(super) fn print(text: &str) -> Result<(), Failure> {
    print_bytes(visible_lines(text).as_bytes())
}

/// Writes bytes to standard output as they are.
pub(super) fn print_bytes(bytes: &[u8]) -> Result<(), Failure> {
    let mut out = io::stdout().lock();
    match out.write_all(bytes).and_then(|()| out.flush()) {
        Err(e) if e.kind() != io::ErrorKind::BrokenPipe => Err(Failure::Failed(format!(
            "Standard output cannot be written: {}.",
            reason(&e)
        ))),
        _ => Ok(()),
    }
}

/// Writes a line to standard error, where there is one.
pub(super) fn tell(line: &str) {
    // There is no one left to tell that nobody listens.
    let _ = writeln!(io::stderr(), "{}", visible(line));
}

/// Writes lines to standard error.
pub(super) fn tell_all(lines: &[String]) {
    for line in lines {
        tell(line);
    }
}

/// A line on standard error that comes and goes, where that is a terminal.
pub(super) struct Passing {
    watched: bool,
    shown: bool,
}

impl Passing {
    pub fn new() -> Self {
        Self {
            watched: io::stderr().is_terminal(),
            shown: false,
        }
    }

    /// Whether it can be seen at all.
    pub fn is_watched(&self) -> bool {
        self.watched
    }

    /// Shows a line in place of the one before it.
    pub fn show(&mut self, line: &str) {
        if self.watched {
            self.shown = true;
            let _ = write!(io::stderr(), "{WIPE}{}", visible(line));
        }
    }

    /// Takes the line away.
    pub fn wipe(&mut self) {
        if std::mem::take(&mut self.shown) {
            let _ = write!(io::stderr(), "{WIPE}");
        }
    }
}

/// Back to the first column, and erase to the end of the line (ECMA-48, EL).
const WIPE: &str = "\r\x1b[K";

/// The one of `kinds` that the ending of `out` names; the first for `-`.
pub(super) fn kind(out: &Path, kinds: [&'static str; 2]) -> Result<&'static str, Failure> {
    if is_standard(out) {
        return Ok(kinds[0]);
    }
    let ending = out.extension().unwrap_or_default();
    let named = kinds.into_iter().find(|k| ending.eq_ignore_ascii_case(k));
    named.ok_or_else(|| {
        Failure::Usage(format!(
            "'{}' does not say what to write: let it end with .{} or .{}.",
            out.display(),
            kinds[0],
            kinds[1]
        ))
    })
}
