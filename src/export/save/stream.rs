//! Bytes to a device or a pipe.

use crate::source::reason;
use std::fs::{File, OpenOptions};
use std::io::{self, Write};
use std::path::Path;
use std::thread;
use std::time::{Duration, Instant};

/// How long a pipe may take to find a reader.
const READER: Duration = Duration::from_secs(2);
/// How often a pipe is tried that is not ready.
const AGAIN: Duration = Duration::from_millis(5);

/// Writes to a device or a pipe. A pipe without a reader would hold the program for ever; it is
/// given up.
///
/// # Errors
/// The end of a sentence.
pub(super) fn write(path: &Path, mut bytes: &[u8]) -> Result<(), String> {
    let mut stream = open(path)?;
    while !bytes.is_empty() {
        match stream.write(bytes) {
            Ok(0) => return Err("it takes no more".into()),
            Ok(written) => bytes = &bytes[written..],
            Err(e) if e.kind() == io::ErrorKind::Interrupted => {}
            Err(e) if e.kind() == io::ErrorKind::WouldBlock => thread::sleep(AGAIN),
            Err(e) => return Err(reason(&e)),
        }
    }
    Ok(())
}

fn open(path: &Path) -> Result<File, String> {
    let mut options = OpenOptions::new();
    options.write(true);
    #[cfg(unix)]
    std::os::unix::fs::OpenOptionsExt::custom_flags(&mut options, libc::O_NONBLOCK);
    let by = Instant::now() + READER;
    loop {
        match options.open(path) {
            Ok(stream) => return Ok(stream),
            Err(e) if has_no_reader(&e) && Instant::now() < by => thread::sleep(AGAIN),
            Err(e) if has_no_reader(&e) => return Err("nothing reads from it".into()),
            Err(e) => return Err(reason(&e)),
        }
    }
}

#[cfg(unix)]
fn has_no_reader(error: &io::Error) -> bool {
    error.raw_os_error() == Some(libc::ENXIO)
}

#[cfg(not(unix))]
fn has_no_reader(_: &io::Error) -> bool {
    false
}
