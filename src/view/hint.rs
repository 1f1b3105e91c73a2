//! Hover help that does not lie over the controls beside what it explains.

use egui::{Label, Rect, RectAlign, Response, Tooltip};

/// Shows help below `area` while the pointer rests on the control, which lies in it.
pub fn hint_below(response: Response, area: Rect, text: &str) -> Response {
    let anchor = Rect::from_x_y_ranges(response.rect.x_range(), area.y_range());
    hint(response, anchor, RectAlign::BOTTOM_START, text)
}

/// Shows help at the right of the control while the pointer rests on it.
pub fn hint_beside(response: Response, text: &str) -> Response {
    let anchor = response.rect;
    hint(response, anchor, RectAlign::RIGHT_START, text)
}

fn hint(response: Response, anchor: Rect, align: RectAlign, text: &str) -> Response {
    let describe = text.to_string();
    response.ctx.accesskit_node_builder(response.id, |node| {
        node.set_description(describe);
    });
    if is_done_with(&response) {
        return response;
    }
    let mut tooltip = Tooltip::for_enabled(&response);
    tooltip.popup = tooltip.popup.anchor(anchor).align(align);
    tooltip.show(|ui| {
        ui.set_max_width(ui.spacing().tooltip_width);
        ui.add(Label::new(text));
    });
    response
}

/// Whether the control has been pressed or dragged since the pointer came to it: then its help is
/// not wanted any more.
fn is_done_with(response: &Response) -> bool {
    let id = response.id.with("done with");
    let before = response.ctx.data(|d| d.get_temp(id)).unwrap_or(false);
    let held = response.is_pointer_button_down_on() || response.dragged();
    let now = held || (before && response.contains_pointer());
    if now != before {
        response.ctx.data_mut(|d| d.insert_temp(id, now));
    }
    now
}
