//! What stands at the left of a lane: its name, what its stage is set to, which trace is which.

use super::{Anchor, DisplayList, Font, Ink, Lane, Rect, Scene, analog};
use crate::settings::{Bench, Parity, knob};
use crate::units::{self, Unit};

/// Draws the lane's name, what it shows `far` out, and what its stage is set to.
pub(super) fn draw(
    list: &mut DisplayList,
    scene: &Scene<'_>,
    lane: Lane,
    far: &[&str],
    area: Rect,
) {
    let (x, y) = (10.0, area.y + 14.0);
    list.fill(
        Rect {
            x: 0.0,
            y: area.y + 5.0,
            w: 3.0,
            h: (area.h - 10.0).max(0.0),
        },
        lane.ink(),
    );
    list.text_as(
        [x, y],
        lane.name(),
        12.5,
        Font::Bold,
        Anchor::Start,
        Ink::Text,
    );
    if area.h < 34.0 {
        return;
    }
    let row = |row: usize| y + 16.0 + row as f32 * 14.0;
    let has_room = |y: f32| y + 6.0 < area.bottom();
    let far = far.iter().map(|note| (*note).into());
    let notes: Vec<String> = far.chain((lane.row().notes)(scene.bench)).collect();
    let legend = match lane {
        Lane::Source => analog::legend(scene),
        _ => Vec::new(),
    };
    // One trace needs no legend.
    let parts = legend.iter().filter(|_| legend.len() > 1);
    for (i, (text, paint)) in parts.enumerate() {
        let y = row(notes.len() + i);
        if has_room(y) {
            list.line([[x, y], [x + 12.0, y]], *paint, 3.0);
            list.text([x + 16.0, y], *text, 10.5, Ink::Faint);
        }
    }
    for (i, text) in notes.into_iter().enumerate() {
        if has_room(row(i)) {
            list.text([x, row(i)], text, 10.5, Ink::Faint);
        }
    }
}

/// The value of a knob, as it is shown.
fn shown(bench: &Bench, id: &str) -> String {
    knob(id).map_or(String::new(), |k| k.show_in(bench))
}

/// Which channel is read.
pub(super) fn source(bench: &Bench) -> Vec<String> {
    let channel = shown(bench, "source-channel");
    vec![if channel.parse::<u32>().is_ok() {
        format!("channel {channel}")
    } else {
        format!("{channel} of channels")
    }]
}

/// The squarer's two levels.
pub(super) fn squarer(bench: &Bench) -> Vec<String> {
    let volts = |v| units::show_digits(v, Unit::Volts, 3);
    let s = &bench.squarer;
    let (reference, half) = (volts(s.reference_v), volts(s.hysteresis_v / 2.0));
    vec![format!("{reference} ± {half}")]
}

/// How long the short one-shot holds.
pub(super) fn short(bench: &Bench) -> Vec<String> {
    vec![format!("holds {}", shown(bench, "short-width"))]
}

/// How long the long one-shot holds.
pub(super) fn long(bench: &Bench) -> Vec<String> {
    vec![format!("holds {}", shown(bench, "long-width"))]
}

/// What the framer takes for a character.
pub(super) fn characters(bench: &Bench) -> Vec<String> {
    let f = &bench.framer;
    let parity = match f.parity {
        Parity::None => "no parity".into(),
        _ => format!("{} parity", shown(bench, "framer-parity")),
    };
    let rate = shown(bench, "framer-rate");
    vec![format!("{rate}, {} bits", f.data_bits), parity]
}

#[cfg(test)]
mod tests {
    use super::super::{Item, LaneSheet, Peaks, Span, lanes};
    use super::*;
    use crate::signal::{Recording, Traces};

    /// Texts and lines at the left of the source lane.
    fn head(bench: &Bench) -> (Vec<String>, usize) {
        let recording = Recording::new(vec![0.1; 800], 8000);
        let scene = Scene {
            recording: &recording,
            peaks: &Peaks::default(),
            traces: &Traces::default(),
            bench,
            shaped: None,
            summary: None,
            ghost: None,
            selected: None,
            marks: [None; 2],
        };
        let span = Span::new(0.0, 0.1);
        let sheet = LaneSheet::filling(span, [722.0, 200.0], 1.0, [(Lane::Source, 1.0)]);
        let (mut texts, mut lines) = (Vec::new(), 0);
        for item in lanes(&scene, &sheet).items {
            match item {
                Item::Text { text, at, .. } if at[0] < 80.0 => texts.push(text),
                Item::Line { ends, .. } if ends[0][0] > 0.0 && ends[1][0] < 80.0 => lines += 1,
                _ => {}
            }
        }
        (texts, lines)
    }

    #[test]
    fn two_traces_are_named_and_one_is_not() {
        let mut bench = Bench::default();
        let (texts, lines) = head(&bench);
        assert!(
            !texts.iter().any(|t| t == "recorded") && lines == 0,
            "{texts:?}"
        );
        bench.input.low_pass_hz = 3000.0;
        let (texts, lines) = head(&bench);
        for name in ["recorded", "to squarer"] {
            assert!(texts.iter().any(|t| t == name), "{texts:?}");
        }
        assert_eq!(lines, 2);
    }
}
