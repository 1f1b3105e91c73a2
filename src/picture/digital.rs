//! Lanes of two levels.

use super::{DisplayList, Ink, Item, Lane, LaneSheet, Paint, Rect, Scene};
use crate::signal::Edges;

/// Heights of the high and the low level in a lane.
pub(super) fn levels(area: Rect) -> [f32; 2] {
    let room = (area.h * 0.22).clamp(5.0, 16.0).min(area.h * 0.4);
    [area.y + room, area.bottom() - room]
}

/// Draws a lane's trace over the one to compare it with.
pub(super) fn draw(
    list: &mut DisplayList,
    scene: &Scene<'_>,
    lane: Lane,
    area: Rect,
    sheet: &LaneSheet,
) {
    if let Some(ghost) = scene.ghost.and_then(|g| lane.edges(g)) {
        draw_trace(list, ghost, area, sheet, Paint::thin(Ink::Faint, 0.6));
    }
    if let Some(edges) = lane.edges(scene.traces) {
        draw_trace(list, edges, area, sheet, lane.ink().into());
    }
}

/// Draws a trace: every edge where there is room, columns where there is not.
fn draw_trace(list: &mut DisplayList, edges: &Edges, area: Rect, sheet: &LaneSheet, paint: Paint) {
    let (span, levels) = (sheet.span, levels(area));
    let inside = edges.within(span.from_s, span.to_s);
    let starts_high = edges.level_at(span.from_s);
    let columns = area.w * sheet.density;
    if inside.len() as f32 > columns / 3.0 {
        list.items.push(dense(edges, area, sheet, levels, paint));
        return;
    }
    let changes: Vec<f32> = edges.times_s()[inside]
        .iter()
        .map(|&t| span.x_of(t, area.x, area.w))
        .collect();
    if paint.opacity == 1.0 {
        shade_highs(list, &changes, starts_high, area, levels, paint.ink);
    }
    list.items.push(Item::Steps {
        ends: [area.x, area.right()],
        changes,
        starts_high,
        levels,
        paint,
        width: 1.6,
    });
}

/// Shades what is high, so that the level is seen without looking for the line's height.
fn shade_highs(
    list: &mut DisplayList,
    changes: &[f32],
    starts_high: bool,
    area: Rect,
    levels: [f32; 2],
    ink: Ink,
) {
    let bounds: Vec<f32> = [area.x]
        .iter()
        .chain(changes)
        .chain(&[area.right()])
        .copied()
        .collect();
    for pair in bounds.windows(2).skip(usize::from(!starts_high)).step_by(2) {
        let rect = Rect {
            x: pair[0],
            y: levels[0],
            w: pair[1] - pair[0],
            h: levels[1] - levels[0],
        };
        list.fill(rect, Paint::thin(ink, 0.10));
    }
}

fn dense(edges: &Edges, area: Rect, sheet: &LaneSheet, levels: [f32; 2], paint: Paint) -> Item {
    let step = 1.0 / sheet.density;
    let count = (area.w * sheet.density).floor() as usize;
    let time_at = |i: usize| sheet.span.time_at(area.x + i as f32 * step, area.x, area.w);
    let mut finder = Finder::new(edges);
    let extents = (1..=count)
        .map(|i| match finder.find(time_at(i - 1), time_at(i)) {
            None => levels,
            Some(true) => [levels[0] - 0.8, levels[0] + 0.8],
            Some(false) => [levels[1] - 0.8, levels[1] + 0.8],
        })
        .collect();
    Item::Columns {
        x: area.x,
        step,
        extents,
        paint: Paint::thin(paint.ink, paint.opacity * 0.85),
    }
}

/// Tells of columns in the order of time whether they hold an edge. Where a column holds many, it
/// looks at one of them, as far behind the last as the columns are apart: every other look at a
/// long trace would be one at memory far away.
struct Finder<'a> {
    edges: &'a Edges,
    /// An edge that should be near the middle of the next column.
    guess: usize,
    /// Edges in a column.
    held: usize,
}

impl<'a> Finder<'a> {
    fn new(edges: &'a Edges) -> Self {
        Self {
            edges,
            guess: 0,
            held: 0,
        }
    }

    /// The level where there is no edge in `from_s < time <= to_s`.
    fn find(&mut self, from_s: f64, to_s: f64) -> Option<bool> {
        let guessed = self.edges.times_s().get(self.guess);
        if guessed.is_some_and(|&t| from_s < t && t <= to_s) {
            self.guess += self.held;
            return None;
        }
        let to = self.edges.count_until_near(self.guess, to_s);
        let from = self
            .edges
            .count_until_near(to.saturating_sub(self.held), from_s);
        self.held = to - from;
        self.guess = to + self.held / 2;
        (from == to).then(|| self.edges.starts_high() ^ !to.is_multiple_of(2))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn columns_are_what_a_search_of_each_finds() {
        // Few edges, then many, then none.
        let mut edges = Edges::resting(true);
        let times = (0..40)
            .map(|i| f64::from(i * i))
            .chain((0..9000).map(|i| 1600.0 + f64::from(i) * 0.3));
        times.for_each(|t| edges.push(t));
        for width_s in [0.1, 1.0, 7.0, 300.0] {
            let mut finder = Finder::new(&edges);
            for i in 0..(5000.0 / width_s) as usize {
                let (from_s, to_s) = (i as f64 * width_s, (i + 1) as f64 * width_s);
                let quiet = edges.within(from_s, to_s).is_empty();
                let expected = quiet.then(|| edges.level_at(to_s));
                assert_eq!(finder.find(from_s, to_s), expected, "{from_s} to {to_s}");
            }
        }
    }
}
