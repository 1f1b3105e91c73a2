//! Bytes as text records with a load address, for loaders and programmers.

use std::fmt::Write;

/// Data bytes of a record.
const RECORD: usize = 16;

/// Reads a load address: hexadecimal with `0x` or `$` before it, decimal without.
///
/// # Errors
/// A sentence, where it is none or needs more than 32 bits.
pub fn parse_address(text: &str) -> Result<u32, String> {
    let text = text.trim();
    let prefixes = ["0x", "0X", "$"];
    let (digits, radix) = match prefixes.into_iter().find_map(|p| text.strip_prefix(p)) {
        Some(digits) => (digits, 16),
        None => (text, 10),
    };
    if radix == 10
        && digits.len() > 1
        && digits.starts_with('0')
        && digits.bytes().all(|b| b.is_ascii_digit())
    {
        let plain = digits.trim_start_matches('0');
        let plain = if plain.is_empty() { "0" } else { plain };
        return Err(format!(
            "'{text}' may be hexadecimal or decimal; write 0x{digits} for the one or {plain} for \
             the other."
        ));
    }
    // The parser itself would take a sign.
    let plain = digits.chars().all(|c| c.is_digit(radix));
    let address = plain.then(|| u32::from_str_radix(digits, radix).ok());
    address.flatten().ok_or_else(|| {
        format!(
            "'{text}' is not a load address; write it like 0x0280, $0280 or 640, up to 0xFFFFFFFF."
        )
    })
}

/// Writes bytes as Intel hexadecimal object records (Intel, Hexadecimal Object File Format
/// Specification, revision A, 1988): data records of up to 16 bytes, an extended linear address
/// record where the upper half of the address changes, and an end-of-file record. No record runs
/// over a 64 KiB boundary.
///
/// # Errors
/// A sentence, where the bytes do not fit below 2^32.
pub fn intel_hex(bytes: &[u8], load_address: u32) -> Result<String, String> {
    last_address(bytes, load_address)?;
    let mut text = String::new();
    let mut upper = 0;
    let mut address = load_address;
    let mut rest = bytes;
    while !rest.is_empty() {
        if address >> 16 != upper {
            upper = address >> 16;
            intel_record(
                &mut text,
                0,
                EXTENDED_LINEAR_ADDRESS,
                &(upper as u16).to_be_bytes(),
            );
        }
        let to_boundary = 0x1_0000 - (address & 0xFFFF) as usize;
        let (data, behind) = rest.split_at(RECORD.min(to_boundary).min(rest.len()));
        intel_record(&mut text, address as u16, DATA, data);
        address = address.wrapping_add(data.len() as u32);
        rest = behind;
    }
    intel_record(&mut text, 0, END_OF_FILE, &[]);
    Ok(text)
}

/// Record types of the Intel format.
const DATA: u8 = 0;
const END_OF_FILE: u8 = 1;
const EXTENDED_LINEAR_ADDRESS: u8 = 4;

/// A mark, then length, offset, type, data, and the two's complement of the sum of them all.
fn intel_record(text: &mut String, offset: u16, kind: u8, data: &[u8]) {
    let mut record = vec![data.len() as u8];
    record.extend(offset.to_be_bytes());
    record.push(kind);
    record.extend(data);
    record.push(sum(&record).wrapping_neg());
    line(text, ":", &record);
}

/// Writes bytes as Motorola S-records (from memory): a header, data records of up to 16 bytes with
/// addresses of 16, 24 or 32 bits, as few as the last byte needs, and the end record that goes with
/// them. Its start address is 0: none is known.
///
/// # Errors
/// A sentence, where the bytes do not fit below 2^32.
pub fn s_records(bytes: &[u8], load_address: u32) -> Result<String, String> {
    let (data_type, end_type, address_bytes) = match last_address(bytes, load_address)? {
        0..=0xFFFF => ("S1", "S9", 2),
        0x1_0000..=0xFF_FFFF => ("S2", "S8", 3),
        _ => ("S3", "S7", 4),
    };
    let mut text = String::new();
    s_record(&mut text, "S0", &[0, 0], env!("CARGO_PKG_NAME").as_bytes());
    for (i, data) in bytes.chunks(RECORD).enumerate() {
        let address = (load_address + (i * RECORD) as u32).to_be_bytes();
        s_record(&mut text, data_type, &address[4 - address_bytes..], data);
    }
    s_record(&mut text, end_type, &[0; 4][..address_bytes], &[]);
    Ok(text)
}

/// The type, then the count of what follows, address, data, and the one's complement of the sum of
/// count, address and data.
fn s_record(text: &mut String, kind: &str, address: &[u8], data: &[u8]) {
    let mut record = vec![(address.len() + data.len() + 1) as u8];
    record.extend(address);
    record.extend(data);
    record.push(!sum(&record));
    line(text, kind, &record);
}

fn sum(bytes: &[u8]) -> u8 {
    bytes.iter().fold(0, |sum, b| sum.wrapping_add(*b))
}

fn line(text: &mut String, head: &str, record: &[u8]) {
    text.push_str(head);
    for byte in record {
        let _ = write!(text, "{byte:02X}");
    }
    text.push('\n');
}

/// The address of the last byte; without bytes, the load address.
fn last_address(bytes: &[u8], load_address: u32) -> Result<u32, String> {
    let more = bytes.len().saturating_sub(1);
    let last = u32::try_from(more)
        .ok()
        .and_then(|n| load_address.checked_add(n));
    last.ok_or_else(|| {
        format!(
            "{} bytes from 0x{load_address:04X} on do not fit below 0xFFFFFFFF; choose a lower load \
             address.",
            bytes.len()
        )
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Computed by hand from the rules: 0x03 + 0x02 + 0x80 + 0x00 + 0x53 + 0x41 + 0x4C = 0x165,
    /// of which the two's complement is 0x9B; with the count 0x06 of an S-record, 0x168, of which
    /// the one's complement is 0x97.
    #[test]
    fn records_of_three_bytes() {
        let hex = ":0302800053414C9B\n:00000001FF\n";
        assert_eq!(intel_hex(b"SAL", 0x0280).unwrap(), hex);
        let text = s_records(b"SAL", 0x0280).unwrap();
        assert_eq!(text.lines().nth(1), Some("S106028053414C97"));
        assert_eq!(text.lines().last(), Some("S9030000FC"));
    }

    /// The published check rule: all bytes of an Intel record, the check byte too, add up to 0; all
    /// of an S-record to 0xFF.
    #[test]
    fn every_record_adds_up() {
        let bytes: Vec<u8> = (0..1000).map(|i| (i * 7) as u8).collect();
        let add_up = |line: &str, head: usize| {
            let pairs = (head..line.len()).step_by(2);
            let byte = |at| u8::from_str_radix(&line[at..at + 2], 16).unwrap();
            pairs.fold(0u8, |sum, at| sum.wrapping_add(byte(at)))
        };
        for address in [0, 0xFF08, 0x12_3456, 0xFFFF_0000] {
            let hex = intel_hex(&bytes, address).unwrap();
            assert!(hex.lines().all(|l| add_up(l, 1) == 0), "{hex}");
            let text = s_records(&bytes, address).unwrap();
            assert!(text.lines().all(|l| add_up(l, 2) == 0xFF), "{text}");
        }
    }

    #[test]
    fn no_record_runs_over_a_boundary_of_64_kib() {
        let text = intel_hex(&[0xAA; 20], 0xFFF8).unwrap();
        let heads: Vec<_> = text.lines().map(|l| &l[..9]).collect();
        assert_eq!(heads, [":08FFF800", ":02000004", ":0C000000", ":00000001"]);
        assert!(text.contains(":020000040001F9\n"));
    }

    #[test]
    fn addresses_are_as_short_as_the_last_byte_allows() {
        for (address, first, end) in [
            (0xFFFF, "S104FFFF", "S9"),
            (0x1_0000, "S205010000", "S804000000FB"),
            (0xFF_FFFF, "S205FFFFFF", "S8"),
            (0x0100_0000, "S30601000000", "S70500000000FA"),
        ] {
            let text = s_records(&[1], address).unwrap();
            let lines: Vec<_> = text.lines().collect();
            assert!(
                lines[1].starts_with(first) && lines[2].starts_with(end),
                "{text}"
            );
        }
        assert!(s_records(&[1; 2], 0xFFFF).unwrap().contains("\nS2"));
    }

    #[test]
    fn the_end_of_the_address_space_is_the_end() {
        for write in [intel_hex, s_records] {
            assert!(write(&[0; 16], 0xFFFF_FFF0).is_ok());
            let err = write(&[0; 17], 0xFFFF_FFF0).unwrap_err();
            assert!(
                err.contains("17 bytes from 0xFFFFFFF0") && err.ends_with('.'),
                "{err}"
            );
            assert!(write(&[], u32::MAX).is_ok());
        }
        assert_eq!(intel_hex(&[], 5).unwrap(), ":00000001FF\n");
    }

    #[test]
    fn load_addresses_are_taken_as_people_write_them() {
        for text in ["0x0280", "0X280", "$0280", "640", " 640 "] {
            assert_eq!(parse_address(text), Ok(0x0280), "{text}");
        }
        assert_eq!(parse_address("0xFFFFFFFF"), Ok(u32::MAX));
        for text in [
            "",
            "$",
            "0x",
            "28F",
            "-1",
            "+1",
            "0x+1",
            "0x100000000",
            "2 8",
        ] {
            let err = parse_address(text).unwrap_err();
            assert!(err.contains("0x0280") && err.ends_with('.'), "{err}");
        }
        for text in ["0280", "00", "01000"] {
            let err = parse_address(text).unwrap_err();
            assert!(err.contains(&format!("0x{text}")), "{err}");
        }
        assert_eq!(parse_address("0"), Ok(0));
    }
}
