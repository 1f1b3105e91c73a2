//! Lanes in a long view: the spread of what is measured in each column.

use super::summary::{self, Measure, Spread};
use super::{Anchor, DisplayList, Font, Ink, Item, Lane, LaneSheet, Paint, Rect, Scene, Span};
use crate::settings::Bench;
use crate::signal::Traces;
use crate::units::{self, Unit};

/// What a lane shows in a long view.
pub(super) struct Far {
    /// What it is, in rows for the lane's head.
    pub notes: &'static [&'static str],
    /// Whether there is more in a view of so many points and columns than can be shown one by one.
    pub begins: fn(&Traces, Span, f32, usize) -> bool,
    /// What is measured.
    pub measure: Measure,
    /// The values at the foot and at the top of the lane.
    pub limits: fn(&Bench) -> [f64; 2],
    /// Values that have a line across the lane.
    pub ticks: fn(&Bench) -> Vec<f64>,
    /// The unit of the values; none for per cent.
    pub unit: Option<Unit>,
    /// Whether bars stand on the foot, up to the least value, in place of a band from least to
    /// greatest.
    pub is_skyline: bool,
}

/// The squarer's cycles.
pub(super) const CYCLES: Far = Far {
    notes: &[
        "cycle lengths:",
        "least to greatest,",
        "typical of each tone",
    ],
    begins: |t, span, _, columns| summary::is_crowded(&t.squarer, span, columns),
    measure: summary::cycle_lengths,
    limits: |bench| [0.5 / bench.tape.mark_hz, 1.5 / bench.tape.space_hz],
    ticks: |bench| vec![1.0 / bench.tape.mark_hz, 1.0 / bench.tape.space_hz],
    unit: Some(Unit::Seconds),
    is_skyline: false,
};

/// The short one-shot's pulses.
pub(super) const PULSES: Far = Far {
    notes: &["high pulse widths:", "least to greatest,", "typical"],
    begins: |t, span, _, columns| summary::is_crowded(&t.short, span, columns),
    measure: summary::high_widths,
    limits: |bench| [0.0, 1.0 / bench.tape.space_hz],
    ticks: |bench| vec![0.5 / bench.tape.space_hz],
    unit: Some(Unit::Seconds),
    is_skyline: false,
};

/// The ends of the long one-shot's pulses.
pub(super) const ENDS: Far = Far {
    notes: &[
        "lateness of its ends,",
        "% of a bit: least to",
        "greatest, typical",
    ],
    begins: |t, span, _, columns| summary::is_crowded(&t.long, span, columns),
    measure: summary::lateness,
    limits: |_| [-50.0, 50.0],
    ticks: |_| vec![-25.0, 0.0, 25.0],
    unit: None,
    is_skyline: false,
};

/// The characters' margins.
pub(super) const MARGINS: Far = Far {
    notes: &["least margins,", "shapes are faults"],
    begins: |t, span, width, _| super::characters::is_crowded(&t.characters, span, width),
    measure: summary::margins,
    limits: |_| [0.0, 50.0],
    ticks: |_| vec![25.0],
    unit: None,
    is_skyline: true,
};

/// Draws a lane's columns.
pub(super) fn draw(
    list: &mut DisplayList,
    scene: &Scene<'_>,
    (lane, far): (Lane, &Far),
    columns: &[Spread],
    area: Rect,
    sheet: &LaneSheet,
) {
    let room = (area.h * 0.1).min(8.0);
    let [low, high] = (far.limits)(scene.bench);
    let y = |value: f64| {
        let part = ((value - low) / (high - low)).clamp(0.0, 1.0) as f32;
        area.bottom() - room - part * (area.h - 2.0 * room)
    };
    for value in (far.ticks)(scene.bench) {
        list.line(
            [[area.x, y(value)], [area.right(), y(value)]],
            Ink::Grid,
            1.0,
        );
    }
    let bars = |bar: &dyn Fn(&Spread) -> Option<[f32; 2]>, opacity: f32| Item::Columns {
        x: area.x,
        step: 1.0 / sheet.density,
        extents: columns
            .iter()
            .map(|c| bar(c).unwrap_or([1.0, 0.0]))
            .collect(),
        paint: Paint::thin(lane.ink(), opacity),
    };
    let has_any = |c: &Spread| c.least <= c.most;
    if far.is_skyline {
        let foot = area.bottom() - room;
        let least = |c: &Spread| {
            let top = y(f64::from(c.least)).min(foot - 1.0);
            has_any(c).then_some([top, foot])
        };
        list.items.push(bars(&least, 0.55));
    } else {
        let band = |c: &Spread| {
            let (top, bottom) = (y(f64::from(c.most)), y(f64::from(c.least)));
            has_any(c).then_some([top - 0.5, bottom + 0.5])
        };
        list.items.push(bars(&band, 0.3));
        for kind in 0..2 {
            let typical = |c: &Spread| {
                let middle = y(f64::from(c.typical(kind)?));
                Some([middle - 0.9, middle + 0.9])
            };
            if columns.iter().any(|c| c.typical(kind).is_some()) {
                list.items.push(bars(&typical, 1.0));
            }
        }
    }
    for value in (far.ticks)(scene.bench) {
        label(list, far, value, [area.x + 4.0, y(value)]);
    }
}

/// Writes a value at its line, on a ground of its own.
fn label(list: &mut DisplayList, far: &Far, value: f64, [x, y]: [f32; 2]) {
    let text = match far.unit {
        Some(unit) => units::show_digits(value, unit, 3),
        None => format!("{value} %"),
    };
    let ground = Rect {
        x: x - 2.0,
        y: y - 6.0,
        w: text.chars().count() as f32 * 5.6 + 4.0,
        h: 12.0,
    };
    list.fill(ground, Paint::thin(Ink::Paper, 0.75));
    list.text_as([x, y], text, 9.5, Font::Plain, Anchor::Start, Ink::Faint);
}
