//! The bottom lane, and the bits that belong to it on the long one-shot's lane.

use super::list::MONO_ADVANCE;
use super::{Anchor, DisplayList, Font, Ink, Item, Lane, LaneSheet, Paint, Rect, Scene, Span};
use super::{digital, glyph};
use crate::settings::Parity;
use crate::signal::{Character, Faults};
use std::ops::Range;

/// The characters that show in a span: a range of indices.
fn showing(characters: &[Character], span: Span) -> Range<usize> {
    let from = characters.partition_point(|c| c.line_end_s() < span.from_s);
    let to = characters.partition_point(|c| c.line_start_s <= span.to_s);
    from..to.max(from)
}

/// Size of the lettering in the cells of the bits.
const BIT_SIZE: f32 = 10.5;
/// Points between the box of the selected character and the line around it.
const HALO: f32 = 2.5;

/// Width of a bit in points.
fn bit_width(c: &Character, area: Rect, span: Span) -> f32 {
    (c.instants.bit_s / span.length_s()) as f32 * area.w
}

/// Draws the line: the long one-shot's trace with the bits that the framer takes from it.
pub(super) fn draw_line(
    list: &mut DisplayList,
    scene: &Scene<'_>,
    lane: Lane,
    area: Rect,
    sheet: &LaneSheet,
) {
    draw_cells(list, scene, area, sheet.span);
    digital::draw(list, scene, lane, area, sheet);
    draw_values(list, scene, area, sheet.span);
    draw_instants(list, scene, area, sheet.span);
}

/// Draws the cells of the bits behind the long one-shot's trace.
fn draw_cells(list: &mut DisplayList, scene: &Scene<'_>, area: Rect, span: Span) {
    for c in &scene.traces.characters[showing(&scene.traces.characters, span)] {
        let bit = bit_width(c, area, span);
        if bit < 6.0 {
            return;
        }
        for i in 0..c.instants.count() {
            let edge_s = c.instants.at_s(i) - c.instants.bit_s / 2.0;
            let x = span.x_of(edge_s, area.x, area.w);
            if (area.x..area.right()).contains(&x) {
                let ends = [[x, area.y + 2.0], [x, area.bottom() - 2.0]];
                list.dashed(ends, Paint::thin(Ink::Long, 0.55), [2.0, 3.0]);
            }
        }
    }
}

/// Writes the values of the bits over the trace, where there is room; on a ground of their own
/// where the trace has an edge, which it has in the middle of a bit when the margin is thin.
fn draw_values(list: &mut DisplayList, scene: &Scene<'_>, area: Rect, span: Span) {
    for c in &scene.traces.characters[showing(&scene.traces.characters, span)] {
        let bit = bit_width(c, area, span);
        if bit < 13.0 {
            return;
        }
        let middle = area.y + area.h / 2.0;
        for (i, time_s) in c.instants.iter().enumerate() {
            let x = span.x_of(time_s, area.x, area.w);
            let text = bit_label(scene, c, i, bit);
            if text.is_empty() || !(area.x + 5.0..area.right() - 5.0).contains(&x) {
                continue;
            }
            let ground = Rect {
                x: x - text.len() as f32 * BIT_SIZE * MONO_ADVANCE / 2.0 - 2.0,
                y: middle - BIT_SIZE * 0.6,
                w: text.len() as f32 * BIT_SIZE * MONO_ADVANCE + 4.0,
                h: BIT_SIZE * 1.2,
            };
            let [from_s, to_s] =
                [ground.x, ground.right()].map(|x| span.time_at(x, area.x, area.w));
            if !scene.traces.long.within(from_s, to_s).is_empty() {
                list.fill(ground, Ink::Paper);
            }
            let (anchor, paint) = (Anchor::Middle, Paint::from(Ink::Faint));
            list.text_as([x, middle], text, BIT_SIZE, Font::Mono, anchor, paint);
        }
    }
}

/// What stands in the cell of bit `i`. Words need room: a letter for them would look like that of
/// the character below.
fn bit_label(scene: &Scene<'_>, c: &Character, i: usize, width: f32) -> String {
    let data = scene.bench.framer.data_bits as usize;
    let word = match i {
        0 => "start",
        i if i <= data => return (c.value >> (i - 1) & 1).to_string(),
        i if i == data + 1 && scene.bench.framer.parity != Parity::None => "parity",
        _ => "stop",
    };
    // As much for "stop" as for "start": both or neither.
    let letters = word.len().max("start".len());
    let room = letters as f32 * BIT_SIZE * MONO_ADVANCE + 4.0;
    if width >= room {
        word.into()
    } else {
        String::new()
    }
}

/// Draws the sampling instants on the long one-shot's trace.
fn draw_instants(list: &mut DisplayList, scene: &Scene<'_>, area: Rect, span: Span) {
    let levels = digital::levels(area);
    for c in &scene.traces.characters[showing(&scene.traces.characters, span)] {
        let bit = bit_width(c, area, span);
        if bit < 5.0 {
            return;
        }
        let radius = (bit / 5.0).clamp(1.5, 3.6);
        for time_s in c.instants.iter().filter(|t| span.contains(*t)) {
            let high = scene.traces.long.level_at(time_s);
            let at = [
                span.x_of(time_s, area.x, area.w),
                levels[usize::from(!high)],
            ];
            list.items.push(Item::Dot {
                at,
                radius,
                paint: Ink::Text.into(),
            });
            let (radius, paint) = (radius - 1.1, Ink::Card.into());
            if radius > 0.8 {
                list.items.push(Item::Dot { at, radius, paint });
            }
        }
    }
}

/// Whether each of so many characters can have a box of its own.
fn has_room(shown: &Range<usize>, width: f32) -> bool {
    width >= 3.0 * shown.len() as f32
}

/// Whether there are too many characters in a view for boxes.
pub(super) fn is_crowded(characters: &[Character], span: Span, width: f32) -> bool {
    !has_room(&showing(characters, span), width)
}

/// Draws the characters: boxes with value and glyph where there is room, bars where there is
/// not. A fault shows as a shape at any zoom.
pub(super) fn draw(
    list: &mut DisplayList,
    scene: &Scene<'_>,
    _: Lane,
    area: Rect,
    sheet: &LaneSheet,
) {
    let span = sheet.span;
    let characters = &scene.traces.characters;
    let shown = showing(characters, span);
    if let Some(ghost) = scene.ghost {
        let lower = Rect {
            y: area.y + 3.0,
            ..area
        };
        let shown = showing(&ghost.characters, span);
        if has_room(&shown, area.w) {
            for c in &ghost.characters[shown] {
                draw_ghost(list, c, lower, span);
            }
        }
    }
    for i in shown {
        let selected = scene.selected.is_some_and(|s| s.holds(i));
        draw_box(list, &characters[i], area, span, selected);
    }
    draw_chosen(list, scene, area, span);
}

/// The least width of the mark of what is selected.
const MARK: f32 = 4.0;

/// Marks where the selected characters lie, which their boxes do not show where they are narrow or
/// not drawn: a bar as high as the lane with an arrow head at its foot.
fn draw_chosen(list: &mut DisplayList, scene: &Scene<'_>, area: Rect, span: Span) {
    let all = &scene.traces.characters;
    let Some(chosen) = scene.selected else { return };
    let ends = all.get(chosen.first..chosen.first + chosen.count);
    let Some([first, .., last] | [first @ last]) = ends else {
        return;
    };
    if last.line_end_s() < span.from_s || first.line_start_s > span.to_s {
        return;
    }
    let x = |at_s: f64| span.x_of(at_s, area.x, area.w).clamp(area.x, area.right());
    let (from, to) = (x(first.line_start_s), x(last.line_end_s()));
    if to - from >= chosen.count as f32 * 2.0 * MARK {
        return;
    }
    let middle = ((from + to) / 2.0).clamp(area.x + MARK, (area.right() - MARK).max(area.x + MARK));
    let half = ((to - from) / 2.0).max(MARK / 2.0);
    let bar = Rect {
        x: middle - half,
        y: area.y + 1.0,
        w: 2.0 * half,
        h: (area.h - 2.0).max(0.0),
    };
    list.fill(bar, Paint::thin(Ink::Selection, 0.8));
    let (foot, wide) = (area.bottom(), 1.5 * MARK);
    list.items.push(Item::Polygon {
        points: vec![
            [middle, foot - 2.0 * MARK],
            [middle + wide, foot],
            [middle - wide, foot],
        ],
        paint: Ink::Selection.into(),
    });
}

/// Where the box of a character lies.
fn box_of(c: &Character, area: Rect, span: Span) -> Option<Rect> {
    let left = span.x_of(c.line_start_s, area.x, area.w).max(area.x);
    let right = span.x_of(c.line_end_s(), area.x, area.w).min(area.right());
    (right - left >= 0.5).then_some(Rect {
        x: left,
        y: area.y + 6.0,
        w: right - left - 0.5,
        h: (area.h - 12.0).max(1.0),
    })
}

/// Draws a character to compare with, faintly.
fn draw_ghost(list: &mut DisplayList, c: &Character, area: Rect, span: Span) {
    if let Some(rect) = box_of(c, area, span) {
        let (radius, paint) = (4.0, Paint::thin(Ink::Faint, 0.6));
        list.items.push(Item::Outline {
            rect,
            paint,
            width: 1.0,
            radius,
        });
    }
}

fn draw_box(list: &mut DisplayList, c: &Character, area: Rect, span: Span, selected: bool) {
    let Some(rect) = box_of(c, area, span) else {
        return;
    };
    let ink = if c.faults.any() {
        Ink::Fault
    } else {
        Ink::Character
    };
    let radius = if rect.w > 12.0 { 4.0 } else { 0.0 };
    if selected {
        draw_halo(list, rect, radius);
    }
    let ground = if selected { Ink::Selected } else { Ink::Card };
    list.items.push(Item::Fill {
        rect,
        paint: ground.into(),
        radius,
    });
    let width = if selected { 2.0 } else { 1.2 };
    list.items.push(Item::Outline {
        rect,
        paint: ink.into(),
        width,
        radius,
    });
    let middle = [rect.x + rect.w / 2.0, rect.y + rect.h / 2.0];
    let (hex, name) = (format!("{:02X}", c.value), glyph(c.value));
    let room = |text: &str, size: f32| rect.w >= text.len() as f32 * size * MONO_ADVANCE + 4.0;
    let both = format!("{hex} {name}");
    let anchor = Anchor::Middle;
    if !name.is_empty() && room(&both, 13.0) && rect.h < 44.0 {
        list.text_as(middle, both, 13.0, Font::Mono, anchor, ink);
    } else if room(&hex, 12.0) {
        let tall = rect.h >= 36.0 && !name.is_empty();
        let up = if tall { rect.h * 0.19 } else { 0.0 };
        list.text_as(
            [middle[0], middle[1] - up],
            hex,
            12.0,
            Font::Mono,
            anchor,
            ink,
        );
        if tall && room(&name, 13.0) {
            let at = [middle[0], middle[1] + up];
            list.text_as(at, name, 13.0, Font::Mono, anchor, Ink::Text);
        }
    } else if name.len() == 1 && room(&name, 11.0) {
        list.text_as(middle, name, 11.0, Font::Mono, anchor, ink);
    }
    if c.faults.any() {
        draw_fault(list, c.faults, [middle[0], rect.y]);
    }
}

/// Draws a line around the box of the selected character.
fn draw_halo(list: &mut DisplayList, of: Rect, radius: f32) {
    list.items.push(Item::Outline {
        rect: Rect {
            x: of.x - HALO,
            y: of.y - HALO,
            w: of.w + 2.0 * HALO,
            h: of.h + 2.0 * HALO,
        },
        paint: Ink::Selection.into(),
        width: 2.0,
        radius: radius + HALO,
    });
}

/// Draws the shape of a fault: a square for a break, a diamond for a framing error, a triangle
/// for a parity error.
fn draw_fault(list: &mut DisplayList, faults: Faults, at: [f32; 2]) {
    let [x, y] = at;
    let points = if faults.break_ {
        vec![
            [x - 4.0, y - 4.0],
            [x + 4.0, y - 4.0],
            [x + 4.0, y + 4.0],
            [x - 4.0, y + 4.0],
        ]
    } else if faults.framing {
        vec![[x, y - 5.5], [x + 5.5, y], [x, y + 5.5], [x - 5.5, y]]
    } else {
        vec![[x, y - 5.0], [x + 5.0, y + 4.0], [x - 5.0, y + 4.0]]
    };
    list.items.push(Item::Polygon {
        points,
        paint: Ink::Fault.into(),
    });
}

/// Marks faults and what is selected among characters too many for boxes.
pub(super) fn draw_marks(list: &mut DisplayList, scene: &Scene<'_>, area: Rect, span: Span) {
    let all = &scene.traces.characters;
    let shown = showing(all, span);
    let top = area.y + (area.h * 0.4).min(10.0);
    let faulty = &scene.traces.faulty;
    let mut next = faulty.partition_point(|&i| i < shown.start);
    // From one shape to the first fault that is far enough for the next one.
    while let Some(&i) = faulty.get(next).filter(|i| **i < shown.end) {
        let x = span.x_of(all[i].line_start_s, area.x, area.w);
        draw_fault(list, all[i].faults, [x.max(area.x), top]);
        let free_s = span.time_at(x + 7.0, area.x, area.w);
        next += faulty[next..]
            .partition_point(|&i| all[i].line_start_s < free_s)
            .max(1);
    }
    draw_chosen(list, scene, area, span);
}

#[cfg(test)]
mod tests {
    use super::super::{Chosen, LaneChoice, Peaks, lanes};
    use super::*;
    use crate::settings::Bench;
    use crate::signal::Chain;
    use crate::tape;

    /// All texts of a picture of the first character, an M with a parity bit, `width` wide.
    fn texts(width: f32) -> Vec<String> {
        let items = items(width, Bench::default().long.width_s).into_iter();
        items
            .filter_map(|item| match item {
                Item::Text { text, .. } => Some(text),
                _ => None,
            })
            .collect()
    }

    /// A picture of that character behind a long one-shot of this width.
    fn items(width: f32, long_s: f64) -> Vec<Item> {
        let mut bench = Bench::default();
        bench.long.width_s = long_s;
        bench.tape.parity = Parity::Even;
        bench.framer.parity = Parity::Even;
        let recording = tape::record(b"M", &bench.tape);
        let traces = Chain::read(&bench, &recording);
        let c = traces.characters[0];
        let scene = Scene {
            recording: &recording,
            peaks: &Peaks::default(),
            traces: &traces,
            bench: &bench,
            shaped: None,
            summary: None,
            ghost: None,
            selected: None,
            marks: [None; 2],
        };
        let span = Span::new(c.line_start_s, c.length_s());
        let sheet = LaneChoice::default().sheet(span, [width, 600.0], 1.0);
        lanes(&scene, &sheet).items
    }

    /// From a character that fills the lane to one of a recording of a thousand seconds.
    #[test]
    fn the_selected_character_is_marked_at_every_zoom() {
        let bench = Bench::default();
        let recording = tape::record(&[0x4D; 200], &bench.tape);
        let traces = Chain::read(&bench, &recording);
        let at = 100;
        let mut scene = Scene {
            recording: &recording,
            peaks: &Peaks::default(),
            traces: &traces,
            bench: &bench,
            shaped: None,
            summary: None,
            ghost: None,
            selected: Some(Chosen {
                first: at,
                count: 1,
            }),
            marks: [None; 2],
        };
        let marked = |scene: &Scene<'_>, length_s: f64, from: usize| {
            let span = Span::new(traces.characters[from].line_start_s, length_s);
            let sheet = LaneChoice::default().sheet(span, [900.0, 600.0], 1.0);
            let widths = lanes(scene, &sheet)
                .items
                .into_iter()
                .filter_map(|item| match item {
                    Item::Fill { rect, paint, .. } | Item::Outline { rect, paint, .. }
                        if paint.ink == Ink::Selection =>
                    {
                        Some(rect.w)
                    }
                    _ => None,
                });
            widths.fold(0.0, f32::max)
        };
        for length_s in [0.01, 0.1, 0.5, 1.0, 3.0, 10.0, 100.0, 1e3, 1e4] {
            let width = marked(&scene, length_s, at);
            assert!(width >= MARK - 0.01, "{length_s} s: {width}");
        }
        assert_eq!(marked(&scene, 1.0, at + 2), 0.0);
        scene.selected = None;
        assert_eq!(marked(&scene, 100.0, at), 0.0);
    }

    /// A space that ends in the middle of the next bit leaves an edge where a value stands.
    #[test]
    fn a_value_on_an_edge_has_a_ground_of_its_own() {
        let grounds = |long_s: f64| {
            let all = items(900.0, long_s);
            let pairs = all.windows(2).filter(|pair| {
                matches!(&pair[0], Item::Fill { paint, .. } if paint.ink == Ink::Paper)
                    && matches!(&pair[1], Item::Text { text, .. } if text == "0" || text == "1")
            });
            pairs.count()
        };
        let bit_s = 1.0 / Bench::default().framer.rate_bd;
        assert_eq!(grounds(Bench::default().long.width_s), 0);
        let late_s = 1.0 / Bench::default().tape.space_hz + 0.49 * bit_s;
        assert!(grounds(late_s) > 0);
    }

    #[test]
    fn bits_have_words_where_there_is_room_and_never_a_letter() {
        let wide = texts(900.0);
        for word in ["start", "parity", "stop", "0", "1"] {
            assert!(wide.iter().any(|t| t == word), "{word}");
        }
        let narrow = texts(400.0);
        assert!(narrow.iter().any(|t| t == "1"));
        for word in ["start", "parity", "stop", "S", "P"] {
            assert!(!narrow.iter().any(|t| t == word), "{word}");
        }
    }
}
