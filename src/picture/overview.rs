//! The whole recording on one strip, with the window on it.

use super::{DisplayList, Ink, Item, Paint, Peaks, Rect, Span};
use crate::signal::{Recording, Traces};

/// Draws the whole recording on a strip: its envelope, the stretches that hold characters, the
/// faults, and the window on it.
pub fn overview(
    recording: &Recording,
    peaks: &Peaks,
    traces: &Traces,
    window: Span,
    strip: Rect,
    density: f32,
) -> DisplayList {
    let mut list = DisplayList::new(strip.right(), strip.bottom());
    let all = Span::new(0.0, recording.duration_s());
    let band = 7.0;
    let envelope = Rect {
        h: strip.h - band,
        ..strip
    };
    list.fill(strip, Ink::Card);
    draw_envelope(&mut list, recording, peaks, envelope, density);
    draw_characters(
        &mut list,
        traces,
        all,
        Rect {
            y: envelope.bottom(),
            h: band,
            ..strip
        },
    );
    draw_window(&mut list, all, window, strip);
    let (radius, paint) = (0.0, Ink::Rule.into());
    list.items.push(Item::Outline {
        rect: strip,
        paint,
        width: 1.0,
        radius,
    });
    list
}

fn draw_envelope(
    list: &mut DisplayList,
    recording: &Recording,
    peaks: &Peaks,
    area: Rect,
    density: f32,
) {
    let samples = recording.samples();
    let [least, most] = peaks
        .extent(samples, 0..samples.len())
        .unwrap_or([0.0, 0.0]);
    let limit = least.abs().max(most.abs()).max(1e-3);
    let count = (area.w * density).floor().max(1.0) as usize;
    let index = |i: usize| (i as u128 * samples.len() as u128 / count as u128) as usize;
    let middle = area.y + area.h / 2.0;
    let y = |v: f32| middle - v / limit * (area.h / 2.0 - 2.0);
    let extents = (0..count)
        .map(
            |i| match peaks.extent(samples, index(i)..index(i + 1).max(index(i) + 1)) {
                Some([least, most]) => [y(most) - 0.5, y(least) + 0.5],
                None => [1.0, 0.0],
            },
        )
        .collect();
    let paint = Paint::thin(Ink::Source, 0.75);
    list.items.push(Item::Columns {
        x: area.x,
        step: 1.0 / density,
        extents,
        paint,
    });
}

/// Marks where characters are: a band for each block of them, a taller mark for each fault.
fn draw_characters(list: &mut DisplayList, traces: &Traces, all: Span, area: Rect) {
    let x = |time_s: f64| all.x_of(time_s, area.x, area.w);
    let mut block: Option<[f32; 2]> = None;
    let draw = |list: &mut DisplayList, [from, to]: [f32; 2]| {
        let rect = Rect {
            x: from,
            y: area.y + 1.0,
            w: (to - from).max(1.0),
            h: area.h - 2.0,
        };
        list.fill(rect, Paint::thin(Ink::Character, 0.75));
    };
    for c in &traces.characters {
        let (from, to) = (x(c.at_s), x(c.line_end_s()));
        match &mut block {
            Some(open) if from <= open[1] + 1.0 => open[1] = to,
            _ => {
                block.into_iter().for_each(|done| draw(list, done));
                block = Some([from, to]);
            }
        }
    }
    block.into_iter().for_each(|done| draw(list, done));
    let mut free_from = f32::NEG_INFINITY;
    for c in traces.characters.iter().filter(|c| c.faults.any()) {
        let x = x(c.at_s);
        if x >= free_from {
            let rect = Rect {
                x: x - 0.75,
                y: area.y - 5.0,
                w: 1.5,
                h: area.h + 5.0,
            };
            list.fill(rect, Ink::Fault);
            free_from = x + 2.0;
        }
    }
}

fn draw_window(list: &mut DisplayList, all: Span, window: Span, strip: Rect) {
    let left = all
        .x_of(window.from_s, strip.x, strip.w)
        .clamp(strip.x, strip.right());
    let right = all
        .x_of(window.to_s, strip.x, strip.w)
        .clamp(strip.x, strip.right());
    let shade = Paint::thin(Ink::Paper, 0.65);
    list.fill(
        Rect {
            w: left - strip.x,
            ..strip
        },
        shade,
    );
    list.fill(
        Rect {
            x: right,
            w: strip.right() - right,
            ..strip
        },
        shade,
    );
    let rect = Rect {
        x: left - 1.0,
        w: (right - left).max(1.0) + 2.0,
        ..strip
    };
    let (radius, paint) = (2.0, Ink::Text.into());
    list.items.push(Item::Outline {
        rect,
        paint,
        width: 1.5,
        radius,
    });
}
