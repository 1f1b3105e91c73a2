//! Today's date and the time of day.

use std::time::{SystemTime, UNIX_EPOCH};

/// Today's date in UTC, `2026-11-24`.
pub fn today() -> String {
    date(seconds())
}

/// Date and time in UTC as ISO 8601 writes them, `2026-11-24T06:40:00Z`.
pub fn now() -> String {
    let seconds = seconds();
    let [h, m, s] = time(seconds);
    format!("{}T{h:02}:{m:02}:{s:02}Z", date(seconds))
}

/// Seconds since the beginning of 1970.
fn seconds() -> u64 {
    let since = SystemTime::now().duration_since(UNIX_EPOCH);
    since.unwrap_or_default().as_secs()
}

fn date(seconds: u64) -> String {
    let (year, month, day) = civil(seconds / 86_400);
    format!("{year:04}-{month:02}-{day:02}")
}

/// Hour, minute and second of the day.
fn time(seconds: u64) -> [u64; 3] {
    [seconds / 3600 % 24, seconds / 60 % 60, seconds % 60]
}

/// Year, month and day of the proleptic Gregorian calendar, from the days since 1970-01-01.
fn civil(days: u64) -> (u64, u64, u64) {
    let is_leap = |y: u64| (y.is_multiple_of(4) && !y.is_multiple_of(100)) || y.is_multiple_of(400);
    let (mut year, mut left) = (1970, days);
    while left >= 365 + u64::from(is_leap(year)) {
        left -= 365 + u64::from(is_leap(year));
        year += 1;
    }
    let february = 28 + u64::from(is_leap(year));
    let mut month = 1;
    for length in [31, february, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31] {
        if left < length {
            break;
        }
        left -= length;
        month += 1;
    }
    (year, month, left + 1)
}

#[cfg(test)]
mod tests {
    use super::{civil, time};

    /// Known days: the epoch, the leap day of 2000 (11,016 days behind it), a year's last day.
    #[test]
    fn days_become_dates() {
        assert_eq!(civil(0), (1970, 1, 1));
        assert_eq!(civil(11_016), (2000, 2, 29));
        assert_eq!(civil(11_017), (2000, 3, 1));
        assert_eq!(civil(364), (1970, 12, 31));
        assert_eq!(civil(20_781), (2026, 11, 24));
    }

    #[test]
    fn seconds_become_a_time_of_day() {
        assert_eq!(time(0), [0, 0, 0]);
        assert_eq!(time(20_781 * 86_400 + 6 * 3600 + 40 * 60 + 5), [6, 40, 5]);
    }
}
