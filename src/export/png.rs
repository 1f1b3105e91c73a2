//! A display list as PNG.

use super::svg;
use crate::picture::{DisplayList, FACES, Theme};
use resvg::{tiny_skia, usvg};
use std::sync::{Arc, LazyLock};

static FONTS: LazyLock<Arc<usvg::fontdb::Database>> = LazyLock::new(|| {
    let mut fonts = usvg::fontdb::Database::new();
    for face in FACES {
        fonts.load_font_data(face.to_vec());
    }
    fonts.set_sans_serif_family("B612");
    fonts.set_monospace_family("B612 Mono");
    Arc::new(fonts)
});

/// Greatest side of a picture in pixels.
const SIDE_LIMIT: f32 = 20_000.0;

/// A picture in memory.
pub struct Pixels {
    /// Width in pixels.
    pub width: u32,
    /// Height in pixels.
    pub height: u32,
    /// Red, green, blue and opacity of each pixel, row by row, the colours multiplied by the
    /// opacity.
    pub rgba: Vec<u8>,
}

/// Draws the list in memory with `scale` pixels a point.
///
/// # Errors
/// As for [`png`].
pub fn pixels(list: &DisplayList, theme: Theme, scale: f32) -> Result<Pixels, String> {
    let drawn = draw(list, theme, scale)?;
    Ok(Pixels {
        width: drawn.width(),
        height: drawn.height(),
        rgba: drawn.take(),
    })
}

/// Draws the list as a PNG file with `scale` pixels a point.
///
/// # Errors
/// A sentence, where a side would be over 20,000 pixels or there is no memory for the picture.
pub fn png(list: &DisplayList, theme: Theme, scale: f32) -> Result<Vec<u8>, String> {
    draw(list, theme, scale)?
        .encode_png()
        .map_err(|e| format!("The picture could not be written: {e}."))
}

fn draw(list: &DisplayList, theme: Theme, scale: f32) -> Result<tiny_skia::Pixmap, String> {
    let (w, h) = ((list.width * scale).round(), (list.height * scale).round());
    if !(1.0..=SIDE_LIMIT).contains(&w) || !(1.0..=SIDE_LIMIT).contains(&h) {
        return Err(format!(
            "A picture of {w} by {h} pixels cannot be drawn; each side takes 1 to {SIDE_LIMIT}."
        ));
    }
    let options = usvg::Options {
        fontdb: Arc::clone(&FONTS),
        ..Default::default()
    };
    let tree = usvg::Tree::from_str(&svg(list, theme), &options)
        .map_err(|e| format!("The picture could not be drawn: {e}."))?;
    let mut pixels = tiny_skia::Pixmap::new(w as u32, h as u32)
        .ok_or_else(|| format!("There is no memory for a picture of {w} by {h} pixels."))?;
    let transform = tiny_skia::Transform::from_scale(scale, scale);
    resvg::render(&tree, transform, &mut pixels.as_mut());
    Ok(pixels)
}
