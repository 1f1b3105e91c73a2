//! The strip with the whole recording: drag the window on it.

use super::opening::Document;
use super::paint::paint;
use super::reading::Layout;
use crate::picture::{DisplayList, OverviewSpec, Rect, Span, Theme, overview, overview_window};
use crate::signal::Traces;
use egui::{Role, Sense, Ui, Vec2, WidgetInfo};
use std::sync::Arc;

/// Height of the strip.
const HEIGHT: f32 = 48.0;

/// The strip, drawn anew only where what it shows is another.
#[derive(Default)]
pub struct OverviewStrip {
    drawn: Option<(Arc<Traces>, [f32; 2], DisplayList)>,
}

impl OverviewStrip {
    /// Draws the strip; gives the stretch to be shown where the hand has moved it.
    pub fn show(
        &mut self,
        ui: &mut Ui,
        document: &Document,
        (traces, layout): (&Arc<Traces>, &Layout),
        span: Span,
        theme: Theme,
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
        let fits = |(of, at, _): &(Arc<Traces>, [f32; 2], DisplayList)| {
            Arc::ptr_eq(of, traces) && *at == key
        };
        if !self.drawn.as_ref().is_some_and(fits) {
            let spec = OverviewSpec {
                recording: &document.recording,
                peaks: &document.peaks,
                traces,
                margins: &layout.margins,
                blocks: &layout.blocks,
                leaders: &layout.leaders,
            };
            let list = overview(&spec, strip, key[1]);
            self.drawn = Some((Arc::clone(traces), key, list));
        }
        let painter = ui.painter_at(area.expand(2.0));
        if let Some((_, _, list)) = &self.drawn {
            paint(&painter, area.min, list, theme);
        }
        let duration_s = document.recording.duration_s();
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
