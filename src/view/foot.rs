//! The foot of the window: what to change, the selection, the marks, the pointer. Its height is
//! fixed, so that the lanes stay where they are; what has no room in it is shown on demand.

use super::action::Action;
use super::app::App;
use super::head::action_button;
use super::read_out::{Ground, character_text, gaps_text, held_text, marks_text, pointer_text};
use super::style::colour;
use crate::picture::Ink;
use crate::signal::Traces;
use crate::study::explain;
use crate::units::{self, Unit};
use egui::text::LayoutJob;
use egui::{
    Align, Color32, FontId, Frame, Label, Layout, Panel, Rect, RichText, ScrollArea, TextFormat,
    TextStyle, Ui, UiBuilder,
};

/// Rows of text above that of the pointer.
const ROWS: usize = 4;
/// Rows that the advice may take of these.
const ADVICE_ROWS: usize = 2;
/// The part of the window's height that the foot takes with all that there is to say.
const DETAILS: f32 = 1.0 / 3.0;
/// Width of what stands at the right of the text.
const ASIDE: f32 = 140.0;
/// Width of the button beside the advice.
const TAKE: f32 = 66.0;
/// Room for a scroll bar.
const BAR: f32 = 14.0;
/// Points between two rows.
const GAP: f32 = 1.0;

/// What stays while the pointer moves, the most wanted first.
#[derive(Default)]
struct Standing {
    /// What to change, and the count that this would change.
    advice: Option<String>,
    /// The selection, marks and gaps, then why the selection is as it is.
    rows: Vec<String>,
}

impl Standing {
    fn of(app: &App, traces: &Traces) -> Self {
        let Some(ground) = ground(app, traces) else {
            return Self::default();
        };
        let whole = app.session.whole();
        let selected = app.selected_in(&whole);
        let was = app
            .held
            .as_ref()
            .zip(app.selected())
            .map(|(held, index)| held_text(&held.traces.characters, held.comparison.of(index)));
        let mut rows = Vec::new();
        rows.extend(selected.map(|c| character_text(ground, c, was.as_deref())));
        rows.extend(marks_text(ground, app.marks));
        rows.extend(gaps_text(ground, app.span));
        let explained = selected.filter(|_| !app.session.is_reading());
        rows.extend(
            explained
                .map(|c| explain(c, &whole, &app.session.bench))
                .into_iter()
                .flatten(),
        );
        Self {
            advice: app.session.advice().first().map(|a| a.says.clone()),
            rows,
        }
    }

    fn is_empty(&self) -> bool {
        self.advice.is_none() && self.rows.is_empty()
    }
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
    let standing = Standing::of(app, traces);
    let mut rows: Vec<String> = standing.advice.into_iter().collect();
    rows.extend(standing.rows);
    rows.extend(pointed(app, traces));
    rows
}

/// Draws the foot.
pub(super) fn foot(app: &mut App, ui: &mut Ui, traces: &Traces, frame: Frame) {
    let standing = Standing::of(app, traces);
    let line = ui.text_style_height(&TextStyle::Body);
    let margin = frame.inner_margin.sum().y;
    let least = margin + (ROWS + 1) as f32 * (line + GAP);
    let height = match app.preferences.details {
        true => (ui.available_height() * DETAILS).max(least),
        false => least,
    };
    Panel::bottom("foot")
        .exact_size(height.ceil())
        .frame(frame)
        .show_separator_line(false)
        .show(ui, |ui| {
            ui.spacing_mut().item_spacing.y = GAP;
            let area = ui.available_rect_before_wrap();
            let (left, right) = area.split_left_right_at_x(area.right() - ASIDE);
            let (above, below) = left.split_top_bottom_at_y(left.bottom() - line - GAP);
            let mut hidden = 0;
            ui.scope_builder(UiBuilder::new().max_rect(above), |ui| {
                hidden = said(app, ui, &standing);
            });
            if let Some(text) = pointed(app, traces) {
                let row = UiBuilder::new().max_rect(below);
                ui.scope_builder(row, |ui| ui.add(Label::new(text).truncate()));
            }
            aside(app, ui, right, hidden);
        });
}

/// Draws what stays, or how to begin; gives how many rows have no room.
fn said(app: &mut App, ui: &mut Ui, standing: &Standing) -> usize {
    if standing.is_empty() {
        let hint = "Point at a lane to read it; click a character to learn about it. Wheel: nearer \
                    and farther. Drag: move. ? shows all keys.";
        let faint = colour(app.preferences.theme, Ink::Faint);
        ui.add(Label::new(RichText::new(hint).color(faint)).truncate());
        return 0;
    }
    if app.preferences.details {
        all(app, ui, standing);
        return 0;
    }
    let advised = standing.advice.as_ref();
    let taken = advised.map_or(0, |says| advice(app, ui, says, ADVICE_ROWS));
    let room = ROWS - taken;
    for row in standing.rows.iter().take(room) {
        ui.add(Label::new(row).truncate());
    }
    standing.rows.len().saturating_sub(room)
}

/// Draws all that there is to say, whole.
fn all(app: &mut App, ui: &mut Ui, standing: &Standing) {
    let scroll = ScrollArea::vertical()
        .id_salt("details")
        .auto_shrink([false; 2]);
    scroll.show(ui, |ui| {
        ui.set_max_width(ui.available_width() - BAR);
        if let Some(says) = &standing.advice {
            advice(app, ui, says, usize::MAX);
        }
        for row in &standing.rows {
            ui.label(row);
        }
    });
}

/// Draws the advice in at most so many rows, and the button that takes it; gives how many rows it
/// has taken.
fn advice(app: &mut App, ui: &mut Ui, says: &str, most_rows: usize) -> usize {
    let font = TextStyle::Body.resolve(ui.style());
    let job = rows_of(says, font, ui.visuals().text_color(), most_rows);
    let laid = ui.painter().layout_job(LayoutJob {
        wrap: egui::text::TextWrapping {
            max_width: ui.available_width() - TAKE,
            ..job.wrap.clone()
        },
        ..job.clone()
    });
    let place = ui.available_rect_before_wrap();
    let place = Rect::from_min_size(place.min, egui::vec2(place.width(), laid.size().y));
    let (button, text) = place.split_left_right_at_x(place.left() + TAKE);
    ui.scope_builder(UiBuilder::new().max_rect(button), |ui| {
        ui.spacing_mut().button_padding.y = 0.0;
        ui.spacing_mut().interact_size.y = TextStyle::Small.resolve(ui.style()).size;
        let help = Action::TakeAdvice.entry();
        let help = format!("{} ({})", help.help, help.key_text());
        if ui.small_button("Change it").on_hover_text(help).clicked() {
            app.act(Action::TakeAdvice, ui.ctx());
        }
    });
    ui.scope_builder(UiBuilder::new().max_rect(text), |ui| {
        ui.add(Label::new(job))
    });
    laid.rows.len()
}

/// A text that wraps into at most so many rows.
fn rows_of(text: &str, font_id: FontId, color: Color32, most_rows: usize) -> LayoutJob {
    let format = TextFormat {
        font_id,
        color,
        ..Default::default()
    };
    let mut job = LayoutJob::single_section(text.into(), format);
    job.wrap.max_rows = most_rows;
    job
}

/// How much is shown, and the buttons for the text.
fn aside(app: &mut App, ui: &mut Ui, area: Rect, hidden: usize) {
    let faint = colour(app.preferences.theme, Ink::Faint);
    let layout = Layout::top_down(Align::Max);
    ui.scope_builder(UiBuilder::new().max_rect(area).layout(layout), |ui| {
        ui.spacing_mut().item_spacing.y = 3.0;
        let shown = units::show_digits(app.span.length_s(), Unit::Seconds, 4);
        ui.label(RichText::new(format!("{shown} shown")).color(faint));
        let word = match (app.preferences.details, hidden) {
            (true, _) => "Less".into(),
            (false, 0) => "Details".into(),
            (false, n) => format!("Details: {n} more"),
        };
        action_button(app, ui, Action::Details, &word);
        action_button(app, ui, Action::CopyReadOut, "Copy read-out");
    });
}
