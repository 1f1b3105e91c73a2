//! The signal path: one card a stage, in the order in which the signal runs.

use super::knob_row::{knob_row, knob_slider};
use super::session::Session;
use super::style::{bold, colour};
use crate::picture::{Ink, Span, Theme};
use crate::settings::{Bench, knobs_of};
use crate::signal::{Edges, Traces};
use crate::units::{self, Unit};
use egui::{Frame, Margin, Pos2, Rect, RichText, Stroke, Ui, UiBuilder, Vec2};

/// Height of the cards.
pub const HEIGHT: f32 = 136.0;
/// Room between two cards for the line that joins them.
const JOINT: f32 = 14.0;

struct Card {
    stage: &'static str,
    title: &'static str,
    ink: Ink,
    share: f32,
    /// Range of the slider under the first knob; none where there is no room for one.
    slider: Option<[f64; 2]>,
    columns: usize,
}

const CARDS: [Card; 6] = [
    card("source", "Source", Ink::Source, 1.0, None, 1),
    card("input", "Input network", Ink::Shaped, 1.0, None, 1),
    card("squarer", "Squarer", Ink::Squarer, 1.0, None, 1),
    card(
        "short",
        "Short one-shot",
        Ink::Short,
        1.15,
        Some([1e-4, 2e-3]),
        1,
    ),
    card(
        "long",
        "Long one-shot",
        Ink::Long,
        1.15,
        Some([2e-4, 5e-3]),
        1,
    ),
    card("framer", "Framer", Ink::Character, 1.95, None, 2),
];

const fn card(
    stage: &'static str,
    title: &'static str,
    ink: Ink,
    share: f32,
    slider: Option<[f64; 2]>,
    columns: usize,
) -> Card {
    Card {
        stage,
        title,
        ink,
        share,
        slider,
        columns,
    }
}

/// Draws the signal path; what the hand does goes into the session's bench.
pub fn cards(ui: &mut Ui, session: &mut Session, traces: &Traces, span: Span, theme: Theme) {
    let (row, _) = ui.allocate_exact_size(
        Vec2::new(ui.available_width(), HEIGHT),
        egui::Sense::hover(),
    );
    let total: f32 = CARDS.iter().map(|c| c.share).sum();
    let room = row.width() - JOINT * (CARDS.len() - 1) as f32;
    let mut left = row.left();
    for (i, card) in CARDS.iter().enumerate() {
        let size = Vec2::new(room * card.share / total, HEIGHT);
        let area = Rect::from_min_size(Pos2::new(left, row.top()), size);
        if i > 0 {
            joint(ui, area.left(), row.center().y, theme);
        }
        let note = note(card.stage, session, traces, span);
        draw(ui, area, card, &mut session.bench, &note, theme);
        left += size.x + JOINT;
    }
}

/// The line with an arrow head that joins a card to the one before it.
fn joint(ui: &Ui, x: f32, y: f32, theme: Theme) {
    let ink = colour(theme, Ink::Rule);
    ui.painter()
        .hline(x - JOINT..=x - 4.0, y, Stroke::new(1.5, ink));
    let head = [[x - 6.0, y - 4.0], [x, y], [x - 6.0, y + 4.0]].map(Pos2::from);
    ui.painter().add(egui::Shape::convex_polygon(
        head.to_vec(),
        ink,
        Stroke::NONE,
    ));
}

fn draw(ui: &mut Ui, area: Rect, card: &Card, bench: &mut Bench, note: &str, theme: Theme) {
    let ink = colour(theme, card.ink);
    let frame = Frame::NONE
        .fill(colour(theme, Ink::Card))
        .stroke(Stroke::new(1.0, colour(theme, Ink::Rule)))
        .corner_radius(5)
        .inner_margin(Margin {
            left: 9,
            right: 7,
            top: 7,
            bottom: 5,
        });
    ui.scope_builder(UiBuilder::new().max_rect(area).id_salt(card.stage), |ui| {
        ui.set_clip_rect(area.expand(1.0).intersect(ui.clip_rect()));
        frame.show(ui, |ui| {
            ui.set_min_size(area.size() - Vec2::new(18.0, 14.0));
            ui.spacing_mut().item_spacing.y = 3.0;
            ui.label(RichText::new(card.title).family(bold()).color(ink));
            if card.columns == 1 {
                for (i, knob) in knobs_of(card.stage).enumerate() {
                    knob_row(ui, knob, bench, 60.0);
                    if let (0, Some(range)) = (i, card.slider) {
                        knob_slider(ui, knob, bench, range);
                    }
                }
            } else {
                ui.columns(card.columns, |columns| {
                    for (i, knob) in knobs_of(card.stage).enumerate() {
                        knob_row(&mut columns[i % card.columns], knob, bench, 50.0);
                    }
                });
            }
        });
        let at = Pos2::new(area.left() + 9.0, area.bottom() - 11.0);
        let font = egui::TextStyle::Small.resolve(ui.style());
        let faint = colour(theme, Ink::Faint);
        ui.painter()
            .text(at, egui::Align2::LEFT_CENTER, note, font, faint);
    });
}

/// The small read-out at the foot of a card.
fn note(stage: &str, session: &Session, traces: &Traces, span: Span) -> String {
    let Some(document) = session.document() else {
        return String::new();
    };
    let volts = |v| units::show_digits(v, Unit::Volts, 3);
    match stage {
        "source" => {
            let levels = &document.levels;
            let clipped = if levels.clipped > 0 { ", clipped" } else { "" };
            format!(
                "peak {}{clipped}, {} Hz",
                volts(levels.peak_v),
                document.about.rate_hz
            )
        }
        "input" => String::new(),
        "squarer" => {
            let s = &session.bench.squarer;
            let half = s.hysteresis_v / 2.0;
            format!(
                "up {}, down {}",
                volts(s.reference_v + half),
                volts(s.reference_v - half)
            )
        }
        "short" => pulses(&traces.short, span),
        "long" => pulses(&traces.long, span),
        _ => {
            let all = &session.whole().characters;
            let faults = all.iter().filter(|c| c.faults.any()).count();
            let least = all
                .iter()
                .map(|c| c.margin_percent)
                .fold(f64::INFINITY, f64::min);
            if all.is_empty() {
                "no characters".into()
            } else {
                let margin = units::show_digits(least, Unit::Percent, 3);
                format!(
                    "{} characters, {faults} with faults, least margin {margin}",
                    all.len()
                )
            }
        }
    }
}

/// How long a one-shot's output is high in the span, shortest to longest.
fn pulses(edges: &Edges, span: Span) -> String {
    let inside = edges.within(span.from_s, span.to_s);
    if inside.len() > 20_000 {
        return "zoom in for pulse widths".into();
    }
    let times = edges.times_s();
    let highs = inside
        .clone()
        .filter(|&i| edges.rises(i) && i + 1 < inside.end)
        .map(|i| times[i + 1] - times[i]);
    let (least, most) = highs.fold((f64::INFINITY, 0.0f64), |(l, m), w| (l.min(w), m.max(w)));
    if most == 0.0 {
        return "no pulse in view".into();
    }
    let show = |s| units::show_digits(s, Unit::Seconds, 3);
    format!("high {} to {}", show(least), show(most))
}
