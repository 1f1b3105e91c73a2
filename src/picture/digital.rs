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

/// Draws every edge of a trace.
fn draw_trace(list: &mut DisplayList, edges: &Edges, area: Rect, sheet: &LaneSheet, paint: Paint) {
    let (span, levels) = (sheet.span, levels(area));
    let inside = edges.within(span.from_s, span.to_s);
    let starts_high = edges.level_at(span.from_s);
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
