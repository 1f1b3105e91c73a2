//! The source lane: the recording in volts, with the levels at which the squarer changes.

use super::{Anchor, DisplayList, Font, Ink, Lane, LaneSheet, Paint, Peaks, Rect, Scene, Span};
use crate::signal::{InputNetwork, Samples, Squarer};
use crate::units::{self, Unit};
use std::ops::Range;

/// From this distance in points on, single samples are marked.
const DOT_ROOM: f32 = 5.0;

/// Samples behind the input network that are worked out for one picture, at the most, where
/// peaks of them are at hand.
const AT_ONCE: usize = 200_000;

/// A scale of volts on an area.
#[derive(Clone, Copy, Debug)]
struct Scale {
    area: Rect,
    limit_v: f64,
}

impl Scale {
    fn y(&self, volts: f64) -> f32 {
        let part = (volts / self.limit_v).clamp(-1.2, 1.2) as f32;
        let middle = self.area.y + self.area.h / 2.0;
        let y = middle - part * (self.area.h / 2.0 - 6.0);
        // Not `clamp`, which wants room between its limits: a lane may have none.
        y.min(self.area.bottom() - 1.0).max(self.area.y + 1.0)
    }
}

/// The least round voltage that is not below `volts`.
fn round_up(volts: f64) -> f64 {
    let decade = 10f64.powf(volts.max(1e-9).log10().floor());
    let steps = [1.0, 1.5, 2.0, 3.0, 4.0, 5.0, 6.0, 8.0, 10.0];
    steps
        .map(|s| s * decade)
        .into_iter()
        .find(|s| *s >= volts * 0.999)
        .unwrap_or(10.0 * decade)
}

/// Samples of a recording and the peaks that belong to them, or those alone.
struct Stretch<'a> {
    samples: &'a Samples,
    peaks: &'a Peaks,
    /// The number of the first of them in the recording.
    first: usize,
    rate_hz: f64,
}

impl Stretch<'_> {
    /// Least and greatest in a range of its samples, whose ends may be as coarse as a block of
    /// peaks.
    fn extent(&self, range: Range<usize>) -> Option<[f32; 2]> {
        if self.samples.is_empty() {
            self.peaks.coarse_extent(range)
        } else {
            self.peaks.extent_about(self.samples, range)
        }
    }
}

/// Draws the recording and what comes to the squarer, with its levels.
pub(super) fn draw(
    list: &mut DisplayList,
    scene: &Scene<'_>,
    _: Lane,
    area: Rect,
    sheet: &LaneSheet,
) {
    let rate_hz = f64::from(scene.recording.rate_hz());
    let (first, kept) = scene.recording.kept();
    let visible = visible(sheet.span, rate_hz, scene.recording.len());
    let (none, nothing) = (Peaks::default(), Samples::default());
    let is_wire = InputNetwork::is_wire(&scene.bench.input);
    let source = Stretch {
        samples: kept,
        peaks: scene.peaks,
        first,
        rate_hz,
    };
    let at_once = visible.len() <= AT_ONCE || scene.shaped.is_none();
    let shaped_samples = (!is_wire && at_once)
        .then(|| InputNetwork::stretch(&scene.bench.input, scene.recording, visible.clone()))
        .map(Samples::from);
    let from_peaks = scene.shaped.filter(|_| !at_once && !is_wire);
    let shaped = shaped_samples
        .as_ref()
        .map(|samples| Stretch {
            samples,
            peaks: &none,
            first: visible.start,
            rate_hz,
        })
        .or(from_peaks.map(|peaks| Stretch {
            samples: &nothing,
            peaks,
            first,
            rate_hz,
        }));
    let squarer = Squarer::new(&scene.bench.squarer, scene.recording.rate_hz());
    let mut greatest = squarer.upper_v().abs().max(squarer.lower_v().abs());
    for stretch in [Some(&source), shaped.as_ref()].into_iter().flatten() {
        let own = |number: usize| number.saturating_sub(stretch.first);
        let range = own(visible.start)..own(visible.end);
        if let Some([least, most]) = stretch.extent(range) {
            greatest = greatest.max(f64::from(-least)).max(f64::from(most));
        }
    }
    let limit_v = sheet
        .scale_v
        .unwrap_or_else(|| round_up(greatest.max(1e-3)));
    let scale = Scale { area, limit_v };
    draw_scale(list, &scale);
    let traces = [Some(&source), shaped.as_ref()];
    for (stretch, (_, paint)) in traces.into_iter().flatten().zip(legend(scene)) {
        draw_stretch(list, stretch, &scale, sheet, paint);
    }
    draw_levels(list, &squarer, &scale);
    draw_crossings(list, scene, &squarer, &scale, sheet);
}

/// The traces of the lane with their paints: what was recorded, and what comes to the squarer
/// where that is something else.
pub(super) fn legend(scene: &Scene<'_>) -> Vec<(&'static str, Paint)> {
    let is_wire = InputNetwork::is_wire(&scene.bench.input);
    if is_wire {
        return vec![("recorded", Ink::Source.into())];
    }
    vec![
        ("recorded", Paint::thin(Ink::Source, 0.35)),
        ("to squarer", Ink::Shaped.into()),
    ]
}

/// The indices of the samples in a span and one beyond each end.
fn visible(span: Span, rate_hz: f64, length: usize) -> Range<usize> {
    let from = (span.from_s * rate_hz).floor().max(0.0) as usize;
    let to = (span.to_s * rate_hz).ceil().max(0.0) as usize;
    from.min(length)..to.saturating_add(1).min(length)
}

fn draw_scale(list: &mut DisplayList, scale: &Scale) {
    let area = scale.area;
    for part in [-1.0, -0.5, 0.0, 0.5, 1.0] {
        let y = scale.y(part * scale.limit_v);
        let ink = if part == 0.0 {
            Ink::GridStrong
        } else {
            Ink::Grid
        };
        list.line([[area.x, y], [area.right(), y]], ink, 1.0);
        if part.abs() != 0.5 || area.h > 110.0 {
            let text = units::show_digits(part * scale.limit_v, Unit::Volts, 3);
            let y = y.min(area.bottom() - 7.0).max(area.y + 7.0);
            let at = [area.x - 6.0, y];
            list.text_as(at, text, 10.0, Font::Plain, Anchor::End, Ink::Faint);
        }
    }
}

/// Draws the levels at which the squarer changes.
fn draw_levels(list: &mut DisplayList, squarer: &Squarer, scale: &Scale) {
    let across = |v: f64| {
        let y = scale.y(v);
        [[scale.area.x, y], [scale.area.right(), y]]
    };
    let (upper, lower) = (squarer.upper_v(), squarer.lower_v());
    if (across(upper)[0][1] - across(lower)[0][1]).abs() >= 2.0 {
        for level in [upper, lower] {
            list.dashed(across(level), Paint::thin(Ink::Squarer, 0.8), [5.0, 4.0]);
        }
    } else {
        list.line(
            across((upper + lower) / 2.0),
            Paint::thin(Ink::Squarer, 0.8),
            1.0,
        );
    }
}

fn draw_stretch(
    list: &mut DisplayList,
    stretch: &Stretch<'_>,
    scale: &Scale,
    sheet: &LaneSheet,
    paint: Paint,
) {
    let (area, span) = (scale.area, sheet.span);
    let across = span.length_s() * stretch.rate_hz;
    if across > 6.0 * f64::from(area.w * sheet.density) {
        let step = 1.0 / sheet.density;
        let count = (area.w * sheet.density).floor() as usize;
        let extents = (0..count).map(|i| {
            let edge = |i: usize| {
                let x = area.x + i as f32 * step;
                let at = span.time_at(x, area.x, area.w) * stretch.rate_hz;
                at.floor().max(0.0) as usize
            };
            // One sample is shared with the next column, so that the trace does not break.
            let from = edge(i).max(stretch.first) - stretch.first;
            let to = (edge(i + 1) + 1).max(stretch.first) - stretch.first;
            match stretch.extent(from..to) {
                Some([least, most]) => {
                    let (top, bottom) = (scale.y(f64::from(most)), scale.y(f64::from(least)));
                    let short = (1.3 - (bottom - top)).max(0.0) / 2.0;
                    [top - short, bottom + short]
                }
                None => [1.0, 0.0],
            }
        });
        list.items.push(super::Item::Columns {
            x: area.x,
            step,
            extents: extents.collect(),
            paint,
        });
        return;
    }
    let end = stretch.first + stretch.samples.len();
    let range = visible(span, stretch.rate_hz, end);
    let start = range.start.max(stretch.first);
    let volts = stretch
        .samples
        .range(start - stretch.first..range.end.saturating_sub(stretch.first));
    let points: Vec<_> = volts
        .iter()
        .enumerate()
        .map(|(i, volts)| {
            let at_s = (start + i) as f64 / stretch.rate_hz;
            [span.x_of(at_s, area.x, area.w), scale.y(f64::from(*volts))]
        })
        .collect();
    let apart = f64::from(area.w) / across.max(1e-9);
    if apart >= f64::from(DOT_ROOM) {
        for at in points
            .iter()
            .filter(|p| (area.x..=area.right()).contains(&p[0]))
        {
            list.items.push(super::Item::Dot {
                at: *at,
                radius: 2.2,
                paint,
            });
        }
    }
    let points = cut(&points, area.x, area.right());
    list.items.push(super::Item::Path {
        points,
        paint,
        width: 1.4,
    });
}

/// The part of a line, ordered by x, that lies between two places.
fn cut(points: &[[f32; 2]], left: f32, right: f32) -> Vec<[f32; 2]> {
    let between = |a: [f32; 2], b: [f32; 2], x: f32| {
        let part = (x - a[0]) / (b[0] - a[0]).max(1e-6);
        [x, a[1] + part * (b[1] - a[1])]
    };
    let mut out = Vec::with_capacity(points.len());
    for pair in points.windows(2) {
        let (a, b) = (pair[0], pair[1]);
        if b[0] < left || a[0] > right {
            continue;
        }
        let start = if a[0] < left { between(a, b, left) } else { a };
        let end = if b[0] > right {
            between(a, b, right)
        } else {
            b
        };
        if out.is_empty() {
            out.push(start);
        }
        out.push(end);
    }
    out
}

/// Marks where the signal crosses the squarer's levels, when single samples are to be seen.
fn draw_crossings(
    list: &mut DisplayList,
    scene: &Scene<'_>,
    squarer: &Squarer,
    scale: &Scale,
    sheet: &LaneSheet,
) {
    let (area, span) = (scale.area, sheet.span);
    let apart = f64::from(area.w) / (span.length_s() * f64::from(scene.recording.rate_hz()));
    if apart < f64::from(DOT_ROOM) {
        return;
    }
    let edges = &scene.traces.squarer;
    for i in edges.within(span.from_s, span.to_s) {
        let level = if edges.rises(i) {
            squarer.upper_v()
        } else {
            squarer.lower_v()
        };
        let (x, y) = (
            span.x_of(edges.times_s()[i], area.x, area.w),
            scale.y(level),
        );
        let points = vec![[x, y - 4.5], [x + 4.5, y], [x, y + 4.5], [x - 4.5, y]];
        list.items.push(super::Item::Polygon {
            points,
            paint: Ink::Squarer.into(),
        });
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn scales_are_round() {
        for (volts, limit) in [
            (0.49, 0.5),
            (0.5, 0.5),
            (0.52, 0.6),
            (1.1, 1.5),
            (0.001, 0.001),
        ] {
            assert!((round_up(volts) - limit).abs() < 1e-9, "{volts}");
        }
    }

    #[test]
    fn a_line_is_cut_at_the_ends_of_its_area() {
        let line = [[-10.0, 0.0], [10.0, 20.0], [30.0, 20.0]];
        assert_eq!(
            cut(&line, 0.0, 20.0),
            [[0.0, 10.0], [10.0, 20.0], [20.0, 20.0]]
        );
    }
}
