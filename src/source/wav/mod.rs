//! A tolerant reader for WAV files: it takes what killed, streaming or careless recorders leave.

mod format;
mod header;
mod samples;
#[cfg(test)]
mod tests;

use header::Layout;
pub(super) use header::{Header, is_wav};
pub(super) use samples::Encoding;

use super::error::Fault;
use super::mix::Mix;
use super::outlet::{Coming, Outlet};
use super::reason::reason;
use super::{Found, check_rate};
use crate::settings::SourceSettings;
use std::io::{self, Read, Seek, SeekFrom};

/// Bytes read at a time: large enough that a call to the system costs nothing beside the copy,
/// small enough to stay in a processor's cache.
const BLOCK_BYTES: usize = 1 << 18;

/// Reads the header of a WAV file of `length` bytes.
pub(super) fn header(source: &mut (impl Read + Seek), length: u64) -> Result<Header, Fault> {
    header::read(source, length)
}

/// Reads the samples that a header describes.
pub(super) fn read(
    source: &mut (impl Read + Seek),
    layout: Layout,
    settings: &SourceSettings,
    outlet: &mut Outlet<'_>,
) -> Result<Found, Fault> {
    let Layout {
        format,
        start,
        bytes,
        mut notes,
    } = layout;
    check_rate(format.rate_hz)?;
    let mix = Mix::new(settings.channel, u32::from(format.channels))?;
    let frame_bytes = format.frame_bytes();
    let frames = bytes / frame_bytes as u64;
    // A count that no memory can hold cannot be made room for either.
    let room = usize::try_from(frames).unwrap_or(usize::MAX);
    outlet.announce(Coming {
        rate_hz: format.rate_hz,
        top: format.encoding.top(),
        promised: Some(frames),
        room,
    });

    let unreadable = |e: io::Error| Fault::Unreadable(reason(&e));
    source.seek(SeekFrom::Start(start)).map_err(unreadable)?;
    let mut block = vec![0; frame_bytes * (BLOCK_BYTES / frame_bytes).max(1)];
    let mut samples = Vec::new();
    let mut left = frames * frame_bytes as u64;
    while left > 0 {
        let want = left.min(block.len() as u64) as usize;
        let got = read_full(source, &mut block[..want]).map_err(unreadable)?;
        format.encoding.append(
            &block[..got],
            usize::from(format.channels),
            mix,
            settings.full_scale_v as f32,
            &mut samples,
        );
        outlet.give(&mut samples)?;
        if got < want {
            notes.push(format!(
                "The file became shorter while it was read: {} of {frames} samples a channel were \
                 taken.",
                outlet.frames()
            ));
            break;
        }
        left -= want as u64;
    }
    Ok(Found {
        format: format.name(),
        channels: u32::from(format.channels),
        notes,
    })
}

/// Fills `block`, or as much of it as there is.
fn read_full(source: &mut impl Read, block: &mut [u8]) -> io::Result<usize> {
    let mut got = 0;
    while got < block.len() {
        match source.read(&mut block[got..]) {
            Ok(0) => break,
            Ok(n) => got += n,
            Err(e) if e.kind() == io::ErrorKind::Interrupted => {}
            Err(e) => return Err(e),
        }
    }
    Ok(got)
}
