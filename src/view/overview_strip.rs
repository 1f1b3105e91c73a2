//! The strip with the whole recording: drag the window on it.

use super::paint::paint;
use crate::picture::{DisplayList, Rect, Span, Theme, overview_window};
use crate::signal::Traces;
use egui::{Role, Sense, Ui, Vec2, WidgetInfo};
use std::sync::Arc;

/// Height of the strip.
const HEIGHT: f32 = 48.0;

/// What is drawn: where this is the same, so is the picture.
pub enum Stamp {
    /// A recording, by what was read of it.
    Read(Arc<Traces>),
    #[cfg_attr(not(feature = "live"), allow(dead_code))]
    /// A capture, by how many characters and how many quarters of a second have come.
    Captured(usize, u64),
}

impl PartialEq for Stamp {
    fn eq(&self, other: &Self) -> bool {
        match (self, other) {
            (Stamp::Read(a), Stamp::Read(b)) => Arc::ptr_eq(a, b),
            (Stamp::Captured(..), Stamp::Captured(..)) => self.counts() == other.counts(),
            _ => false,
        }
    }
}

impl Stamp {
    fn counts(&self) -> Option<(usize, u64)> {
        match self {
            Stamp::Captured(characters, quarters) => Some((*characters, *quarters)),
            Stamp::Read(_) => None,
        }
    }
}

/// The strip, drawn anew only where what it shows is another.
#[derive(Default)]
pub struct OverviewStrip {
    drawn: Option<(Stamp, [f32; 2], DisplayList)>,
}

impl OverviewStrip {
    /// Shows the strip with what `draw` puts on it, at a number of columns to a point; gives the
    /// stretch to be shown where the hand has moved it.
    pub fn show(
        &mut self,
        ui: &mut Ui,
        (stamp, duration_s): (Stamp, f64),
        span: Span,
        theme: Theme,
        draw: impl FnOnce(Rect, f32) -> DisplayList,
    ) -> Option<Span> {
        let size = Vec2::new(ui.available_width(), HEIGHT);
        let (area, response) = ui.allocate_exact_size(size, Sense::click_and_drag());
        let strip = Rect {
            x: 0.0,
            y: 0.0,
            w: area.width(),
            h: area.height(),
        };
        let key = [area.width(), ui.pixels_per_point()];
        let drawn = self.drawn.as_ref();
        if !drawn.is_some_and(|(of, at, _)| *of == stamp && *at == key) {
            self.drawn = Some((stamp, key, draw(strip, key[1])));
        }
        let painter = ui.painter_at(area.expand(2.0));
        if let Some((_, _, list)) = &self.drawn {
            paint(&painter, area.min, list, theme);
        }
        paint(
            &painter,
            area.min,
            &overview_window(duration_s, span, strip),
            theme,
        );
        response.widget_info(|| WidgetInfo::labeled(Role::Canvas, true, "Overview"));
        let response = response.on_hover_text(
            "The whole recording; the skyline is the least margin. Thin bars are leaders, thick bars blocks of characters, \
             upright strokes faults, notches at the top gaps in a capture. Drag to move the window.",
        );
        let held = (response.dragged() || response.clicked())
            .then(|| response.interact_pointer_pos())
            .flatten()?;
        let middle_s = Span::new(0.0, duration_s).time_at(held.x, area.left(), area.width());
        Some(span.moved(middle_s - span.middle_s()))
    }

    /// Forgets what is drawn: another recording is open.
    pub fn forget(&mut self) {
        self.drawn = None;
    }
}
