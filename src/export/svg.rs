//! A display list as SVG.

use crate::picture::{Anchor, DisplayList, Font, Item, Paint, Point, Rect, Theme};
use std::fmt::{self, Write};

/// Draws the list as an SVG document.
pub fn svg(list: &DisplayList, theme: Theme) -> String {
    let mut out = String::new();
    write_document(&mut out, list, theme).expect("writing to a String does not fail");
    out
}

fn write_document(out: &mut String, list: &DisplayList, theme: Theme) -> fmt::Result {
    let (w, h) = (list.width, list.height);
    writeln!(
        out,
        r#"<svg xmlns="http://www.w3.org/2000/svg" width="{w}" height="{h}" viewBox="0 0 {w} {h}">"#
    )?;
    for item in &list.items {
        write_item(out, item, theme)?;
    }
    out.write_str("</svg>\n")
}

fn write_item(out: &mut String, item: &Item, theme: Theme) -> fmt::Result {
    match item {
        Item::Fill {
            rect,
            paint,
            radius,
        } => {
            write_rect(out, *rect, *radius)?;
            writeln!(
                out,
                r#" fill="{}"{}/>"#,
                colour(theme, *paint),
                faded("fill", *paint)
            )
        }
        Item::Outline {
            rect,
            paint,
            width,
            radius,
        } => {
            write_rect(out, *rect, *radius)?;
            writeln!(out, r#" fill="none"{}/>"#, stroke(theme, *paint, *width))
        }
        Item::Line {
            ends: [a, b],
            paint,
            width,
            dash,
        } => {
            let dashes = dash.map_or(String::new(), |[on, off]| {
                format!(r#" stroke-dasharray="{on} {off}""#)
            });
            writeln!(
                out,
                r#"<path d="M{} {}L{} {}" fill="none"{}{dashes}/>"#,
                n(a[0]),
                n(a[1]),
                n(b[0]),
                n(b[1]),
                stroke(theme, *paint, *width)
            )
        }
        Item::Path {
            points,
            paint,
            width,
        } => {
            out.write_str("<path d=\"")?;
            write_points(out, points)?;
            let stroke = stroke(theme, *paint, *width);
            writeln!(out, r#"" fill="none" stroke-linejoin="round"{stroke}/>"#)
        }
        Item::Polygon { points, paint } => {
            out.write_str("<path d=\"")?;
            write_points(out, points)?;
            writeln!(
                out,
                r#"Z" fill="{}"{}/>"#,
                colour(theme, *paint),
                faded("fill", *paint)
            )
        }
        Item::Dot { at, radius, paint } => writeln!(
            out,
            r#"<circle cx="{}" cy="{}" r="{}" fill="{}"{}/>"#,
            n(at[0]),
            n(at[1]),
            n(*radius),
            colour(theme, *paint),
            faded("fill", *paint)
        ),
        Item::Columns {
            x,
            step,
            extents,
            paint,
        } => {
            out.write_str("<path d=\"")?;
            for (i, [top, bottom]) in extents.iter().enumerate().filter(|(_, e)| e[0] < e[1]) {
                let left = x + i as f32 * step;
                write!(
                    out,
                    "M{} {}h{}V{}h-{}z",
                    n(left),
                    n(*top),
                    n(*step),
                    n(*bottom),
                    n(*step)
                )?;
            }
            writeln!(
                out,
                r#"" fill="{}"{}/>"#,
                colour(theme, *paint),
                faded("fill", *paint)
            )
        }
        Item::Steps {
            ends,
            changes,
            starts_high,
            levels,
            paint,
            width,
        } => {
            let mut high = *starts_high;
            let level = |high: bool| n(levels[usize::from(!high)]);
            write!(out, "<path d=\"M{} {}", n(ends[0]), level(high))?;
            for x in changes {
                high = !high;
                write!(out, "H{}V{}", n(*x), level(high))?;
            }
            write!(out, "H{}", n(ends[1]))?;
            writeln!(out, r#"" fill="none"{}/>"#, stroke(theme, *paint, *width))
        }
        Item::Text {
            at,
            text,
            size,
            font,
            anchor,
            paint,
        } => {
            let anchor = match anchor {
                Anchor::Start => "",
                Anchor::Middle => r#" text-anchor="middle""#,
                Anchor::End => r#" text-anchor="end""#,
            };
            let face = match font {
                Font::Plain => r#"font-family="B612, sans-serif""#,
                Font::Bold => r#"font-family="B612, sans-serif" font-weight="bold""#,
                Font::Mono => r#"font-family="DejaVu Sans Mono, monospace""#,
            };
            writeln!(
                out,
                r#"<text x="{}" y="{}" font-size="{size}" {face}{anchor} fill="{}"{} xml:space="preserve">{}</text>"#,
                n(at[0]),
                // From the middle of the line to the base of the letters.
                n(at[1] + size * 0.357),
                colour(theme, *paint),
                faded("fill", *paint),
                escaped(text)
            )
        }
    }
}

fn write_rect(out: &mut String, rect: Rect, radius: f32) -> fmt::Result {
    let Rect { x, y, w, h } = rect;
    write!(
        out,
        r#"<rect x="{}" y="{}" width="{}" height="{}""#,
        n(x),
        n(y),
        n(w),
        n(h)
    )?;
    if radius > 0.0 {
        write!(out, r#" rx="{}""#, n(radius))
    } else {
        Ok(())
    }
}

fn write_points(out: &mut String, points: &[Point]) -> fmt::Result {
    for (i, [x, y]) in points.iter().enumerate() {
        write!(out, "{}{} {}", if i == 0 { 'M' } else { 'L' }, n(*x), n(*y))?;
    }
    Ok(())
}

/// A length with at most two decimals, as finely as a printer sees.
fn n(value: f32) -> f32 {
    let rounded = (value * 100.0).round() / 100.0;
    if rounded == 0.0 { 0.0 } else { rounded }
}

fn colour(theme: Theme, paint: Paint) -> String {
    let [r, g, b] = theme.colour(paint.ink);
    format!("#{r:02x}{g:02x}{b:02x}")
}

fn faded(what: &str, paint: Paint) -> String {
    if paint.opacity >= 1.0 {
        String::new()
    } else {
        format!(r#" {what}-opacity="{}""#, n(paint.opacity))
    }
}

fn stroke(theme: Theme, paint: Paint, width: f32) -> String {
    format!(
        r#" stroke="{}"{} stroke-width="{}""#,
        colour(theme, paint),
        faded("stroke", paint),
        n(width)
    )
}

fn escaped(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    for c in text.chars() {
        match c {
            '&' => out.push_str("&amp;"),
            '<' => out.push_str("&lt;"),
            '>' => out.push_str("&gt;"),
            // XML has no other control characters.
            c if c.is_control() => out.push('\u{FFFD}'),
            c => out.push(c),
        }
    }
    out
}
