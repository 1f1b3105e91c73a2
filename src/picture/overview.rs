//! The whole recording on one strip.

use super::{DisplayList, Ink, Item, Paint, Rect, Span, Spread, summary};
use crate::signal::{Character, Gap, Traces};
use std::ops::Range;

/// What the strip shows.
#[derive(Clone, Copy)]
pub struct OverviewSpec<'a> {
    /// How long it is, in seconds.
    pub duration_s: f64,
    /// How many samples there are.
    pub samples: usize,
    /// Least and greatest of a range of samples; none where there are none.
    pub extent: &'a dyn Fn(Range<usize>) -> Option<[f32; 2]>,
    /// Where samples are missing.
    pub gaps: &'a [Gap],
    /// The characters.
    pub traces: &'a Traces,
    /// The margins along the recording, as [`super::margin_skyline`] gives them.
    pub margins: &'a [Spread],
    /// Blocks of characters, as ranges of their indices.
    pub blocks: &'a [Range<usize>],
    /// Stretches of steady mark, from and to in seconds.
    pub leaders: &'a [(f64, f64)],
}

/// Height of the band at the foot with leaders, blocks and faults.
const BAND: f32 = 9.0;
/// Height of the band above it with the margins: half a bit is as high as the band.
const SKYLINE: f32 = 14.0;
/// Width of the notch that marks a gap.
const NOTCH: f32 = 7.0;

/// Draws the whole recording on a strip: its envelope, the least margins as
/// a skyline, leaders as open bars, blocks of characters
/// as full bars, faults as upright strokes, gaps as notches at the top.
pub fn overview(spec: &OverviewSpec<'_>, strip: Rect, density: f32) -> DisplayList {
    let mut list = DisplayList::new(strip.right(), strip.bottom());
    let all = Span::new(0.0, spec.duration_s);
    let envelope = Rect {
        h: strip.h - BAND - SKYLINE,
        ..strip
    };
    let skyline = Rect {
        y: envelope.bottom(),
        h: SKYLINE,
        ..strip
    };
    let band = Rect {
        y: skyline.bottom(),
        h: BAND,
        ..strip
    };
    list.fill(strip, Ink::Card);
    draw_envelope(&mut list, spec, envelope, density);
    draw_skyline(&mut list, spec.margins, skyline, density);
    draw_layout(&mut list, spec, all, band);
    draw_faults(&mut list, spec, all, band);
    draw_gaps(&mut list, spec.gaps, all, envelope);
    list.items.push(Item::Outline {
        rect: strip,
        paint: Ink::Rule.into(),
        width: 1.0,
        radius: 0.0,
    });
    list
}

/// Draws the window on the strip: what lies outside it is dimmed.
pub fn overview_window(duration_s: f64, window: Span, strip: Rect) -> DisplayList {
    let mut list = DisplayList::new(strip.right(), strip.bottom());
    let all = Span::new(0.0, duration_s);
    let x = |t| all.x_of(t, strip.x, strip.w).clamp(strip.x, strip.right());
    let (left, right) = (x(window.from_s), x(window.to_s));
    let shade = Paint::thin(Ink::Paper, 0.6);
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
    list.items.push(Item::Outline {
        rect: Rect {
            x: left - 1.0,
            w: (right - left).max(1.0) + 2.0,
            ..strip
        },
        paint: Ink::Text.into(),
        width: 1.5,
        radius: 2.0,
    });
    list
}

fn draw_envelope(list: &mut DisplayList, spec: &OverviewSpec<'_>, area: Rect, density: f32) {
    let (samples, extent) = (spec.samples, spec.extent);
    let [least, most] = extent(0..samples).unwrap_or([0.0, 0.0]);
    let limit = least.abs().max(most.abs()).max(1e-3);
    let count = (area.w * density).floor().max(1.0) as usize;
    let index = |i: usize| (i as u128 * samples as u128 / count as u128) as usize;
    let middle = area.y + area.h / 2.0;
    let y = |v: f32| middle - v / limit * (area.h / 2.0 - 2.0);
    let extents = (0..count)
        .map(|i| match extent(index(i)..index(i + 1).max(index(i) + 1)) {
            Some([least, most]) => [y(most) - 0.5, y(least) + 0.5],
            None => [1.0, 0.0],
        })
        .collect();
    list.items.push(Item::Columns {
        x: area.x,
        step: 1.0 / density,
        extents,
        paint: Paint::thin(Ink::Source, 0.75),
    });
}

/// Draws the least margin of each column.
fn draw_skyline(list: &mut DisplayList, margins: &[Spread], area: Rect, density: f32) {
    let count = (area.w * density).floor().max(1.0) as usize;
    let top = |least: f32| area.bottom() - (least / 50.0).clamp(0.05, 1.0) * area.h;
    let extents = summary::resampled(margins, count).map(|c| match c.least <= c.most {
        true => [top(c.least), area.bottom()],
        false => [1.0, 0.0],
    });
    list.items.push(Item::Columns {
        x: area.x,
        step: 1.0 / density,
        extents: extents.collect(),
        paint: Paint::thin(Ink::Character, 0.45),
    });
}

fn draw_layout(list: &mut DisplayList, spec: &OverviewSpec<'_>, all: Span, band: Rect) {
    let x = |t: f64| all.x_of(t, band.x, band.w);
    for &(from_s, to_s) in spec.leaders {
        let rect = Rect {
            x: x(from_s),
            y: band.y + 3.0,
            w: (x(to_s) - x(from_s)).max(1.0),
            h: band.h - 6.0,
        };
        list.fill(rect, Paint::thin(Ink::Squarer, 0.55));
    }
    let ends = |c: &Character| (x(c.at_s), x(c.line_end_s()));
    for block in spec.blocks {
        let characters = &spec.traces.characters[block.clone()];
        if let [first, .., last] | [first @ last] = characters {
            let (from, to) = (ends(first).0, ends(last).1);
            let rect = Rect {
                x: from,
                y: band.y + 1.0,
                w: (to - from).max(1.5),
                h: band.h - 2.0,
            };
            list.fill(rect, Paint::thin(Ink::Character, 0.8));
        }
    }
}

fn draw_gaps(list: &mut DisplayList, gaps: &[Gap], all: Span, area: Rect) {
    let mut free = area.x - NOTCH;
    for gap in gaps {
        let x = all.x_of(gap.at_s, area.x, area.w);
        // One that would lie on the last is left out.
        if x < free {
            continue;
        }
        free = x + NOTCH / 2.0;
        list.items.push(Item::Polygon {
            points: vec![
                [x - NOTCH / 2.0, area.y],
                [x + NOTCH / 2.0, area.y],
                [x, area.y + 1.6 * NOTCH],
            ],
            paint: Ink::Fault.into(),
        });
    }
}

fn draw_faults(list: &mut DisplayList, spec: &OverviewSpec<'_>, all: Span, band: Rect) {
    let (characters, faulty) = (&spec.traces.characters, &spec.traces.faulty);
    let mut next = 0;
    while let Some(&i) = faulty.get(next) {
        let x = all.x_of(characters[i].at_s, band.x, band.w);
        let rect = Rect {
            x: x - 0.75,
            y: band.y - 6.0,
            w: 1.5,
            h: band.h + 6.0,
        };
        list.fill(rect, Ink::Fault);
        // The next stroke that would not lie on this one.
        let free_s = all.time_at(x + 2.0, band.x, band.w);
        next += faulty[next..]
            .partition_point(|&i| characters[i].at_s < free_s)
            .max(1);
    }
}
