//! The lanes on the screen: what the hand does on them.

use super::paint::paint;
use crate::picture::{DisplayList, LaneSheet, Scene, Span, Theme, lanes};
use egui::{Key, Modifiers, Pos2, Rect, Response, Role, Sense, Ui, WidgetInfo};

/// What the hand did on the lanes.
#[derive(Clone, Copy, Debug, Default)]
pub struct LaneHand {
    /// The stretch that is to be shown from now on.
    pub span: Option<Span>,
    /// The instant that was clicked.
    pub clicked_s: Option<f64>,
    /// The instant under the pointer.
    pub hover_s: Option<f64>,
}

/// Draws the lanes in what room is left and says what the hand did.
pub fn lane_area(ui: &mut Ui, scene: &Scene<'_>, span: Span, theme: Theme) -> LaneHand {
    let size = ui.available_size();
    let (area, response) = ui.allocate_exact_size(size, Sense::click_and_drag());
    let density = ui.pixels_per_point();
    let sheet = LaneSheet::filling(span, area.width(), area.height(), density);
    let list: DisplayList = lanes(scene, &sheet);
    paint(&ui.painter_at(area), area.min, &list, theme);
    response.widget_info(|| WidgetInfo::labeled(Role::Canvas, true, "Lanes"));
    let traces = sheet.traces_area();
    let traces = Rect::from_min_size(
        area.min + egui::vec2(traces.x, traces.y),
        egui::vec2(traces.w, traces.h + LaneSheet::AXIS),
    );
    hand(ui, &response, traces, span, theme)
}

fn hand(ui: &Ui, response: &Response, traces: Rect, span: Span, theme: Theme) -> LaneHand {
    let time_at = |at: Pos2| span.time_at(at.x, traces.left(), traces.width());
    let mut hand = LaneHand::default();
    let pointer = response.hover_pos().filter(|p| traces.contains(*p));
    hand.hover_s = pointer.map(time_at);
    if response.clicked() {
        hand.clicked_s = response.interact_pointer_pos().map(time_at);
    }
    let mut moved = span;
    if response.dragged() {
        let part = f64::from(response.drag_delta().x / traces.width());
        moved = moved.moved(-part * span.length_s());
    }
    if let Some(pointer) = pointer {
        let (scroll, pinch) = ui.input(|i| (i.smooth_scroll_delta(), i.zoom_delta()));
        let zoom = (f64::from(-scroll.y) / 240.0).exp2() / f64::from(pinch);
        if zoom != 1.0 {
            moved = moved.zoomed(zoom, time_at(pointer));
        }
        if scroll.x != 0.0 {
            moved = moved.moved(f64::from(-scroll.x / traces.width()) * span.length_s());
        }
        let ink = super::style::colour(theme, crate::picture::Ink::Faint);
        let stroke = egui::Stroke::new(1.0, ink.gamma_multiply(0.6));
        ui.painter().vline(pointer.x, traces.y_range(), stroke);
    }
    if moved != span {
        hand.span = Some(moved);
    }
    hand
}

/// What the keys ask of the span, where no text is being typed.
pub fn keys(ui: &Ui, span: Span, end_s: f64) -> Option<Span> {
    if ui.egui_wants_keyboard_input() {
        return None;
    }
    let pressed = |key| ui.input_mut(|i| i.consume_key(Modifiers::NONE, key));
    let step_s = span.length_s() / 8.0;
    let middle_s = span.middle_s();
    if pressed(Key::ArrowLeft) {
        Some(span.moved(-step_s))
    } else if pressed(Key::ArrowRight) {
        Some(span.moved(step_s))
    } else if pressed(Key::Plus) || pressed(Key::Equals) {
        Some(span.zoomed(0.5, middle_s))
    } else if pressed(Key::Minus) {
        Some(span.zoomed(2.0, middle_s))
    } else if pressed(Key::Home) {
        Some(span.moved(-span.from_s))
    } else if pressed(Key::End) {
        Some(span.moved(end_s - span.to_s))
    } else if pressed(Key::Num0) {
        Some(Span::new(0.0, end_s))
    } else {
        None
    }
}
