//! Where samples are missing: a torn strip across all lanes, with how much is lost.
//!
//! A gap has no length on the time axis, as the sample before it stands next to the one behind it;
//! the strip is as wide as it must be to be seen. Its ragged edges tell it from all else without
//! any colour.

use super::list::MEAN_ADVANCE;
use super::{Anchor, DisplayList, Font, Ink, Item, Paint, Rect, Span};
use crate::signal::Gap;

/// Half the width of the strip.
const HALF: f32 = 4.0;
/// How far its edges go in and out, and how far apart the teeth are.
const TOOTH: [f32; 2] = [1.8, 9.0];
/// Size of the lettering.
const SIZE: f32 = 11.0;
/// How far below the top a label stands, under the flags of the marks.
const LABEL_Y: f32 = 24.0;

/// Gaps that show as one strip.
struct Strip<'a> {
    gaps: &'a [Gap],
    left: f32,
    right: f32,
}

/// The strips in the area from left to right; gaps too near to be told apart share one.
fn strips(all: &[Gap], area: Rect, span: Span) -> Vec<Strip<'_>> {
    let shown = Gap::within(all, span.from_s, span.to_s);
    let mut strips: Vec<Strip<'_>> = Vec::new();
    let mut from = 0;
    for (i, gap) in shown.iter().enumerate() {
        let x = span.x_of(gap.at_s, area.x, area.w);
        match strips.last_mut() {
            Some(last) if x - HALF <= last.right => {
                (last.gaps, last.right) = (&shown[from..=i], x + HALF);
            }
            _ => {
                from = i;
                strips.push(Strip {
                    gaps: &shown[i..=i],
                    left: x - HALF,
                    right: x + HALF,
                });
            }
        }
    }
    strips
}

/// Draws the gaps across all lanes.
pub(super) fn draw(list: &mut DisplayList, gaps: &[Gap], area: Rect, span: Span) {
    let strips = strips(gaps, area, span);
    for (i, strip) in strips.iter().enumerate() {
        let x = strip.left.max(area.x);
        let rect = Rect {
            x,
            w: (strip.right.min(area.right()) - x).max(0.0),
            ..area
        };
        // Ground first, so that it stands out from a dense trace, too.
        list.fill(rect, Paint::thin(Ink::Paper, 0.6));
        list.fill(rect, Paint::thin(Ink::Fault, 0.2));
        for x in [strip.left, strip.right] {
            if (area.x..=area.right()).contains(&x) {
                list.items.push(ragged(x, area));
            }
        }
        let next = strips.get(i + 1).map_or(area.right(), |s| s.left);
        let before = match i {
            0 => area.x,
            _ => strips[i - 1].right,
        };
        label(list, strip, area.y + LABEL_Y, [before, next]);
    }
}

fn ragged(x: f32, area: Rect) -> Item {
    let [depth, step] = TOOTH;
    let count = (area.h / step).floor() as usize;
    let tooth = |i: usize| {
        let to = if i.is_multiple_of(2) { depth } else { -depth };
        [x + to, area.y + i as f32 * step]
    };
    Item::Path {
        points: (0..=count).map(tooth).collect(),
        paint: Ink::Fault.into(),
        width: 1.3,
    }
}

/// Writes how much is lost beside a strip, where there is room between its neighbours.
fn label(list: &mut DisplayList, strip: &Strip<'_>, y: f32, [before, next]: [f32; 2]) {
    let text = Gap::words(strip.gaps);
    let w = text.chars().count() as f32 * SIZE * MEAN_ADVANCE + 8.0;
    let x = if strip.right + 4.0 + w <= next {
        strip.right + 4.0
    } else if strip.left - 4.0 - w >= before {
        strip.left - 4.0 - w
    } else {
        return;
    };
    let rect = Rect {
        x,
        y: y - 9.0,
        w,
        h: 18.0,
    };
    list.items.push(Item::Fill {
        rect,
        paint: Ink::Card.into(),
        radius: 3.0,
    });
    list.items.push(Item::Outline {
        rect,
        paint: Ink::Fault.into(),
        width: 1.0,
        radius: 3.0,
    });
    let at = [x + w / 2.0, y];
    list.text_as(at, text, SIZE, Font::Plain, Anchor::Middle, Ink::Fault);
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::signal::Cause;

    const AREA: Rect = Rect {
        x: 100.0,
        y: 0.0,
        w: 1000.0,
        h: 200.0,
    };

    fn gap(at_s: f64) -> Gap {
        Gap {
            at_s,
            length_s: 0.012,
            cause: Cause::Program,
        }
    }

    fn drawn(gaps: &[Gap], span: Span) -> DisplayList {
        let mut list = DisplayList::new(1100.0, 200.0);
        draw(&mut list, gaps, AREA, span);
        list
    }

    fn labels(list: &DisplayList) -> Vec<&str> {
        let texts = list.items.iter().filter_map(|item| match item {
            Item::Text { text, .. } => Some(text.as_str()),
            _ => None,
        });
        texts.collect()
    }

    #[test]
    fn a_gap_shows_as_a_torn_strip_with_its_length() {
        let list = drawn(&[gap(5.0)], Span::new(0.0, 10.0));
        let edges: Vec<_> = list
            .items
            .iter()
            .filter_map(|item| match item {
                Item::Path { points, .. } => Some(points),
                _ => None,
            })
            .collect();
        assert_eq!(edges.len(), 2);
        for points in edges {
            assert!(points.iter().all(|p| (p[0] - 600.0).abs() < 8.0));
            assert!(points.windows(2).all(|p| p[0][0] != p[1][0]));
        }
        assert_eq!(labels(&list), ["gap, 12 ms lost"]);
        assert!(drawn(&[gap(5.0)], Span::new(6.0, 1.0)).items.is_empty());
    }

    #[test]
    fn many_gaps_share_a_strip_and_nothing_leaves_the_area() {
        let gaps: Vec<_> = (0..10_000).map(|i| gap(f64::from(i) * 1e-3)).collect();
        let list = drawn(&gaps, Span::new(-1.0, 20.0));
        assert_eq!(labels(&list), ["10000 gaps, 120 s lost"]);
        for at_s in [0.0, 1.0] {
            for item in drawn(&[gap(at_s)], Span::new(0.0, 1.0)).items {
                if let Item::Fill { rect, .. } = item {
                    assert!(rect.x >= AREA.x && rect.right() <= AREA.right(), "{rect:?}");
                }
            }
        }
    }
}
