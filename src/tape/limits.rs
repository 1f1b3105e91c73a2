//! What can be recorded, asked before anything is made.

use super::layout::{as_made, greatest_value};
use super::{Content, Tone};
use crate::settings::{TapeSettings, WearSettings};
use crate::units::{self, Unit};

/// The most samples of a tape, over three hours at 48 kHz: they are held in memory.
const MOST_SAMPLES: f64 = 6e8;

/// Refuses what would not be on the tape as it was asked for.
///
/// # Errors
/// A sentence that says what does not fit, and what would.
pub fn check(content: &Content, tape: &TapeSettings, wear: &WearSettings) -> Result<(), String> {
    let speed = speed(wear);
    // A slow player makes it longer.
    check_length(content.length_s(tape) / speed.min(1.0), tape)?;
    match content {
        Content::Tone {
            tone: Tone::Steady { mark, .. },
            ..
        } => check_tone(*mark, tape, speed),
        Content::Tone { .. } => check_keying(tape, speed),
        Content::Blocks(blocks) => {
            check_keying(tape, speed)?;
            blocks.iter().try_for_each(|block| check_fit(block, tape))
        }
    }
}

/// Refuses a tape of more samples than are held in memory.
pub(super) fn check_length(length_s: f64, tape: &TapeSettings) -> Result<(), String> {
    let most_s = MOST_SAMPLES / f64::from(tape.sample_rate_hz);
    if length_s <= most_s {
        return Ok(());
    }
    Err(format!(
        "A tape of {} is too long; at {} it may last {}. Record it in parts.",
        show_length(length_s),
        units::show(f64::from(tape.sample_rate_hz), Unit::Hertz),
        units::clock(most_s)
    ))
}

/// What is made other than it was asked for, because a stretch of mark is whole cycles long.
pub fn rounding_note(content: &Content, tape: &TapeSettings) -> Option<String> {
    if matches!(content, Content::Tone { .. }) {
        return None;
    }
    let made = as_made(tape);
    let stretches = [
        ("leader", tape.leader_s, made.leader_s),
        ("gap", tape.gap_s, made.gap_s),
        ("trailer", tape.trailer_s, made.trailer_s),
    ];
    let rounded = stretches
        .into_iter()
        .filter(|(_, asked, made)| asked != made);
    let rounded: Vec<_> = rounded
        .map(|(name, _, made_s)| format!("{name} {}", units::show_digits(made_s, Unit::Seconds, 9)))
        .collect();
    (!rounded.is_empty())
        .then(|| format!("Rounded to whole cycles of mark: {}.", rounded.join(", ")))
}

/// Speed of the player over that of the recorder.
fn speed(wear: &WearSettings) -> f64 {
    1.0 + wear.speed_percent / 100.0
}

/// Two tones that can be told apart, each for at least a cycle.
fn check_keying(tape: &TapeSettings, speed: f64) -> Result<(), String> {
    check_tone(true, tape, speed)?;
    check_tone(false, tape, speed)?;
    let hertz = |v: f64| units::show(v, Unit::Hertz);
    if tape.mark_hz == tape.space_hz {
        return Err(format!(
            "Mark and space are both {}, so the tape would hold no data; choose two tones.",
            hertz(tape.mark_hz)
        ));
    }
    let lower_hz = tape.mark_hz.min(tape.space_hz);
    if tape.rate_bd > lower_hz {
        return Err(format!(
            "At {} a bit is shorter than one cycle of {}; lower the rate to {} or raise the tone.",
            units::show(tape.rate_bd, Unit::Baud),
            hertz(lower_hz),
            units::show(lower_hz, Unit::Baud)
        ));
    }
    Ok(())
}

fn check_tone(mark: bool, tape: &TapeSettings, speed: f64) -> Result<(), String> {
    let (name, tone_hz) = if mark {
        ("Mark", tape.mark_hz)
    } else {
        ("Space", tape.space_hz)
    };
    let half_hz = f64::from(tape.sample_rate_hz) / 2.0;
    let played_hz = tone_hz * speed.max(1.0);
    if played_hz < half_hz {
        return Ok(());
    }
    let hertz = |v: f64| units::show_digits(v, Unit::Hertz, 5);
    Err(format!(
        "{name} at {} cannot be recorded: {} samples a second hold tones below {}. Raise the \
         sample rate or lower the tone.",
        hertz(played_hz),
        tape.sample_rate_hz,
        hertz(half_hz)
    ))
}

fn check_fit(block: &[u8], tape: &TapeSettings) -> Result<(), String> {
    let most = greatest_value(tape);
    match block.iter().position(|&b| b > most) {
        None => Ok(()),
        Some(at) => Err(format!(
            "Byte {} of the content is {:02X}, which does not fit into {} data bits (at most \
             {most:02X}); set more data bits, or change the content.",
            at + 1,
            block[at],
            tape.data_bits
        )),
    }
}

/// A length of any size, in words that stay readable.
fn show_length(length_s: f64) -> String {
    const YEAR_S: f64 = 365.25 * 86_400.0;
    if length_s < 1e6 {
        units::clock(length_s)
    } else if length_s < YEAR_S {
        format!("{:.0} days", length_s / 86_400.0)
    } else {
        format!("{:.3e} years", length_s / YEAR_S)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::tape::{Extent, Pattern};

    fn refused(content: &Content, change: impl Fn(&mut TapeSettings, &mut WearSettings)) -> String {
        let (mut tape, mut wear) = (TapeSettings::default(), WearSettings::default());
        change(&mut tape, &mut wear);
        check(content, &tape, &wear).err().unwrap_or_default()
    }

    #[test]
    fn what_cannot_be_recorded_is_refused() {
        let text = Content::bytes(b"tide");
        for (change, says) in [
            ((|_, _| ()) as fn(&mut TapeSettings, &mut WearSettings), ""),
            (|t, _| t.mark_hz = 24_000.0, "24 kHz"),
            (|t, _| t.mark_hz = 23_999.0, ""),
            (
                |t, w| (t.mark_hz, w.speed_percent) = (23_000.0, 10.0),
                "25.3 kHz",
            ),
            (
                |t, _| (t.space_hz, t.sample_rate_hz) = (4000.0, 8000),
                "Space",
            ),
            (|t, _| t.space_hz = 2400.0, "both 2.4 kHz"),
            (|t, _| t.rate_bd = 1200.0, ""),
            (|t, _| t.rate_bd = 1201.0, "shorter than one cycle"),
            (|t, _| t.data_bits = 7, ""),
            (|t, _| t.data_bits = 6, "6 data bits"),
            (|t, _| t.gap_s = 60.0, ""),
            (|t, _| (t.gap_s, t.leader_s) = (60.0, 2e4), "too long"),
            (
                |t, w| (t.leader_s, w.speed_percent) = (7000.0, -50.0),
                "too long",
            ),
        ] {
            let sentence = refused(&text, change);
            assert_eq!(sentence.is_empty(), says.is_empty(), "{sentence}");
            assert!(sentence.contains(says), "{sentence}: {says}");
        }
    }

    /// A steady tone has no bits, and no other tone beside it.
    #[test]
    fn a_steady_tone_is_asked_for_itself_alone() {
        let settings = TapeSettings::default();
        let mark = Content::pattern(Pattern::Mark, Extent::Usual, 0, &settings).unwrap();
        let other = |t: &mut TapeSettings, _: &mut WearSettings| {
            (t.mark_hz, t.space_hz, t.rate_bd) = (1200.0, 30_000.0, 5000.0);
        };
        assert_eq!(refused(&mark, other), "");
        assert!(refused(&mark, |t, _| t.mark_hz = 30_000.0).contains("Mark"));
        let tones = Content::pattern(Pattern::AlternatingTones, Extent::Usual, 0, &settings);
        assert!(refused(&tones.unwrap(), |t, _| t.mark_hz = 1200.0).contains("both"));
    }

    /// None of these may take its length in memory or time.
    #[test]
    fn absurd_lengths_are_refused_before_anything_is_built() {
        let settings = TapeSettings::default();
        let wear = WearSettings::default();
        for index in 0..<Pattern as crate::settings::Choice>::WORDS.len() {
            let pattern = <Pattern as crate::settings::Choice>::from_index(index);
            for extent in [
                Extent::For(1e9),
                Extent::For(1e18),
                Extent::For(f64::INFINITY),
                Extent::Count(u32::MAX as usize),
                Extent::Count(usize::MAX),
            ] {
                let content = Content::pattern(pattern, extent, 0, &settings);
                let checked = content.and_then(|c| check(&c, &settings, &wear));
                let sentence = checked.expect_err("too long");
                assert!(sentence.contains("too long"), "{sentence}");
                assert!(sentence.len() < 120, "{sentence}");
            }
        }
    }

    #[test]
    fn what_is_rounded_is_said() {
        let mut tape = TapeSettings::default();
        let text = Content::bytes(b"tide");
        assert_eq!(rounding_note(&text, &tape), None);
        (tape.leader_s, tape.gap_s) = (5.0001, 0.0051);
        let said = rounding_note(&text, &tape).unwrap();
        assert!(said.contains("leader 5 s, gap 5 ms"), "{said}");
        assert!(!said.contains("trailer"), "{said}");
        let made = crate::tape::make(&text, &tape, &WearSettings::default())
            .truth
            .tape;
        assert_eq!((made.leader_s, made.gap_s), (5.0, 0.005));
        let tone = Content::pattern(Pattern::Mark, Extent::Usual, 0, &tape);
        assert_eq!(rounding_note(&tone.unwrap(), &tape), None);
    }
}
