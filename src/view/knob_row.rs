//! One knob of the table as a row: its name, and a control that suits what it takes.

use super::hint::hint_below;
use crate::settings::{Bench, Kind, Knob};
use egui::{
    ComboBox, Context, DragValue, Id, Rect, Response, RichText, Slider, SliderClamping, Ui,
};
use std::cell::RefCell;

/// How much less a slider moves while the shift key is held.
const FINE: f64 = 0.1;

/// Draws the row of a knob with `name_width` points for its name; what the hand does goes into
/// `bench`. A double click on the name sets the default. Gives the control's response, which is
/// marked as changed when it was.
pub fn knob_row(ui: &mut Ui, knob: &Knob, bench: &mut Bench, name_width: f32) -> Response {
    knob_row_in(ui, knob, bench, name_width, None)
}

/// Draws the row of a knob as [`knob_row`] does, with its help below `area` where one is given.
pub fn knob_row_in(
    ui: &mut Ui,
    knob: &Knob,
    bench: &mut Bench,
    name_width: f32,
    area: Option<Rect>,
) -> Response {
    ui.horizontal(|ui| {
        name(ui, knob, bench, name_width, area);
        let control = match knob.kind {
            Kind::Words(words) => choice(ui, knob, bench, words.len()),
            Kind::Count { max, .. } if max <= 8 => choice(ui, knob, bench, 0),
            _ => value(ui, knob, bench),
        };
        explained(control, knob, area)
    })
    .inner
}

fn explained(response: Response, knob: &Knob, area: Option<Rect>) -> Response {
    match area {
        Some(area) => hint_below(response, area, &help(knob)),
        None => response.on_hover_text(help(knob)),
    }
}

/// Draws a slider over the range of a knob. The scale is logarithmic where the range spans
/// decades. Its help appears below `area`.
pub fn knob_slider(
    ui: &mut Ui,
    knob: &Knob,
    bench: &mut Bench,
    range: [f64; 2],
    area: Rect,
) -> Response {
    let before = knob.get(bench);
    let mut number = before;
    let decades = range[0] > 0.0 && range[1] / range[0] > 20.0;
    ui.spacing_mut().slider_width = (ui.available_width() - 2.0).max(40.0);
    let slider = Slider::new(&mut number, range[0]..=range[1])
        .logarithmic(decades)
        .clamping(SliderClamping::Never)
        .smart_aim(false)
        .show_value(false);
    let response = ui.add(slider);
    let held = response.id.with("relative");
    let dragging = response.dragged() || response.drag_stopped();
    let shift = ui.input(|i| i.modifiers.shift);
    // A drag that was fine once goes on from there: it must not jump to the pointer when the shift
    // key, or the button, is let go.
    let relative = dragging && (shift || ui.data(|d| d.get_temp(held)).unwrap_or(false));
    ui.data_mut(|d| d.insert_temp(held, relative && !response.drag_stopped()));
    if relative {
        let way = f64::from(response.drag_delta().x / response.rect.width());
        let part = if shift { way * FINE } else { way };
        number = if decades {
            before * (range[1] / range[0]).powf(part)
        } else {
            before + (range[1] - range[0]) * part
        };
        knob.set_clamped(bench, number);
    } else if response.changed() {
        knob.set_clamped(bench, rounded(number));
    }
    named(
        &response,
        format!("{} slider", label(knob)),
        knob.show_in(bench),
    );
    hint_below(response, area, &help(knob))
}

/// To four significant digits: finer than a hand, and pleasant to read.
fn rounded(number: f64) -> f64 {
    format!("{number:.3e}").parse().unwrap_or(number)
}

fn name(ui: &mut Ui, knob: &Knob, bench: &mut Bench, width: f32, area: Option<Rect>) {
    let changed = knob.get(bench) != knob.default();
    let text = RichText::new(knob.name.replace('-', " ")).small();
    let text = if changed {
        text.strong().underline()
    } else {
        text
    };
    let name = egui::Label::new(text)
        .selectable(false)
        .sense(egui::Sense::click());
    let size = egui::vec2(width, ui.spacing().interact_size.y);
    let layout = egui::Layout::left_to_right(egui::Align::Center);
    let response = ui.allocate_ui_with_layout(size, layout, |ui| {
        ui.set_min_width(width);
        ui.add(name)
    });
    let response = explained(response.inner, knob, area);
    if response.double_clicked() {
        knob.set_clamped(bench, knob.default());
    }
}

/// A list of words, or of the few whole numbers that the knob takes.
fn choice(ui: &mut Ui, knob: &Knob, bench: &mut Bench, words: usize) -> Response {
    let numbers: Vec<f64> = match knob.kind {
        Kind::Count { min, max, .. } => (min..=max).map(f64::from).collect(),
        _ => (0..words).map(|i| i as f64).collect(),
    };
    let before = knob.get(bench);
    let mut number = before;
    let mut response = ComboBox::from_id_salt(knob.id())
        .width(ui.available_width())
        .selected_text(knob.show(number))
        .show_ui(ui, |ui| {
            for n in numbers {
                ui.selectable_value(&mut number, n, knob.show(n));
            }
        })
        .response;
    if number != before {
        knob.set_clamped(bench, number);
        response.mark_changed();
    }
    named(&response, label(knob), knob.show_in(bench));
    response
}

/// A value to type or to drag.
fn value(ui: &mut Ui, knob: &Knob, bench: &mut Bench) -> Response {
    let mut number = knob.get(bench);
    let speed = match knob.kind {
        Kind::Count { .. } => 0.05,
        _ => (number.abs() * 0.003).max(smallest_step(knob)),
    };
    let size = egui::vec2(ui.available_width(), ui.spacing().interact_size.y);
    let refused = RefCell::new(None);
    let drag = DragValue::new(&mut number)
        .speed(speed)
        .update_while_editing(false)
        .custom_formatter(|n, _| knob.show(n))
        .custom_parser(|text| {
            let read = knob.parse(text, bench);
            read.map_err(|why| *refused.borrow_mut() = Some(why.to_string()))
                .ok()
        });
    let response = ui.add_sized(size, drag);
    if let Some(why) = refused.take() {
        ui.data_mut(|d| d.insert_temp(refusal(), why));
    }
    if response.changed() {
        let rounded = if response.dragged() {
            rounded(number)
        } else {
            number
        };
        knob.set_clamped(bench, rounded);
    }
    named(&response, label(knob), knob.show_in(bench));
    response
}

/// Where the sentence of a knob that has refused what was typed waits for [`take_refusal`].
fn refusal() -> Id {
    Id::unique("refused by a knob")
}

/// Why a knob did not take what has been typed into it in this frame.
pub fn take_refusal(ctx: &Context) -> Option<String> {
    ctx.data_mut(|d| d.remove_temp(refusal()))
}

/// What a drag by one point changes at least, so that a knob at 0 can be moved.
fn smallest_step(knob: &Knob) -> f64 {
    match knob.kind {
        Kind::Number { min, max, .. } if min > 0.0 => min.max(max * 1e-7),
        Kind::Number { .. } => 1e-3,
        _ => 0.05,
    }
}

fn label(knob: &Knob) -> String {
    knob.id().replace('-', " ")
}

fn named(response: &Response, label: String, value: String) {
    response.ctx.accesskit_node_builder(response.id, |node| {
        node.set_label(label);
        node.set_value(value);
    });
}

fn help(knob: &Knob) -> String {
    let default = knob.show(knob.default());
    format!(
        "{}\nTakes {}; default {default}. Flag --{}.",
        knob.help,
        knob.takes(),
        knob.id()
    )
}
