//! The foot of the window: what is wrong and why, the selection, the marks, the pointer.

use super::action::Action;
use super::app::App;
use super::head::action_button;
use super::read_out::{Ground, character_text, gaps_text, held_text, marks_text, pointer_text};
use super::style::colour;
use crate::picture::Ink;
use crate::signal::Traces;
use crate::study::explain;
use crate::units::{self, Unit};
use egui::{
    Align, Color32, Frame, Label, Layout, Panel, Rect, RichText, ScrollArea, TextStyle, Ui,
    UiBuilder,
};

/// Height of the foot with its margins, where little is to be said.
pub(super) const FOOT_LEAST: f32 = 96.0;
/// The part of the window's height that the foot may take.
const MOST: f32 = 1.0 / 3.0;
/// Width of what stands at the right of the text.
const ASIDE: f32 = 140.0;
/// Room for a scroll bar.
const BAR: f32 = 14.0;
/// Points between two sentences.
const GAP: f32 = 1.0;

/// What stays while the pointer moves: advice, the selection and why it is so, marks, gaps.
fn standing(app: &App, traces: &Traces) -> Vec<String> {
    let Some(ground) = ground(app, traces) else {
        return Vec::new();
    };
    let advice = app.session.advice().first();
    let mut rows: Vec<String> = advice.map(|a| a.says.clone()).into_iter().collect();
    let whole = app.session.whole();
    if let Some(c) = app.selected_in(&whole) {
        let was = app
            .held
            .as_ref()
            .zip(app.selected())
            .map(|(held, index)| held_text(&held.traces.characters, held.comparison.of(index)));
        rows.push(character_text(ground, c, was.as_deref()));
        if !app.session.is_reading() {
            rows.extend(explain(c, &whole, &app.session.bench));
        }
    }
    rows.extend(marks_text(ground, app.marks));
    rows.extend(gaps_text(ground, app.span));
    rows
}

fn pointed(app: &App, traces: &Traces) -> Option<String> {
    let ground = ground(app, traces)?;
    app.hover.map(|hover| pointer_text(ground, hover))
}

fn ground<'a>(app: &'a App, traces: &'a Traces) -> Option<Ground<'a>> {
    let document = app.session.document()?;
    Some(Ground {
        recording: &document.recording,
        traces,
        bench: app.session.bench_of(traces),
    })
}

/// What the foot says, for the clipboard.
pub(super) fn foot_text(app: &App, traces: &Traces) -> Vec<String> {
    let mut rows = standing(app, traces);
    rows.extend(pointed(app, traces));
    rows
}

/// Draws the foot. It grows to what it holds, up to a part of the window, and stays so: what the
/// pointer is on has a row that is always there, so that the lanes do not move under the hand.
pub(super) fn foot(app: &mut App, ui: &mut Ui, traces: &Traces, frame: Frame) {
    let rows = standing(app, traces);
    let margin = frame.inner_margin.sum();
    let width = ui.available_width() - margin.x - ASIDE - BAR;
    let line = ui.text_style_height(&TextStyle::Body);
    let needed = margin.y + line + 3.0 * GAP + heights(ui, &rows, width);
    let most = (ui.ctx().content_rect().height() * MOST).max(FOOT_LEAST);
    app.foot_height = app.foot_height.max(needed.ceil()).min(most);
    Panel::bottom("foot")
        .exact_size(app.foot_height)
        .frame(frame)
        .show_separator_line(false)
        .show(ui, |ui| {
            let area = ui.available_rect_before_wrap();
            let (left, right) = area.split_left_right_at_x(area.right() - ASIDE);
            let (above, below) = left.split_top_bottom_at_y(left.bottom() - line - GAP);
            said(app, ui, &rows, above);
            if let Some(text) = pointed(app, traces) {
                let row = UiBuilder::new().max_rect(below);
                ui.scope_builder(row, |ui| ui.add(Label::new(text).truncate()));
            }
            aside(app, ui, right);
        });
}

/// How high these sentences are when they are wrapped.
fn heights(ui: &Ui, rows: &[String], width: f32) -> f32 {
    let font = TextStyle::Body.resolve(ui.style());
    let height = |row: &String| {
        let galley = ui
            .painter()
            .layout(row.clone(), font.clone(), Color32::BLACK, width);
        galley.size().y + GAP
    };
    rows.iter().map(height).sum()
}

fn said(app: &App, ui: &mut Ui, rows: &[String], area: Rect) {
    ui.scope_builder(UiBuilder::new().max_rect(area), |ui| {
        let scroll = ScrollArea::vertical()
            .id_salt("details")
            .auto_shrink([false; 2]);
        scroll.show(ui, |ui| {
            ui.set_max_width(area.width() - BAR);
            ui.spacing_mut().item_spacing.y = GAP;
            if rows.is_empty() {
                let hint = "Point at a lane to read it; click a character to learn about it. \
                            Wheel: nearer and farther. Drag: move. ? shows all keys.";
                let faint = colour(app.preferences.theme, Ink::Faint);
                ui.label(RichText::new(hint).color(faint));
            }
            for row in rows {
                ui.label(row);
            }
        });
    });
}

/// How much is shown, and the button that copies the text.
fn aside(app: &mut App, ui: &mut Ui, area: Rect) {
    let faint = colour(app.preferences.theme, Ink::Faint);
    let layout = Layout::top_down(Align::Max);
    ui.scope_builder(UiBuilder::new().max_rect(area).layout(layout), |ui| {
        let shown = units::show_digits(app.span.length_s(), Unit::Seconds, 4);
        ui.label(RichText::new(format!("{shown} shown")).color(faint));
        action_button(app, ui, Action::CopyReadOut, "Copy read-out");
    });
}
