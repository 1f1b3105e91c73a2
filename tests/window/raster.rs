//! Draws what egui gives as triangles, on the processor: pictures of the window need neither a
//! graphics card nor a display.

use egui::epaint::{ClippedPrimitive, Primitive, TextureId, Vertex};
use egui::{Color32, ColorImage, Context, FullOutput, ImageData, Rect, TexturesDelta};
use egui_kittest::TestRenderer;
use image::{Rgba, RgbaImage};
use std::collections::HashMap;

/// Textures and a canvas.
#[derive(Default)]
pub struct Raster {
    textures: HashMap<TextureId, ColorImage>,
}

impl TestRenderer for Raster {
    fn handle_delta(&mut self, delta: &mut TexturesDelta) {
        for (id, patches) in delta.set.drain() {
            for patch in patches {
                let ImageData::Color(image) = patch.image;
                match patch.pos {
                    None => {
                        self.textures.insert(id, (*image).clone());
                    }
                    Some(corner) => copy(&image, self.textures.get_mut(&id).unwrap(), corner),
                }
            }
        }
        for id in delta.free.drain() {
            self.textures.remove(&id);
        }
    }

    fn render(&mut self, ctx: &Context, output: &FullOutput) -> Result<RgbaImage, String> {
        let scale = output.pixels_per_point;
        let size = ctx.content_rect().size() * scale;
        let mut canvas = RgbaImage::new(size.x.round() as u32, size.y.round() as u32);
        for ClippedPrimitive {
            clip_rect,
            primitive,
        } in ctx.tessellate(output.shapes.clone(), scale)
        {
            let Primitive::Mesh(mesh) = primitive else {
                return Err("a paint callback cannot be drawn without a graphics card".into());
            };
            let texture = self.textures.get(&mesh.texture_id);
            let texture = texture.ok_or("a mesh has no texture")?;
            let clip = clip_rect * scale;
            for corners in mesh.indices.as_chunks::<3>().0 {
                let corners = corners.map(|i| mesh.vertices[i as usize]);
                triangle(&mut canvas, clip, corners, scale, texture);
            }
        }
        Ok(canvas)
    }
}

fn copy(patch: &ColorImage, onto: &mut ColorImage, [x, y]: [usize; 2]) {
    for row in 0..patch.height() {
        let from = &patch.pixels[row * patch.width()..][..patch.width()];
        let at = (y + row) * onto.width() + x;
        onto.pixels[at..at + from.len()].copy_from_slice(from);
    }
}

/// Fills a triangle. Pixels whose middle lies on an edge that two triangles share belong to one
/// of them.
fn triangle(canvas: &mut RgbaImage, clip: Rect, v: [Vertex; 3], scale: f32, texture: &ColorImage) {
    let p = v.map(|v| [v.pos.x * scale, v.pos.y * scale]);
    let cross = |a: [f32; 2], b: [f32; 2], c: [f32; 2]| {
        (b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0])
    };
    let area = cross(p[0], p[1], p[2]);
    if area == 0.0 {
        return;
    }
    if area < 0.0 {
        return triangle(canvas, clip, [v[0], v[2], v[1]], scale, texture);
    }
    let ends = |axis: usize, low: f32, high: f32, limit: u32| {
        let values = p.map(|p| p[axis]);
        let least = values.into_iter().fold(f32::INFINITY, f32::min).max(low);
        let most = values.into_iter().fold(f32::NEG_INFINITY, f32::max);
        let most = most.min(high);
        (least - 0.5).ceil().max(0.0) as u32..((most + 0.5).floor().max(0.0) as u32).min(limit)
    };
    let (columns, rows) = (
        ends(0, clip.min.x.round(), clip.max.x.round(), canvas.width()),
        ends(1, clip.min.y.round(), clip.max.y.round(), canvas.height()),
    );
    // With y down and corners clockwise, these are the edges at the top and at the left.
    let owns = |a: [f32; 2], b: [f32; 2]| (a[1] == b[1] && b[0] > a[0]) || b[1] < a[1];
    let edges = [[1, 2], [2, 0], [0, 1]].map(|[a, b]| (p[a], p[b], owns(p[a], p[b])));
    let colours = v.map(|v| v.color.to_array());
    let shade = |parts: [f32; 3]| -> [f32; 4] {
        let mix = |value: [f32; 3]| (0..3).map(|i| value[i] * parts[i]).sum::<f32>() / area;
        let texel = sample(texture, [mix(v.map(|v| v.uv.x)), mix(v.map(|v| v.uv.y))]);
        std::array::from_fn(|i| mix(colours.map(|c| f32::from(c[i]))) / 255.0 * texel[i])
    };
    // Most triangles are of one colour.
    let first = (v[0].uv, v[0].color);
    let is_flat = v.iter().all(|v| (v.uv, v.color) == first);
    let flat = is_flat.then(|| shade([area, 0.0, 0.0]));
    for y in rows {
        for x in columns.clone() {
            let at = [x as f32 + 0.5, y as f32 + 0.5];
            let parts = edges.map(|(a, b, _)| cross(a, b, at));
            let inside =
                |(part, edge): (&f32, &(_, _, bool))| *part > 0.0 || (*part == 0.0 && edge.2);
            if !parts.iter().zip(&edges).all(inside) {
                continue;
            }
            let source = flat.unwrap_or_else(|| shade(parts));
            let Rgba(below) = canvas.get_pixel_mut(x, y);
            for i in 0..4 {
                let over = source[i] + f32::from(below[i]) * (1.0 - source[3] / 255.0);
                below[i] = over.round().clamp(0.0, 255.0) as u8;
            }
        }
    }
}

/// The texture between the four texels next to a place, each channel 0 to 255.
fn sample(texture: &ColorImage, uv: [f32; 2]) -> [f32; 4] {
    let size = texture.size;
    let place = |i: usize| (uv[i] * size[i] as f32 - 0.5).clamp(0.0, size[i] as f32 - 1.0);
    let (x, y) = (place(0), place(1));
    let texel = |x: f32, y: f32| {
        let (x, y) = ((x as usize).min(size[0] - 1), (y as usize).min(size[1] - 1));
        let colour: Color32 = texture.pixels[y * size[0] + x];
        colour.to_array().map(f32::from)
    };
    let corners = [
        texel(x, y),
        texel(x + 1.0, y),
        texel(x, y + 1.0),
        texel(x + 1.0, y + 1.0),
    ];
    let (right, down) = (x.fract(), y.fract());
    std::array::from_fn(|i| {
        let [a, b, c, d] = corners.map(|corner| corner[i]);
        (a * (1.0 - right) + b * right) * (1.0 - down) + (c * (1.0 - right) + d * right) * down
    })
}
