//! The course of the whole capture, for the overview.

use super::super::captured::Captured;
use crate::live::{Capture, Outline};
use crate::picture::{DisplayList, OverviewSpec, Rect, margin_skyline, overview};
use crate::signal::Gap;
use crate::view::overview_strip::Stamp;

/// What the overview shows besides the characters: fetched again where more is to be seen.
#[derive(Default)]
pub(super) struct Course {
    of: Option<Stamp>,
    outline: Outline,
    gaps: Vec<Gap>,
}

impl Course {
    /// Takes what has come.
    pub fn follow(&mut self, capture: &Capture, captured: &Captured) {
        let stamp = Some(captured.stamp());
        if self.of != stamp {
            self.of = stamp;
            self.outline = capture.outline();
            self.gaps = capture.report().gaps;
        }
    }

    /// Draws it on a strip.
    pub fn overview(&self, captured: &Captured, strip: Rect, density: f32) -> DisplayList {
        let spec = OverviewSpec {
            duration_s: captured.traces.end_s,
            samples: self.outline.samples(),
            extent: &|range| self.outline.extent(range),
            gaps: &self.gaps,
            traces: &captured.traces,
            margins: &margin_skyline(&captured.traces),
            blocks: &captured.layout.blocks,
            leaders: &captured.layout.leaders,
        };
        overview(&spec, strip, density)
    }
}
