//! Quantities as people write them: `589us`, `22k`, `4k7`, `100n`, `1.1 ms`, `200mV`.
//!
//! [`parse`] and [`show`] are inverse to twelve significant digits. [`preferred`] holds the
//! E series of IEC 60063:2015.

use std::fmt;

/// What a number measures.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Unit {
    /// Time in seconds.
    Seconds,
    /// Frequency in hertz.
    Hertz,
    /// Voltage in volts.
    Volts,
    /// Resistance in ohms.
    Ohms,
    /// Capacitance in farads.
    Farads,
    /// Signalling rate in bauds (bits a second on a two-level line).
    Baud,
    /// A ratio in decibels.
    Decibels,
    /// A part of a hundred.
    Percent,
    /// An angle in degrees.
    Degrees,
    /// A peak level in volts. Decibels of full scale need a full scale: [`parse_level`].
    Level,
    /// A ratio of two voltages, as a factor or in decibels.
    Factor,
    /// A bare number.
    One,
}

impl Unit {
    /// The symbol written behind a value, empty for a bare number.
    pub fn symbol(self) -> &'static str {
        match self {
            Unit::Seconds => "s",
            Unit::Hertz => "Hz",
            Unit::Volts | Unit::Level => "V",
            Unit::Ohms => "Ω",
            Unit::Farads => "F",
            Unit::Baud => "Bd",
            Unit::Decibels => "dB",
            Unit::Percent => "%",
            Unit::Degrees => "°",
            Unit::Factor | Unit::One => "",
        }
    }

    /// Spellings accepted behind a value besides the symbol.
    fn spellings(self) -> &'static [&'static str] {
        match self {
            Unit::Seconds => &["s", "sec"],
            Unit::Hertz => &["Hz", "hz", "HZ"],
            Unit::Volts | Unit::Level => &["V", "v"],
            Unit::Ohms => &["Ω", "Ω", "ohm", "Ohm", "ohms", "R", "r"],
            Unit::Farads => &["F", "f"],
            Unit::Baud => &["Bd", "bd", "baud", "Baud"],
            Unit::Decibels => &["dB", "db"],
            Unit::Percent => &["%"],
            Unit::Degrees => &["°", "deg"],
            Unit::Factor | Unit::One => &[],
        }
    }

    /// Whether values take decimal prefixes (`m`, `k`, ...).
    fn takes_prefix(self) -> bool {
        !matches!(
            self,
            Unit::Decibels | Unit::Percent | Unit::Degrees | Unit::Factor | Unit::One
        )
    }

    /// An example that fits the unit, for error sentences.
    fn example(self) -> &'static str {
        match self {
            Unit::Seconds => "589us or 1.1ms",
            Unit::Hertz => "1200Hz or 44.1k",
            Unit::Volts => "200mV or 1.5",
            Unit::Ohms => "22k or 4k7",
            Unit::Farads => "100n or 4.7uF",
            Unit::Baud => "300",
            Unit::Decibels => "-6dB",
            Unit::Percent => "5%",
            Unit::Degrees => "0.5°",
            Unit::Level => "500mV or -6dB",
            Unit::Factor => "2 or 6dB",
            Unit::One => "2",
        }
    }
}

/// Decimal prefixes, smallest first; the first spelling of each power is the one printed.
const PREFIXES: [(&str, i32); 10] = [
    ("p", -12),
    ("n", -9),
    ("µ", -6),
    ("μ", -6),
    ("u", -6),
    ("m", -3),
    ("k", 3),
    ("K", 3),
    ("M", 6),
    ("G", 9),
];

/// Why a text is not a quantity. Its `Display` is a whole sentence.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct UnitError(String);

impl fmt::Display for UnitError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.0)
    }
}

impl std::error::Error for UnitError {}

/// Reads a quantity of the given unit. The unit may be left out, spaces may stand before it, a
/// decimal comma counts as a point, a resistor may carry its prefix as the point (`4k7`), a time
/// may be written as [`clock`] does (`1:30`), and a factor in decibels.
///
/// # Errors
/// A sentence that repeats the text and shows a form that is understood.
pub fn parse(text: &str, unit: Unit) -> Result<f64, UnitError> {
    let text = text.trim();
    let value = match unit {
        Unit::Seconds if text.contains(':') => counter(text),
        Unit::Factor => ratio_of_decibels(text).or_else(|| parse_parts(text, unit)),
        _ => parse_parts(text, unit),
    };
    value.filter(|v| v.is_finite()).ok_or_else(|| {
        let symbol = unit.symbol();
        let of = if symbol.is_empty() {
            String::new()
        } else {
            format!(" in {symbol}")
        };
        UnitError(format!(
            "'{text}' is not a value{of}; write it like {}",
            unit.example()
        ))
    })
}

/// Reads decibels, whose unit must be there, as the ratio of two voltages: `-6dB` is 0.501.
fn ratio_of_decibels(text: &str) -> Option<f64> {
    let named = Unit::Decibels.spellings();
    let is_named = named.iter().any(|s| text.trim_end().ends_with(s));
    let decibels = is_named.then(|| parse(text, Unit::Decibels).ok())?;
    decibels.map(|decibels| 10f64.powf(decibels / 20.0))
}

/// Reads a peak level in volts, written as such or in decibels of full scale: `500mV`, `-6dB`.
///
/// # Errors
/// As [`parse`].
pub fn parse_level(text: &str, full_scale_v: f64) -> Result<f64, UnitError> {
    match ratio_of_decibels(text) {
        Some(ratio) => Ok(ratio * full_scale_v),
        None => parse(text, Unit::Level),
    }
}

/// Reads a whole number that measures something: `8`, `44.1k`, `48000 Hz`. `None` where it is none.
pub fn parse_whole(text: &str, unit: Unit) -> Option<u32> {
    let value = parse(text, unit).ok()?;
    let whole = value.round();
    // A tenth of a kilohertz is not exact in binary.
    let is_whole = (value - whole).abs() <= 1e-9 * whole.abs();
    (is_whole && (0.0..=f64::from(u32::MAX)).contains(&whole)).then_some(whole as u32)
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

fn parse_parts(text: &str, unit: Unit) -> Option<f64> {
    let bare = |t: &str| -> Option<f64> {
        let t = t.trim_end();
        // Rust's parser also takes "inf" and "nan"; a quantity has digits.
        let digits = t.bytes().any(|b| b.is_ascii_digit());
        let plain = t
            .bytes()
            .all(|b| b.is_ascii_digit() || b"+-.,eE".contains(&b));
        (digits && plain)
            .then(|| t.replace(',', ".").parse().ok())
            .flatten()
    };
    let stems = unit
        .spellings()
        .iter()
        .filter_map(|s| text.strip_suffix(s))
        .chain([text]);
    for stem in stems {
        if let Some(value) = bare(stem) {
            return Some(value);
        }
        if !unit.takes_prefix() {
            continue;
        }
        for (prefix, power) in PREFIXES {
            if let Some(value) = stem.strip_suffix(prefix).and_then(bare) {
                return Some(scale(value, power));
            }
            // 4k7, 2u2: the prefix stands where the point would.
            if let Some((whole, rest)) = stem.split_once(prefix)
                && !rest.is_empty()
                && rest.bytes().all(|b| b.is_ascii_digit())
                && whole.bytes().all(|b| b.is_ascii_digit())
            {
                return bare(&format!("{whole}.{rest}")).map(|v| scale(v, power));
            }
        }
        if unit == Unit::Ohms
            && let Some((whole, rest)) = stem.split_once(['R', 'r'])
        {
            return bare(&format!("{whole}.{rest}"));
        }
    }
    None
}

/// Multiplies by a power of ten with one rounding: dividing by an exact power is exact where
/// multiplying by its inexact inverse is not.
fn scale(value: f64, power: i32) -> f64 {
    let factor = 10f64.powi(power.abs());
    if power < 0 {
        value / factor
    } else {
        value * factor
    }
}

/// Writes a quantity with the prefix that keeps it between 1 and 1000: `589 µs`.
pub fn show(value: f64, unit: Unit) -> String {
    show_digits(value, unit, 12)
}

/// Like [`show`] with at most the given number of significant digits, for read-outs.
pub fn show_digits(value: f64, unit: Unit, digits: usize) -> String {
    let symbol = unit.symbol();
    let gap = if symbol.is_empty() || matches!(unit, Unit::Percent | Unit::Degrees) {
        ""
    } else {
        " "
    };
    if !unit.takes_prefix() || value == 0.0 || !value.is_finite() || unit == Unit::Baud {
        return format!("{}{gap}{symbol}", significant(value, digits));
    }
    // Rounding first, so that 999.9999 ms becomes 1 s and not 1000 ms.
    let rounded: f64 = format!("{value:.*e}", digits - 1).parse().unwrap_or(value);
    let power = ((rounded.abs().log10() + 1e-12).floor() as i32)
        .div_euclid(3)
        .clamp(-4, 3)
        * 3;
    // Seconds are not counted in kiloseconds.
    let power = if unit == Unit::Seconds {
        power.min(0)
    } else {
        power
    };
    let prefix = PREFIXES
        .iter()
        .find(|(_, p)| *p == power)
        .map_or("", |p| p.0);
    format!(
        "{}{gap}{prefix}{symbol}",
        significant(scale(rounded, -power), digits)
    )
}

/// A number in plain notation with at most `digits` significant digits and no trailing zeros.
fn significant(value: f64, digits: usize) -> String {
    if value == 0.0 || !value.is_finite() {
        return if value == 0.0 {
            "0".into()
        } else {
            value.to_string()
        };
    }
    let rounded: f64 = format!("{value:.*e}", digits.max(1) - 1)
        .parse()
        .unwrap_or(value);
    rounded.to_string()
}

/// A number of things in words: `1 block`, `3 blocks`.
pub fn counted(n: usize, word: &str) -> String {
    format!("{n} {word}{}", if n == 1 { "" } else { "s" })
}

/// A choice in words: `even`, `even or odd`, `none, even or odd`.
pub fn one_of(words: &[impl AsRef<str>]) -> String {
    let words: Vec<&str> = words.iter().map(AsRef::as_ref).collect();
    match words[..] {
        [ref rest @ .., last] if !rest.is_empty() => format!("{} or {last}", rest.join(", ")),
        _ => words.concat(),
    }
}

/// A margin or the like for read-outs: three digits, none finer than 0.01%.
pub fn percent(value: f64) -> String {
    match value {
        v if v > 0.0 && v < 0.01 => "under 0.01%".into(),
        v => show_digits(v, Unit::Percent, 3),
    }
}

/// A time on a recording, `h:mm:ss.mmm` without the hours where there are none.
pub fn clock(seconds: f64) -> String {
    let sign = if seconds < -0.0005 { "-" } else { "" };
    let ms = (seconds.abs() * 1000.0).round() as u64;
    let (s, ms) = (ms / 1000, ms % 1000);
    let (m, s) = (s / 60, s % 60);
    let (h, m) = (m / 60, m % 60);
    if h > 0 {
        format!("{sign}{h}:{m:02}:{s:02}.{ms:03}")
    } else {
        format!("{sign}{m}:{s:02}.{ms:03}")
    }
}

/// Preferred numbers for parts (IEC 60063:2015).
pub mod preferred {
    /// E6, one decade.
    pub const E6: [f64; 6] = [1.0, 1.5, 2.2, 3.3, 4.7, 6.8];
    /// E12, one decade.
    pub const E12: [f64; 12] = [1.0, 1.2, 1.5, 1.8, 2.2, 2.7, 3.3, 3.9, 4.7, 5.6, 6.8, 8.2];
    /// E24, one decade.
    pub const E24: [f64; 24] = [
        1.0, 1.1, 1.2, 1.3, 1.5, 1.6, 1.8, 2.0, 2.2, 2.4, 2.7, 3.0, 3.3, 3.6, 3.9, 4.3, 4.7, 5.1,
        5.6, 6.2, 6.8, 7.5, 8.2, 9.1,
    ];

    /// The value of the series nearest to `value` by ratio; `None` unless `value` is positive
    /// and finite.
    pub fn nearest(series: &[f64], value: f64) -> Option<f64> {
        if !(value > 0.0 && value.is_finite()) {
            return None;
        }
        let decade = value.log10().floor() as i32;
        (decade - 1..=decade + 1)
            .flat_map(|d| series.iter().map(move |s| super::scale(*s, d)))
            .min_by(|a, b| {
                let far = |x: &f64| (x / value).ln().abs();
                far(a).total_cmp(&far(b))
            })
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use Unit::*;

    #[test]
    fn reads_what_people_write() {
        for (text, unit, value) in [
            ("589us", Seconds, 589e-6),
            ("589 µs", Seconds, 589e-6),
            ("1.1ms", Seconds, 1.1e-3),
            ("1,1 ms", Seconds, 1.1e-3),
            ("2", Seconds, 2.0),
            ("5e-4", Seconds, 5e-4),
            ("22k", Ohms, 22e3),
            ("4k7", Ohms, 4700.0),
            ("4.88kohm", Ohms, 4880.0),
            ("470R", Ohms, 470.0),
            ("4R7", Ohms, 4.7),
            ("100n", Farads, 100e-9),
            ("560pF", Farads, 560e-12),
            ("2u2", Farads, 2.2e-6),
            ("200mV", Volts, 0.2),
            ("-1.5", Volts, -1.5),
            ("1200Hz", Hertz, 1200.0),
            ("2.4k", Hertz, 2400.0),
            ("300Bd", Baud, 300.0),
            ("-6 dB", Decibels, -6.0),
            ("5%", Percent, 5.0),
            ("0.5°", Degrees, 0.5),
            ("0.5 deg", Degrees, 0.5),
            ("16", One, 16.0),
        ] {
            assert_eq!(parse(text, unit), Ok(value), "{text}");
        }
    }

    #[test]
    fn a_time_may_be_written_as_a_counter() {
        for (text, seconds) in [
            ("0:01.500", 1.5),
            ("1:30", 90.0),
            ("62:03", 3723.0),
            ("1:02:03.25", 3723.25),
        ] {
            assert_eq!(parse(text, Seconds), Ok(seconds), "{text}");
            assert!(parse(text, Hertz).is_err());
        }
        for text in [
            ":", "1:", ":1", "1:60", "1:2:3:4", "1:-2", "1:60:00", "1.5:00", "1:1e1",
        ] {
            assert!(parse(text, Seconds).is_err(), "{text}");
        }
        for seconds in [0.0, 59.999, 61.5, 3661.25] {
            assert_eq!(parse(&clock(seconds), Seconds), Ok(seconds));
        }
    }

    /// A ratio of voltages in decibels is 20 lg of it (IEC 60027-3).
    #[test]
    fn factors_are_read_in_decibels_too() {
        assert_eq!(parse("20dB", Factor), Ok(10.0));
        assert_eq!(parse("-40 dB", Factor), Ok(0.01));
        assert_eq!(parse("2", Factor), Ok(2.0));
        assert_eq!(ratio_of_decibels("-6"), None);
        assert!((ratio_of_decibels("-6dB").unwrap() - 0.501187).abs() < 1e-6);
    }

    #[test]
    fn whole_numbers_may_have_a_prefix() {
        for (text, whole) in [
            ("44.1k", Some(44_100)),
            ("44100Hz", Some(44_100)),
            ("22,05 kHz", Some(22_050)),
            ("8000", Some(8000)),
            ("0.5", None),
            ("-1", None),
            ("5G", None),
            ("", None),
        ] {
            assert_eq!(parse_whole(text, Hertz), whole, "{text}");
        }
    }

    #[test]
    fn refuses_with_a_sentence() {
        for text in ["", "abc", "inf", "nan", "1.2.3", "5 parsecs", "ms", "1e999"] {
            let err = parse(text, Seconds).unwrap_err().to_string();
            assert!(err.contains("589us"), "{err}");
        }
        assert!(parse("5m", Percent).is_err());
    }

    #[test]
    fn shows_and_reads_back() {
        assert_eq!(show(589e-6, Seconds), "589 µs");
        assert_eq!(show(1.1e-3, Seconds), "1.1 ms");
        assert_eq!(show(0.9999999999999, Seconds), "1 s");
        assert_eq!(show(3600.0, Seconds), "3600 s");
        assert_eq!(show(4700.0, Ohms), "4.7 kΩ");
        assert_eq!(show(0.0, Hertz), "0 Hz");
        assert_eq!(show(1200.0, Baud), "1200 Bd");
        assert_eq!(show_digits(46.875, Percent, 3), "46.9%");
        assert_eq!(show(0.25, Degrees), "0.25°");
        for value in [1e-9, 5.893e-4, 0.1, 0.2, 0.3, 1.0, 47.0, 999.0, 1234.5] {
            assert_eq!(parse(&show(value, Seconds), Seconds), Ok(value), "{value}");
        }
    }

    #[test]
    fn clock_reads_like_a_counter() {
        assert_eq!(clock(0.0), "0:00.000");
        assert_eq!(clock(61.2345), "1:01.235");
        assert_eq!(clock(3_661.0), "1:01:01.000");
        assert_eq!(clock(-1.0), "-0:01.000");
        assert_eq!(clock(-0.0001), "0:00.000");
    }

    /// IEC 60063:2015: each series holds the next coarser one; the values are those of the table.
    #[test]
    fn series_nest_and_the_nearest_is_found() {
        use preferred::*;
        assert!(E6.iter().all(|v| E12.contains(v)));
        assert!(E12.iter().all(|v| E24.contains(v)));
        assert_eq!(nearest(&E24, 4880.0), Some(4700.0));
        assert_eq!(nearest(&E12, 98_000.0), Some(100_000.0));
        assert_eq!(nearest(&E6, 1.0), Some(1.0));
        assert_eq!(nearest(&E6, 0.0), None);
    }
}
