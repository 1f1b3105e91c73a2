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
    fonts.set_monospace_family("DejaVu Sans Mono");
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
        .map_err(|_| "There is no memory to write the picture in.".into())
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
        .map_err(|_| "The picture could not be drawn; choose another size.".to_owned())?;
    let mut pixels = tiny_skia::Pixmap::new(w as u32, h as u32)
        .ok_or_else(|| format!("There is no memory for a picture of {w} by {h} pixels."))?;
    let transform = tiny_skia::Transform::from_scale(scale, scale);
    resvg::render(&tree, transform, &mut pixels.as_mut());
    Ok(pixels)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::picture::{Anchor, Font, Ink};

    /// Size of the lettering in points; its scale in pixels a point.
    const SIZE: f32 = 13.0;
    const SCALE: usize = 16;

    /// A letter of the face of listings: its rows of pixels from the first with ink to the last,
    /// each with the places that hold ink.
    fn rows_of(letter: &str) -> Vec<Vec<usize>> {
        let mut list = DisplayList::new(16.0, 20.0);
        let (font, anchor) = (Font::Mono, Anchor::Middle);
        list.text_as([8.0, 10.0], letter, SIZE, font, anchor, Ink::Text);
        let drawn = pixels(&list, Theme::Light, SCALE as f32).unwrap();
        let inked = |row: &[u8]| {
            let opacities = row.chunks(4).map(|p| p[3]).enumerate();
            opacities
                .filter(|(_, o)| *o > 127)
                .map(|(x, _)| x)
                .collect()
        };
        let rows: Vec<Vec<usize>> = drawn.rgba.chunks(16 * SCALE * 4).map(inked).collect();
        let first = rows.iter().position(|r| !r.is_empty()).unwrap();
        let last = rows.iter().rposition(|r| !r.is_empty()).unwrap();
        rows[first..=last].to_vec()
    }

    /// How far the left side of a letter bends in between its middle and a tenth of its height
    /// from the top, in points.
    fn bend(letter: &str) -> f32 {
        let rows = rows_of(letter);
        let left = |part: usize| rows[rows.len() * part / 10][0] as f32 / SCALE as f32;
        (left(1) - left(5)).abs()
    }

    /// Whether there is ink in the very middle of a letter.
    fn is_marked_within(letter: &str) -> bool {
        let rows = rows_of(letter);
        let row = &rows[rows.len() / 2];
        let middle = (row[0] + row[row.len() - 1]) / 2;
        row.contains(&middle)
    }

    /// A bracket is straight and a parenthesis bends by a pixel of the screen at least; a nought
    /// has a mark within and the letter has none.
    #[test]
    fn letters_that_are_alike_can_be_told_apart_in_a_listing() {
        assert!(bend("[") < 0.1, "{}", bend("["));
        assert!(bend("(") >= 1.0, "{}", bend("("));
        assert!(is_marked_within("0") && !is_marked_within("O"));
    }
}
