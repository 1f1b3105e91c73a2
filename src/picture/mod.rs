//! Traces and a time window to a display list: what window, SVG and PNG show alike.

use crate::settings::Bench;
use crate::signal::{Recording, Traces};

/// Light paper or a dark page.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Theme {
    /// Light paper.
    Light,
    /// Dark page.
    Dark,
}

/// A stretch of time on the recording, in seconds.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Span {
    /// Where it begins.
    pub from_s: f64,
    /// Where it ends.
    pub to_s: f64,
}

/// What a page of the notebook shows.
#[derive(Clone, Copy, Debug)]
pub struct PageSpec<'a> {
    /// The name of the recording.
    pub name: &'a str,
    /// The recording.
    pub recording: &'a Recording,
    /// What the stages put out.
    pub traces: &'a Traces,
    /// The settings.
    pub bench: &'a Bench,
    /// The stretch of time.
    pub span: Span,
    /// Width in points.
    pub width: f32,
    /// Height in points.
    pub height: f32,
}

/// What is to be drawn.
#[derive(Clone, Debug, Default)]
pub struct DisplayList {}

/// The page: caption, lanes on one time axis, characters at the bottom.
pub fn page(_spec: &PageSpec<'_>) -> DisplayList {
    DisplayList::default()
}
