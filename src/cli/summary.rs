//! What there is to say about a reading, for people.

use crate::export::{Reading, Summary};
use crate::study::{self, Advice};
use crate::units::{self, Unit};

/// All there is to say; of a `part` of the recording, with a word on what is about the whole.
pub(super) fn of_reading(reading: &Reading<'_>, advice: &[Advice], part: bool) -> Vec<String> {
    let (about, levels) = (reading.about, reading.levels);
    let volts = |v| units::show_digits(v, Unit::Volts, 3);
    let whole = if part { " (whole recording)" } else { "" };
    let mut lines = vec![
        format!(
            "{}: {}, {}, {}, {}",
            about.name,
            about.format,
            units::counted(about.channels as usize, "channel"),
            units::show(f64::from(about.rate_hz), Unit::Hertz),
            units::clock(about.duration_s())
        ),
        format!(
            "level{whole}: peak {}, rms {}, mean {}, {} at full scale",
            volts(levels.peak_v),
            volts(levels.rms_v),
            volts(levels.mean_v),
            units::counted(levels.clipped, "sample")
        ),
    ];
    if part {
        let (from, to) = (reading.traces.start_s, reading.traces.end_s);
        lines.push(format!(
            "from {} to {}",
            units::clock(from),
            units::clock(to)
        ));
    }
    let blocks = study::blocks(&reading.traces.characters).len();
    lines.extend(counts(&Summary::of(reading.traces), blocks));
    lines.extend(advice.iter().map(|a| format!("hint{whole}: {}", a.says)));
    lines.extend(about.notes.iter().map(|note| format!("note: {note}")));
    lines
}

/// Characters, faults and margins.
pub(super) fn counts(all: &Summary, blocks: usize) -> Vec<String> {
    let mut lines = vec![format!(
        "{} in {}: {} (!), {} (?), {} (_), {}",
        units::counted(all.characters, "character"),
        units::counted(blocks, "block"),
        units::counted(all.framing_errors, "framing error"),
        units::counted(all.parity_errors, "parity error"),
        units::counted(all.breaks, "break"),
        units::counted(all.false_starts, "false start")
    )];
    match (all.margin_percent.least, all.margin_percent.median) {
        (Some(least), Some(median)) => lines.push(format!(
            "margin: smallest {}, typical {} of a bit",
            units::percent(least),
            units::percent(median)
        )),
        _ if all.characters > 0 => lines.push("margin: none, every character has a fault".into()),
        _ => {}
    }
    lines
}
