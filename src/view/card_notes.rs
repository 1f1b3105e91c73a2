//! The small read-outs at the feet of the cards: what is measured of each stage.

use super::reading::Extent;
use super::session::Session;
use super::survey::Survey;
use crate::picture::Lane;
use crate::settings::Channel;
use crate::signal::Levels;
use crate::study::Pulses;
use crate::units::{self, Unit};

/// What there is to say of a stage, in phrases; none where nothing has been measured.
pub(super) fn note(stage: &str, session: &Session, survey: Option<&Survey>) -> Vec<String> {
    let Some(document) = session.document() else {
        return Vec::new();
    };
    match (stage, survey) {
        ("source", _) => {
            let mut phrases = channels_phrases(document.source.channel, document.about.channels);
            phrases.extend(levels_note(&document.levels));
            phrases
        }
        ("framer", _) => framer_note(session),
        ("squarer", Some(survey)) => {
            let mut phrases = vec![tones_phrase(&survey.tones.heard_hz())];
            let pulses = survey.pulses(Lane::Squarer);
            phrases.extend(pulses.into_iter().flat_map(rate_and_duty));
            phrases
        }
        ("short", Some(survey)) => pulses_note(survey.pulses(Lane::Short), "high"),
        ("long", Some(survey)) => pulses_note(survey.pulses(Lane::Long), "low"),
        _ => Vec::new(),
    }
}

/// What is read of how many channels, where that is known.
fn channels_phrases(channel: Channel, count: u32) -> Vec<String> {
    match (channel, count) {
        (_, 0) => Vec::new(),
        (_, 1) => vec!["one channel".into()],
        (Channel::One(n), _) => vec![format!("channel {n} of {count}")],
        (Channel::Sum, _) => vec![format!("mean of {count} channels")],
        (Channel::Difference, _) => {
            vec!["half of 1 less 2".into(), format!("of {count} channels")]
        }
    }
}

fn levels_note(levels: &Levels) -> Vec<String> {
    let volts = |name: &str, v| format!("{name} {}", units::show_digits(v, Unit::Volts, 3));
    let clipped = match levels.clipped {
        0 => "not clipped".into(),
        n => format!("{} at full scale", units::counted(n, "sample")),
    };
    vec![
        volts("peak", levels.peak_v),
        volts("rms", levels.rms_v),
        volts("mean", levels.mean_v),
        clipped,
    ]
}

fn framer_note(session: &Session) -> Vec<String> {
    let tally = session.tally();
    let captured = match tally.of {
        Extent::Captured => " captured",
        Extent::Whole | Extent::Beginning => "",
    };
    if tally.characters == 0 {
        return vec![format!("no characters{captured}")];
    }
    let margin = tally.least_margin_percent.map(units::percent);
    vec![
        format!(
            "{}{captured} in {}",
            units::counted(tally.characters, "character"),
            units::counted(tally.blocks, "block")
        ),
        format!("{} with faults", tally.faulty),
        margin.map_or("no margin".into(), |m| format!("least margin {m}")),
        units::counted(tally.false_starts, "false start"),
    ]
}

/// Of what the read-out of a stage is.
pub(super) fn note_of(stage: &str, session: &Session) -> &'static str {
    match (stage, session.tally().of) {
        ("source", Extent::Captured) => "Of the last stretch that was captured.",
        ("source" | "framer", Extent::Whole) => "Of the whole recording.",
        ("source" | "framer", Extent::Beginning) => "Of what is open so far of the recording.",
        ("framer", Extent::Captured) => {
            "Of all that was captured, with the settings at the time when it came."
        }
        _ => "Of the stretch in view.",
    }
}

/// The tones that are there, in words.
fn tones_phrase(heard_hz: &[f64]) -> String {
    let khz = |hz: &f64| units::show_digits(hz / 1000.0, Unit::One, 3);
    match heard_hz {
        [] => "no tone".into(),
        [one] => format!("one tone {} kHz", khz(one)),
        [mark, space, ..] => format!("tones {} and {} kHz", khz(mark), khz(space)),
    }
}

fn rate_and_duty(pulses: &Pulses) -> [String; 2] {
    let rate = units::show_digits(pulses.per_second, Unit::One, 3);
    let duty = units::percent(pulses.duty * 100.0);
    [format!("{rate} pulses/s"), format!("duty {duty}")]
}

/// The shortest and longest pulse of one level, rate and duty.
fn pulses_note(pulses: Option<&Pulses>, level: &str) -> Vec<String> {
    let Some(pulses) = pulses else {
        return Vec::new();
    };
    let ends = match level {
        "high" => pulses.shortest_high_s.zip(pulses.longest_high_s),
        _ => pulses.shortest_low_s.zip(pulses.longest_low_s),
    };
    let show = |s| units::show_digits(s, Unit::Seconds, 3);
    let ends = ends.map_or(format!("no {level} pulse"), |(least, most)| {
        format!("{level} {} to {}", show(least), show(most))
    });
    let mut phrases = vec![ends];
    phrases.extend(rate_and_duty(pulses));
    phrases
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn only_tones_that_are_there_are_named() {
        assert_eq!(tones_phrase(&[]), "no tone");
        assert_eq!(tones_phrase(&[2400.0]), "one tone 2.4 kHz");
        assert_eq!(tones_phrase(&[2400.0, 1200.0]), "tones 2.4 and 1.2 kHz");
    }

    #[test]
    fn a_duty_next_to_nothing_has_no_row_of_noughts() {
        let pulses = Pulses {
            duty: 2.96e-7,
            ..Pulses::default()
        };
        assert_eq!(rate_and_duty(&pulses)[1], "duty under 0.01%");
    }
}
