//! Reading that ends: a device, a pipe or a mistaken file must not fill the memory.

use std::fs::{self, File};
use std::io::{self, Read};
use std::path::Path;

const MIB: u64 = 1 << 20;
/// Bytes of a text that the program itself writes: settings, reports.
const MOST_TEXT_BYTES: u64 = 64 * MIB;

/// Everything that `source` gives, which may be `most_mib` mebibytes.
///
/// # Errors
/// As the system's, or that it is more.
pub fn read_at_most(source: impl Read, most_mib: u64) -> io::Result<Vec<u8>> {
    up_to(source, most_mib * MIB)
}

/// The text of a file, which may be a pipe.
///
/// # Errors
/// As the system's, or that it is no text or far too long.
pub fn read_text(path: &Path) -> io::Result<String> {
    let bytes = up_to(File::open(path)?, MOST_TEXT_BYTES)?;
    String::from_utf8(bytes)
        .map_err(|_| io::Error::new(io::ErrorKind::InvalidData, "it is not text in UTF-8"))
}

/// The same for a file that nobody has named, as it lies where the program looks for it; `None`
/// where there is none. One that is no plain file is not opened: a pipe might never answer.
///
/// # Errors
/// As [`read_text`], or that it is no plain file.
pub fn read_found_text(path: &Path) -> io::Result<Option<String>> {
    match fs::metadata(path) {
        Ok(about) if about.is_file() => read_text(path).map(Some),
        Ok(_) => Err(io::Error::other("it is no plain file")),
        Err(e) if e.kind() == io::ErrorKind::NotFound => Ok(None),
        Err(e) => Err(e),
    }
}

/// Everything that `source` gives, which may be `most` bytes.
pub(super) fn up_to(source: impl Read, most: u64) -> io::Result<Vec<u8>> {
    let mut bytes = Vec::new();
    source.take(most + 1).read_to_end(&mut bytes)?;
    match bytes.len() as u64 > most {
        true => Err(io::Error::new(
            io::ErrorKind::FileTooLarge,
            format!("it holds more than {}", size(most)),
        )),
        false => Ok(bytes),
    }
}

fn size(bytes: u64) -> String {
    match bytes {
        b if b >= 1024 * MIB => format!("{} GiB", b / (1024 * MIB)),
        b if b >= MIB => format!("{} MiB", b / MIB),
        b => format!("{b} bytes"),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_has_no_end_is_refused() {
        assert_eq!(up_to(&b"tide"[..], 4).unwrap(), b"tide");
        let refused = up_to(&b"tides"[..], 4).unwrap_err();
        assert_eq!(refused.kind(), io::ErrorKind::FileTooLarge);
        assert!(refused.to_string().contains("4 bytes"), "{refused}");
        let refused = read_at_most(io::repeat(0), 2).unwrap_err();
        assert!(refused.to_string().contains("2 MiB"), "{refused}");
    }

    #[test]
    fn what_nobody_has_named_is_read_only_where_it_is_a_file() {
        let gone = Path::new("no such folder/last.toml");
        assert_eq!(read_found_text(gone).unwrap(), None);
        let folder = std::env::temp_dir();
        let refused = read_found_text(&folder).unwrap_err();
        assert!(refused.to_string().contains("plain file"), "{refused}");
    }
}
