//! The strip with the whole recording: drag the window on it.

use super::paint::paint;
use super::session::Document;
use crate::picture::{self, Span, Theme};
use crate::signal::Traces;
use egui::{Role, Sense, Ui, Vec2, WidgetInfo};

/// Height of the strip.
const HEIGHT: f32 = 46.0;

/// Draws the strip; gives the stretch to be shown where the hand has moved it.
pub fn overview_strip(
    ui: &mut Ui,
    document: &Document,
    traces: &Traces,
    span: Span,
    theme: Theme,
) -> Option<Span> {
    let size = Vec2::new(ui.available_width(), HEIGHT);
    let (area, response) = ui.allocate_exact_size(size, Sense::click_and_drag());
    let strip = picture::Rect {
        x: 0.0,
        y: 0.0,
        w: area.width(),
        h: area.height(),
    };
    let density = ui.pixels_per_point();
    let list = picture::overview(
        &document.recording,
        &document.peaks,
        traces,
        span,
        strip,
        density,
    );
    paint(&ui.painter_at(area.expand(2.0)), area.min, &list, theme);
    response.widget_info(|| WidgetInfo::labeled(Role::Canvas, true, "Overview"));
    let held = (response.dragged() || response.clicked())
        .then(|| response.interact_pointer_pos())
        .flatten()?;
    let end_s = document.recording.duration_s();
    let middle_s = Span::new(0.0, end_s).time_at(held.x, area.left(), area.width());
    Some(span.moved(middle_s - span.middle_s()))
}
