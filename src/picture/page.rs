//! A page for the notes: a caption over the lanes.

use super::list::MEAN_ADVANCE;
use super::{
    Anchor, DisplayList, Font, Ink, LaneChoice, Marks, Peaks, Rect, Scene, Span, lanes, time_label,
};
use crate::settings::{Bench, KNOBS};
use crate::signal::{Character, Gap, Recording, Traces, least_margin_percent};
use crate::units::{self, Unit};

/// What a page shows.
#[derive(Clone, Copy, Debug)]
pub struct PageSpec<'a> {
    /// The name of the recording.
    pub name: &'a str,
    /// The recording.
    pub recording: &'a Recording,
    /// The peaks of the samples that it keeps, or of a stretch of which it keeps none; empty ones
    /// serve where it keeps samples.
    pub peaks: &'a Peaks,
    /// As [`Scene::shaped`].
    pub shaped: Option<&'a Peaks>,
    /// What the stages put out.
    pub traces: &'a Traces,
    /// The settings.
    pub bench: &'a Bench,
    /// The stretch of time.
    pub span: Span,
    /// The lanes.
    pub lanes: LaneChoice,
    /// Two marked instants.
    pub marks: Marks,
    /// The day, as it is to be written.
    pub date: &'a str,
    /// Width in points.
    pub width: f32,
    /// Height in points.
    pub height: f32,
}

const MARGIN: f32 = 28.0;
/// Mean width of a letter of the bold face for each point of its size, for which capitals are reckoned with.
const BOLD_ADVANCE: f32 = 0.66;
const NAME_SIZE: f32 = 19.0;

/// The page: caption, lanes on one time axis, characters at the bottom.
pub fn page(spec: &PageSpec<'_>) -> DisplayList {
    let mut list = DisplayList::new(spec.width, spec.height);
    list.fill(
        Rect {
            x: 0.0,
            y: 0.0,
            w: spec.width,
            h: spec.height,
        },
        Ink::Paper,
    );
    let right = spec.width - MARGIN;
    let span = span_text(spec.span.moved(spec.recording.begins_at_s()));
    let free = spec.width - 3.0 * MARGIN - span.chars().count() as f32 * 12.5 * MEAN_ADVANCE;
    let name = shortened(
        spec.name,
        (free / (NAME_SIZE * BOLD_ADVANCE)).max(0.0) as usize,
    );
    let at = [MARGIN, MARGIN + 2.0];
    list.text_as(at, name, NAME_SIZE, Font::Bold, Anchor::Start, Ink::Text);
    let at = [right, MARGIN + 2.0];
    list.text_as(at, span, 12.5, Font::Plain, Anchor::End, Ink::Text);
    let at = [right, MARGIN + 26.0];
    list.text_as(at, spec.date, 11.5, Font::Plain, Anchor::End, Ink::Faint);
    let mut y = MARGIN + 26.0;
    let room = spec.width - 2.0 * MARGIN;
    for text in [settings_text(spec.bench), read_out(spec)] {
        for row in wrapped(&text, ((room - 90.0) / (11.5 * MEAN_ADVANCE)) as usize) {
            list.text([MARGIN, y], row, 11.5, Ink::Faint);
            y += 16.0;
        }
    }
    let top = y + 2.0;
    let size = [room, spec.height - top - MARGIN / 2.0];
    let sheet = spec.lanes.sheet(spec.span, size, 1.0);
    let scene = Scene {
        recording: spec.recording,
        peaks: spec.peaks,
        traces: spec.traces,
        bench: spec.bench,
        shaped: spec.shaped,
        summary: None,
        ghost: None,
        selected: None,
        marks: spec.marks,
    };
    list.line([[MARGIN, top], [right, top]], Ink::Rule, 1.0);
    list.place(lanes(&scene, &sheet), [MARGIN, top]);
    list
}

/// The span in words: `0:05.000 to 0:05.100 (100 ms)`.
fn span_text(span: Span) -> String {
    let step_s = span.length_s() / 1000.0;
    format!(
        "{} to {} ({})",
        time_label(span.from_s, step_s),
        time_label(span.to_s, step_s),
        units::show_digits(span.length_s(), Unit::Seconds, 4)
    )
}

/// The settings that shape the reading and differ from the defaults.
fn settings_text(bench: &Bench) -> String {
    let default = Bench::default();
    let changed: Vec<_> = KNOBS
        .iter()
        .filter(|k| k.shapes_a_reading() && k.get(bench) != k.get(&default))
        .map(|k| format!("{} {}", k.id(), k.show_in(bench)))
        .collect();
    if changed.is_empty() {
        "All settings at their defaults.".into()
    } else {
        format!("Settings: {}.", changed.join(" · "))
    }
}

/// What is missing from the span, and what the characters in it are like.
fn read_out(spec: &PageSpec<'_>) -> String {
    let Span { from_s, to_s } = spec.span;
    match Gap::within(spec.recording.gaps(), from_s, to_s) {
        [] => characters_text(spec),
        gaps => format!(
            "Samples are missing here: {}. {}",
            Gap::words(gaps),
            characters_text(spec)
        ),
    }
}

fn characters_text(spec: &PageSpec<'_>) -> String {
    let shown: Vec<&Character> = spec
        .traces
        .characters
        .iter()
        .filter(|c| c.line_end_s() >= spec.span.from_s && c.line_start_s <= spec.span.to_s)
        .collect();
    if shown.is_empty() {
        return "No character in this span.".into();
    }
    let faulty = shown.iter().filter(|c| c.faults.any()).count();
    let margin = least_margin_percent(shown.iter().copied()).map_or("no margin".into(), |p| {
        format!("least margin {}", units::percent(p))
    });
    let measured = match spec.marks {
        [Some(a), Some(b)] => {
            let apart = units::show_digits((b - a).abs(), Unit::Seconds, 6);
            format!(" Marks A and B are {apart} apart.")
        }
        _ => String::new(),
    };

    let faults = match faulty {
        0 => "none with a fault".to_string(),
        n => format!("{n} with a fault (diamond: framing, triangle: parity, square: break)"),
    };
    format!(
        "{} in this span, {faults}, {margin}.{measured}",
        units::counted(shown.len(), "character")
    )
}

/// A name with its middle left out where it has more than so many letters: its beginning and its
/// ending tell it from others.
pub fn shortened(name: &str, letters: usize) -> String {
    let count = name.chars().count();
    if count <= letters {
        return name.into();
    }
    let kept = letters.saturating_sub(1);
    let front: String = name.chars().take(kept.div_ceil(2)).collect();
    let back: String = name.chars().skip(count - kept / 2).collect();
    format!("{front}…{back}")
}

/// Breaks a text at spaces into rows of at most `letters` letters.
fn wrapped(text: &str, letters: usize) -> Vec<String> {
    let mut rows = vec![String::new()];
    for word in text.split(' ') {
        let row = rows.last_mut().expect("there is always a row");
        if !row.is_empty() && row.chars().count() + 1 + word.chars().count() > letters {
            rows.push(word.into());
        } else {
            if !row.is_empty() {
                row.push(' ');
            }
            row.push_str(word);
        }
    }
    rows
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_long_name_loses_its_middle() {
        assert_eq!(shortened("tide.wav", 8), "tide.wav");
        assert_eq!(shortened("a-long-tide.wav", 8), "a-lo…wav");
        assert_eq!(shortened("ebb", 0), "…");
    }

    #[test]
    fn rows_break_at_spaces() {
        assert_eq!(wrapped("one two three", 8), ["one two", "three"]);
        assert_eq!(wrapped("extraordinary", 4), ["extraordinary"]);
    }
}
