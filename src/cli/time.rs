//! Times as people write them on the command line.

use crate::units::{self, Unit};

/// Reads a time on a recording: a quantity (`1.5`, `1500ms`) or a counter (`1:02.5`, `1:00:02`).
/// The error is a sentence.
pub(super) fn parse(text: &str) -> Result<f64, String> {
    let seconds = if text.contains(':') {
        counter(text).ok_or_else(|| {
            format!("'{text}' is not a time; write it like 1:02.500, 62.5 or 62500ms")
        })?
    } else {
        units::parse(text, Unit::Seconds).map_err(|e| e.to_string())?
    };
    if seconds < 0.0 {
        return Err("a time on a recording is not negative".into());
    }
    Ok(seconds)
}

/// Minutes and seconds, or hours, minutes and seconds; only the last may have a fraction.
fn counter(text: &str) -> Option<f64> {
    let (whole, seconds) = text.rsplit_once(':')?;
    let digits = |t: &str| !t.is_empty() && t.bytes().all(|b| b.is_ascii_digit());
    let plain = seconds.bytes().all(|b| b.is_ascii_digit() || b == b'.');
    let seconds: f64 = seconds.parse().ok().filter(|s| plain && *s < 60.0)?;
    let minutes = match whole.split_once(':') {
        Some((h, m)) if digits(h) && digits(m) => {
            let m = m.parse::<u32>().ok().filter(|m| *m < 60)?;
            h.parse::<u32>().ok()? as f64 * 60.0 + f64::from(m)
        }
        None if digits(whole) => f64::from(whole.parse::<u32>().ok()?),
        _ => return None,
    };
    Some(minutes * 60.0 + seconds)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn quantities_and_counters_are_times() {
        for (text, seconds) in [
            ("1.5", 1.5),
            ("1500ms", 1.5),
            ("0:01.500", 1.5),
            ("62:03", 3723.0),
            ("1:02:03.25", 3723.25),
        ] {
            assert_eq!(parse(text), Ok(seconds), "{text}");
        }
    }

    #[test]
    fn the_clock_reads_back() {
        for seconds in [0.0, 59.999, 61.5, 3661.25] {
            assert_eq!(parse(&units::clock(seconds)), Ok(seconds));
        }
    }

    #[test]
    fn what_is_no_time_is_refused() {
        for text in [
            "", "x", "-1", ":", "1:", ":1", "1:60", "1:2:3:4", "1:-2", "1:60:00", "1.5:00", "1:1e1",
        ] {
            assert!(parse(text).is_err(), "{text}");
        }
    }
}
