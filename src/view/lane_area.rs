//! The lanes on the screen: what the hand does on them.

use super::paint::paint;
use super::style::colour;
use crate::picture::{Ink, Lane, LaneChoice, LaneSheet, Scene, Span, Theme, lanes};
use egui::{
    CursorIcon, EventFilter, Id, Pos2, Rect, Response, Role, Sense, Stroke, Ui, WidgetInfo,
};

/// What the hand did on the lanes.
#[derive(Clone, Copy, Debug, Default)]
pub struct LaneHand {
    /// The stretch that is to be shown from now on.
    pub span: Option<Span>,
    /// The instant that was clicked.
    pub clicked_s: Option<f64>,
    /// The mark that was set, 0 for A and 1 for B.
    pub mark: Option<usize>,
    /// What lies under the pointer.
    pub hover: Option<Hover>,
}

/// What lies under the pointer.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Hover {
    /// The instant.
    pub at_s: f64,
    /// The lane.
    pub lane: Lane,
    /// How many seconds a few points are: the reach of the nearest edge.
    pub reach_s: f64,
}

/// Points within which an edge is taken for the pointer's place.
const REACH: f32 = 10.0;
/// Points about a lane's lower edge that move it.
const GRIP: f32 = 4.0;

/// The lanes' own name among the controls.
pub fn id() -> Id {
    Id::unique("lanes")
}

/// Draws the lanes in what room is left and says what the hand did.
pub fn lane_area(
    ui: &mut Ui,
    scene: &Scene<'_>,
    span: Span,
    choice: &mut LaneChoice,
    theme: Theme,
) -> LaneHand {
    let (_, area) = ui.allocate_space(ui.available_size());
    let response = ui.interact(area, id(), Sense::click_and_drag());
    // With the focus on the lanes, the arrows move along the recording and leave the focus.
    let arrows = EventFilter {
        horizontal_arrows: true,
        vertical_arrows: true,
        ..Default::default()
    };
    ui.memory_mut(|m| m.set_focus_lock_filter(id(), arrows));
    let sheet = choice.sheet(span, area.size().into(), ui.pixels_per_point());
    paint(&ui.painter_at(area), area.min, &lanes(scene, &sheet), theme);
    response.widget_info(|| WidgetInfo::labeled(Role::Canvas, true, "Lanes"));
    let traces = sheet.traces_area();
    let traces = Rect::from_min_size(
        area.min + egui::vec2(traces.x, traces.y),
        egui::vec2(traces.w, traces.h + LaneSheet::AXIS),
    );
    if resize(ui, &response, area, &sheet, choice) {
        return LaneHand::default();
    }
    let lane_at = |at: Pos2| {
        let y = at.y - area.top();
        let lane = sheet.areas().find(|(_, a)| (a.y..a.bottom()).contains(&y));
        lane.map_or(Lane::Characters, |l| l.0)
    };
    hand(ui, &response, traces, span, lane_at, theme)
}

/// Moves the lower edge of a lane where the hand drags it.
fn resize(
    ui: &Ui,
    response: &Response,
    area: Rect,
    sheet: &LaneSheet,
    choice: &mut LaneChoice,
) -> bool {
    let held = response.id.with("edge");
    let edges: Vec<(Lane, f32)> = sheet
        .areas()
        .map(|(lane, a)| (lane, area.top() + a.bottom()))
        .collect();
    let near = |at: Pos2| {
        let inner = &edges[..edges.len().saturating_sub(1)];
        inner
            .iter()
            .find(|(_, y)| (at.y - y).abs() <= GRIP)
            .map(|e| e.0)
    };
    if response.drag_started()
        && let Some(origin) = ui.input(|i| i.pointer.press_origin())
    {
        let lane = near(origin);
        ui.data_mut(|d| d.insert_temp(held, lane));
    }
    let lane: Option<Lane> = ui.data(|d| d.get_temp(held)).flatten();
    if !response.dragged() {
        if response.hover_pos().and_then(near).is_some() {
            ui.set_cursor_icon(CursorIcon::ResizeVertical);
        }
        return false;
    }
    let Some(lane) = lane else { return false };
    ui.set_cursor_icon(CursorIcon::ResizeVertical);
    let shown: f32 = choice.shown().map(|l| l.1).sum();
    let room = (area.height() - LaneSheet::AXIS).max(1.0);
    choice.move_edge(lane, response.drag_delta().y / room * shown);
    true
}

fn hand(
    ui: &Ui,
    response: &Response,
    traces: Rect,
    span: Span,
    lane_at: impl Fn(Pos2) -> Lane,
    theme: Theme,
) -> LaneHand {
    let time_at = |at: Pos2| span.time_at(at.x, traces.left(), traces.width());
    let pointer = response.hover_pos().filter(|p| traces.contains(*p));
    let mut hand = LaneHand {
        hover: pointer.map(|at| Hover {
            at_s: time_at(at),
            lane: lane_at(at),
            reach_s: f64::from(REACH / traces.width()) * span.length_s(),
        }),
        ..Default::default()
    };
    if response.clicked() {
        let held = ui.input(|i| i.modifiers);
        match (held.shift, held.command) {
            (true, _) => hand.mark = Some(0),
            (_, true) => hand.mark = Some(1),
            _ => hand.clicked_s = response.interact_pointer_pos().map(time_at),
        }
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
        let stroke = Stroke::new(1.0, colour(theme, Ink::Faint).gamma_multiply(0.6));
        ui.painter().vline(pointer.x, traces.y_range(), stroke);
    }
    if moved != span {
        hand.span = Some(moved);
    }
    hand
}
