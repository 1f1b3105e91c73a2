//! A display list as SVG.

use crate::picture::{DisplayList, Theme};

/// Draws the list as an SVG document.
pub fn svg(_list: &DisplayList, _theme: Theme) -> String {
    String::new()
}
