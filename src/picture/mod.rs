//! Traces and a stretch of time to a display list: what the window, SVG and PNG show alike.
//!
//! Lengths are points. A lane reduces what it draws to columns of the picture, each from the
//! least to the greatest value in it, so that no peak is lost at any zoom.

mod analog;
mod axis;
mod characters;
mod digital;
mod faces;
mod far;
mod gaps;
mod glyph;
mod lane;
mod lane_choice;
mod lane_head;
mod lanes;
mod list;
mod overview;
mod page;
mod peaks;
mod span;
mod summary;
mod theme;

pub use axis::{Ticks, time_label};
pub use faces::FACES;
pub use glyph::glyph;
pub use lane::Lane;
pub use lane_choice::LaneChoice;
pub use lanes::{Chosen, LaneSheet, Marks, Scene, lanes};
pub use list::{Anchor, DisplayList, Font, Item, MONO_ADVANCE, Paint, Point, Rect};
pub use overview::{OverviewSpec, overview, overview_window};
pub use page::{PageSpec, page, shortened};
pub use peaks::{PeakSum, Peaks};
pub use span::Span;
pub use summary::{Spread, Summary, margin_skyline, needs_summary};
pub use theme::{Ink, Rgb, Theme};
