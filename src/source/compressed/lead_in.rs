//! What an encoder put before the sound of an M4A file, and by how much the sound is late if it
//! is read with the rest.
//!
//! The edit list says it (ISO/IEC 14496-12, boxes `edts` and `elst`); where there is none, a tag
//! that encoders write beside the title.

use std::io::{self, Read, Seek, SeekFrom};
use std::ops::Range;
use symphonia::core::formats::FormatReader;
use symphonia::core::meta::RawValue;

/// Boxes beside one another that are looked at: a damaged file may hold any count.
const MOST_BOXES: usize = 4096;
/// Seconds that an encoder may put before the sound. None needs a tenth of a second; more is a
/// cut that its author made, or damage, and nothing is left out for it.
const MOST_S: f64 = 0.5;

/// Seconds before the sound of the first sound track, by its edit list; `None` where there is no
/// such list.
pub(super) fn by_edit_list(source: &mut (impl Read + Seek), length: u64) -> Option<f64> {
    let file = 0..length;
    let movie = find(source, file, *b"moov")?;
    for track in children(source, movie).ok()? {
        if track.kind != *b"trak" {
            continue;
        }
        let media = find(source, track.body.clone(), *b"mdia")?;
        if handler(source, media.clone()).ok()? != *b"soun" {
            continue;
        }
        let edits = find(source, track.body, *b"edts")?;
        let list = find(source, edits, *b"elst")?;
        let begins = first_edit(source, list).ok()??;
        let second = timescale(source, media).ok()?;
        return believed(begins as f64 / f64::from(second));
    }
    None
}

/// Seconds before the sound by the tag `iTunSMPB`, whose second word is a count of samples in
/// hexadecimal (common practice, no source).
pub(super) fn by_tag(reader: &mut dyn FormatReader, rate_hz: u32) -> Option<f64> {
    let mut tags = reader.metadata();
    let tags = tags.skip_to_latest()?.media.tags.iter();
    let mut named = tags.filter(|tag| tag.raw.key.ends_with("iTunSMPB"));
    let RawValue::String(text) = &named.next()?.raw.value else {
        return None;
    };
    let samples = u32::from_str_radix(text.split_whitespace().nth(1)?, 16).ok()?;
    believed(f64::from(samples) / f64::from(rate_hz))
}

fn believed(before_s: f64) -> Option<f64> {
    (0.0..=MOST_S).contains(&before_s).then_some(before_s)
}

/// A box: what it is, and where in the file its content lies.
struct Part {
    kind: [u8; 4],
    body: Range<u64>,
}

/// The boxes that lie in a range of the file. A range that holds something else gives few or none.
fn children(source: &mut (impl Read + Seek), range: Range<u64>) -> io::Result<Vec<Part>> {
    let mut found = Vec::new();
    let mut at = range.start;
    while range.end.saturating_sub(at) >= 8 && found.len() < MOST_BOXES {
        let [s0, s1, s2, s3, kind @ ..] = bytes::<8>(source, at)?;
        // A size of 1 stands for one of 64 bits after the kind, 0 for all that is left.
        let (head, size) = match u32::from_be_bytes([s0, s1, s2, s3]) {
            0 => (8, range.end - at),
            1 => (16, u64::from_be_bytes(bytes(source, at + 8)?)),
            size => (8, u64::from(size)),
        };
        let end = at.saturating_add(size).min(range.end);
        if size < head || end < at + head {
            break;
        }
        let body = at + head..end;
        found.push(Part { kind, body });
        at = end;
    }
    Ok(found)
}

/// The content of the first box of this kind in a range.
fn find(source: &mut (impl Read + Seek), range: Range<u64>, kind: [u8; 4]) -> Option<Range<u64>> {
    let parts = children(source, range).ok()?;
    let part = parts.into_iter().find(|part| part.kind == kind)?;
    Some(part.body)
}

/// What a track holds, `soun` for sound: 8 bytes into `hdlr`.
fn handler(source: &mut (impl Read + Seek), media: Range<u64>) -> io::Result<[u8; 4]> {
    match find(source, media, *b"hdlr") {
        Some(handler) => bytes(source, handler.start + 8),
        None => Ok([0; 4]),
    }
}

/// Units of time in a second of a track, from `mdhd`: behind two times that have 64 bits in its
/// version 1.
fn timescale(source: &mut (impl Read + Seek), media: Range<u64>) -> io::Result<u32> {
    let Some(header) = find(source, media, *b"mdhd") else {
        return Ok(0);
    };
    let [version] = bytes(source, header.start)?;
    let at = if version == 1 { 20 } else { 12 };
    Ok(u32::from_be_bytes(bytes(source, header.start + at)?))
}

/// Where on the track the first edit begins that shows something of it; empty edits begin at -1.
fn first_edit(source: &mut (impl Read + Seek), list: Range<u64>) -> io::Result<Option<u64>> {
    let [version, _, _, _] = bytes(source, list.start)?;
    let count = u32::from_be_bytes(bytes(source, list.start + 4)?);
    let word = if version == 1 { 8 } else { 4 };
    for n in 0..u64::from(count).min(MOST_BOXES as u64) {
        // Length, beginning, and four bytes of speed.
        let at = list.start + 8 + n * (2 * word + 4) + word;
        if at + word > list.end {
            break;
        }
        let begins = match version {
            1 => i64::from_be_bytes(bytes(source, at)?),
            _ => i64::from(i32::from_be_bytes(bytes(source, at)?)),
        };
        if let Ok(begins) = u64::try_from(begins) {
            return Ok(Some(begins));
        }
    }
    Ok(None)
}

fn bytes<const N: usize>(source: &mut (impl Read + Seek), at: u64) -> io::Result<[u8; N]> {
    let mut bytes = [0; N];
    source.seek(SeekFrom::Start(at))?;
    source.read_exact(&mut bytes)?;
    Ok(bytes)
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::io::Cursor;

    fn part(kind: &[u8; 4], body: &[u8]) -> Vec<u8> {
        let size = (8 + body.len() as u32).to_be_bytes();
        [&size[..], kind, body].concat()
    }

    /// A file with one track, laid out by ISO/IEC 14496-12: boxes `mdhd`, `hdlr` and `elst` in
    /// their version 0.
    fn file(handler: &[u8; 4], begins: &[i32]) -> Vec<u8> {
        let words = |words: &[u32]| {
            words
                .iter()
                .flat_map(|w| w.to_be_bytes())
                .collect::<Vec<u8>>()
        };
        let header = part(b"mdhd", &words(&[0, 0, 0, 48_000, 96_000, 0]));
        let kind = [&words(&[0, 0])[..], handler, &words(&[0, 0, 0])].concat();
        let media = part(b"mdia", &[header, part(b"hdlr", &kind)].concat());
        let edits = begins
            .iter()
            .flat_map(|b| words(&[2000, *b as u32, 1 << 16]));
        let list = [words(&[0, begins.len() as u32]), edits.collect()].concat();
        let edits = part(b"edts", &part(b"elst", &list));
        let track = part(b"trak", &[part(b"tkhd", &[0; 84]), edits, media].concat());
        [
            part(b"ftyp", b"M4A "),
            part(b"free", &[]),
            part(b"moov", &track),
        ]
        .concat()
    }

    fn read(bytes: Vec<u8>) -> Option<f64> {
        let length = bytes.len() as u64;
        by_edit_list(&mut Cursor::new(bytes), length)
    }

    #[test]
    fn the_first_edit_that_shows_something_says_where_the_sound_begins() {
        assert_eq!(read(file(b"soun", &[1024])), Some(1024.0 / 48_000.0));
        assert_eq!(read(file(b"soun", &[-1, 2112])), Some(2112.0 / 48_000.0));
        assert_eq!(read(file(b"soun", &[0])), Some(0.0));
        assert_eq!(read(file(b"soun", &[])), None);
        assert_eq!(read(file(b"vide", &[1024])), None);
        // A cut of ten seconds is no encoder's.
        assert_eq!(read(file(b"soun", &[480_000])), None);
    }

    #[test]
    fn whatever_is_cut_off_is_survived() {
        let whole = file(b"soun", &[1024]);
        for length in 0..whole.len() {
            read(whole[..length].to_vec());
        }
        for at in 0..whole.len() {
            let mut damaged = whole.clone();
            damaged[at] ^= 0xFF;
            read(damaged);
        }
    }
}
