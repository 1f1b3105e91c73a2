//! A display list on the screen.

use super::style::{bold, colour};
use crate::picture::{Anchor, DisplayList, Font, Item, Paint, Point, Rect, Theme};
use egui::epaint::{CircleShape, Mesh, PathShape, RectShape};
use egui::{Align2, Color32, FontFamily, FontId, Painter, Pos2, Shape, Stroke, StrokeKind, Vec2};

/// Draws the list with its corner at `origin`.
pub fn paint(painter: &Painter, origin: Pos2, list: &DisplayList, theme: Theme) {
    let brush = Brush {
        painter,
        origin: origin.to_vec2(),
        theme,
    };
    for item in &list.items {
        brush.draw(item);
    }
}

struct Brush<'a> {
    painter: &'a Painter,
    origin: Vec2,
    theme: Theme,
}

impl Brush<'_> {
    fn at(&self, [x, y]: Point) -> Pos2 {
        Pos2::new(x, y) + self.origin
    }

    fn area(&self, rect: Rect) -> egui::Rect {
        egui::Rect::from_min_size(self.at([rect.x, rect.y]), Vec2::new(rect.w, rect.h))
    }

    fn colour(&self, paint: Paint) -> Color32 {
        colour(self.theme, paint.ink).gamma_multiply(paint.opacity)
    }

    /// A place moved to the nearest whole pixel, so that upright lines stay sharp.
    fn snap(&self, at: f32) -> f32 {
        let scale = self.painter.pixels_per_point();
        (at * scale).round() / scale
    }

    fn draw(&self, item: &Item) {
        match item {
            Item::Fill {
                rect,
                paint,
                radius,
            } => {
                let mut area = self.area(*rect);
                if *radius == 0.0 {
                    area.min.x = self.snap(area.min.x);
                    area.max.x = self.snap(area.max.x);
                }
                self.painter
                    .add(RectShape::filled(area, *radius, self.colour(*paint)));
            }
            Item::Outline {
                rect,
                paint,
                width,
                radius,
            } => {
                let stroke = Stroke::new(*width, self.colour(*paint));
                let kind = StrokeKind::Middle;
                self.painter
                    .add(RectShape::stroke(self.area(*rect), *radius, stroke, kind));
            }
            Item::Line {
                ends,
                paint,
                width,
                dash,
            } => {
                let stroke = Stroke::new(*width, self.colour(*paint));
                let mut ends = ends.map(|p| self.at(p));
                if ends[0].x == ends[1].x {
                    let half = 0.5 / self.painter.pixels_per_point();
                    let x = self.snap(ends[0].x - half) + half;
                    ends = ends.map(|p| Pos2::new(x, p.y));
                }
                match dash {
                    Some([on, off]) => {
                        self.painter
                            .extend(Shape::dashed_line(&ends, stroke, *on, *off));
                    }
                    None => {
                        self.painter.line_segment(ends, stroke);
                    }
                }
            }
            Item::Path {
                points,
                paint,
                width,
            } => {
                let points = points.iter().map(|p| self.at(*p)).collect();
                let stroke = Stroke::new(*width, self.colour(*paint));
                self.painter.add(PathShape::line(points, stroke));
            }
            Item::Polygon { points, paint } => {
                let points = points.iter().map(|p| self.at(*p)).collect();
                let fill = self.colour(*paint);
                self.painter
                    .add(PathShape::convex_polygon(points, fill, Stroke::NONE));
            }
            Item::Dot { at, radius, paint } => {
                let (at, fill) = (self.at(*at), self.colour(*paint));
                self.painter.add(CircleShape::filled(at, *radius, fill));
            }
            Item::Columns {
                x,
                step,
                extents,
                paint,
            } => {
                self.columns(*x, *step, extents, self.colour(*paint));
            }
            Item::Steps {
                ends,
                changes,
                starts_high,
                levels,
                paint,
                width,
            } => {
                self.steps(
                    *ends,
                    changes,
                    *starts_high,
                    *levels,
                    *width,
                    self.colour(*paint),
                );
            }
            Item::Text {
                at,
                text,
                size,
                font,
                anchor,
                paint,
            } => {
                let family = match font {
                    Font::Plain => FontFamily::Proportional,
                    Font::Bold => bold(),
                    Font::Mono => FontFamily::Monospace,
                };
                let align = match anchor {
                    Anchor::Start => Align2::LEFT_CENTER,
                    Anchor::Middle => Align2::CENTER_CENTER,
                    Anchor::End => Align2::RIGHT_CENTER,
                };
                let font = FontId::new(*size, family);
                self.painter
                    .text(self.at(*at), align, text, font, self.colour(*paint));
            }
        }
    }

    /// One mesh for all columns: egui would feather every single rectangle.
    fn columns(&self, x: f32, step: f32, extents: &[[f32; 2]], colour: Color32) {
        let mut mesh = Mesh::default();
        mesh.reserve_vertices(extents.len() * 4);
        mesh.reserve_triangles(extents.len() * 2);
        let edge = |i: usize| self.snap(self.origin.x + x + i as f32 * step);
        let mut left = edge(0);
        for (i, [top, bottom]) in extents.iter().enumerate() {
            let right = edge(i + 1);
            if top < bottom {
                let min = Pos2::new(left, self.origin.y + top);
                let max = Pos2::new(right, self.origin.y + bottom);
                mesh.add_colored_rect(egui::Rect::from_min_max(min, max), colour);
            }
            left = right;
        }
        self.painter.add(Shape::mesh(mesh));
    }

    fn steps(
        &self,
        ends: [f32; 2],
        changes: &[f32],
        starts_high: bool,
        levels: [f32; 2],
        width: f32,
        colour: Color32,
    ) {
        let mut mesh = Mesh::default();
        let half = width / 2.0;
        let [top, bottom] = levels.map(|y| self.origin.y + y);
        let mut bar = |x0: f32, x1: f32, y0: f32, y1: f32| {
            let area = egui::Rect::from_min_max(Pos2::new(x0, y0), Pos2::new(x1, y1));
            mesh.add_colored_rect(area, colour);
        };
        let (mut high, mut left) = (starts_high, self.origin.x + ends[0]);
        for x in changes.iter().chain(&ends[1..]) {
            let x = self.origin.x + x;
            let y = if high { top } else { bottom };
            bar(left - half, x + half, y - half, y + half);
            left = x;
            high = !high;
        }
        for x in changes {
            let x = self.snap(self.origin.x + x - half);
            bar(x, x + width, top - half, bottom + half);
        }
        self.painter.add(Shape::mesh(mesh));
    }
}
