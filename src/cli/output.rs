//! Where results go: standard output, standard error, files.

use super::failure::Failure;
use super::input::is_standard;
use crate::export;
use std::io::{self, Write};
use std::path::Path;

/// Writes to standard output. A reader that has seen enough and closed the pipe is no failure.
pub(super) fn print(bytes: &[u8]) -> Result<(), Failure> {
    let mut out = io::stdout().lock();
    match out.write_all(bytes).and_then(|()| out.flush()) {
        Err(e) if e.kind() != io::ErrorKind::BrokenPipe => Err(Failure::Failed(format!(
            "Standard output cannot be written: {}.",
            export::reason(&e)
        ))),
        _ => Ok(()),
    }
}

/// Writes a line to standard error, where there is one.
pub(super) fn tell(line: &str) {
    // There is no one left to tell that nobody listens.
    let _ = writeln!(io::stderr(), "{line}");
}

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
