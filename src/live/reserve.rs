//! Room on the disk for the end of a capture.
//!
//! Where a capture fills the disk, its report must still be brought to its end, and the bytes that
//! were read may go to the same disk. So a file without a name keeps some room until then.

use std::fs::File;
use std::io::{self, ErrorKind, Write};
use std::path::Path;

/// The room, in bytes: a report with all its gaps.
const ROOM_BYTES: usize = 1 << 20;

/// Keeps room until it is dropped.
pub(super) struct Reserve {
    _file: Option<File>,
}

impl Reserve {
    /// Keeps room on the disk of the file `path`.
    ///
    /// # Errors
    /// Where there is not so much; what cannot be kept for another reason is done without.
    pub fn beside(path: &Path) -> io::Result<Self> {
        let folder = path.parent().filter(|p| !p.as_os_str().is_empty());
        match keep(folder.unwrap_or(Path::new("."))) {
            Err(e) if matches!(e.kind(), ErrorKind::StorageFull | ErrorKind::QuotaExceeded) => {
                Err(e)
            }
            kept => Ok(Self { _file: kept.ok() }),
        }
    }
}

fn keep(folder: &Path) -> io::Result<File> {
    let mut file = tempfile::tempfile_in(folder)?;
    file.write_all(&vec![0; ROOM_BYTES])?;
    Ok(file)
}
