//! The signal path: one card a stage, in the order in which the signal runs.

use super::card_notes::{note, note_of};
use super::hint::hint_below;
use super::knob_row::{knob_row_in, knob_slider};
use super::session::Session;
use super::style::{bold, colour};
use super::survey::Survey;
use crate::picture::{Ink, Theme};
use crate::settings::{Bench, Knob, knobs_of};
use egui::{
    Align, Color32, FontId, Frame, Label, Layout, Margin, Pos2, Rect, Response, RichText, Stroke,
    TextStyle, Ui, UiBuilder, Vec2,
};

/// Height of the cards.
pub const HEIGHT: f32 = 144.0;
/// Room between two cards for the line that joins them: the least, and the most.
const JOINT: [f32; 2] = [8.0, 14.0];
/// Points between the edge of a card and what stands in it.
const MARGIN: Margin = Margin {
    left: 8,
    right: 6,
    top: 7,
    bottom: 5,
};
/// Height of a row of a read-out.
const NOTE_ROW: f32 = 13.0;

struct Card {
    stage: &'static str,
    title: &'static str,
    /// What the stage does, for those who do not know it.
    about: &'static str,
    ink: Ink,
    /// Width in points that holds its knobs and the words of its read-out.
    least: f32,
    /// Its part of what room there is beyond that.
    share: f32,
    /// Width in points of the longest name of a knob, for each column of knobs.
    names: &'static [f32],
    /// Range of the slider under the first knob; none where there is no room for one.
    slider: Option<[f64; 2]>,
}

const CARDS: [Card; 6] = [
    Card {
        stage: "source",
        title: "Source",
        about: "The recording: which channel is read, and how many volts full scale stands for.",
        ink: Ink::Source,
        least: 131.0,
        share: 1.0,
        names: &[47.0],
        slider: None,
    },
    Card {
        stage: "input",
        title: "Input network",
        about: "What lies between the player's socket and the squarer: coupling capacitor, band \
                limit, amplifier.",
        ink: Ink::Shaped,
        least: 148.0,
        share: 1.0,
        names: &[51.0],
        slider: None,
    },
    Card {
        stage: "squarer",
        title: "Squarer",
        about: "A comparator: its output is high while the signal lies above the reference level, \
                low while it lies below. Hysteresis keeps noise from changing it.",
        ink: Ink::Squarer,
        least: 134.0,
        share: 1.0,
        names: &[53.0],
        slider: None,
    },
    Card {
        stage: "short",
        title: "Short one-shot",
        about: "Every trigger makes its output low for the width, and a trigger in that time \
                begins the width again. The cycles of the high tone come sooner than that, so it \
                stays low; those of the low tone come later, so it gives one high pulse a cycle.",
        ink: Ink::Short,
        least: 142.0,
        share: 1.15,
        names: &[37.0],
        slider: Some([1e-4, 2e-3]),
    },
    Card {
        stage: "long",
        title: "Long one-shot",
        about: "The same circuit with a longer width, started by the short one. It bridges the \
                pulses of the low tone: its output is low through space and high through mark. \
                That is the serial line.",
        ink: Ink::Long,
        least: 148.0,
        share: 1.15,
        names: &[37.0],
        slider: Some([2e-4, 5e-3]),
    },
    Card {
        stage: "framer",
        title: "Framer",
        about: "The serial receiver. The line falls for a start bit; from its middle on, the \
                framer looks at the line once a bit, and takes what it sees as data, parity and \
                stop bits.",
        ink: Ink::Character,
        least: 253.0,
        share: 1.95,
        names: &[33.0, 47.0],
        slider: None,
    },
];

/// Draws the signal path with the read-outs of what is in view; what the hand does goes into the
/// session's bench. Gives the knob that is being turned or has the focus.
pub fn cards(
    ui: &mut Ui,
    session: &mut Session,
    survey: Option<&Survey>,
    theme: Theme,
) -> Option<&'static Knob> {
    let mut in_hand = None;
    let joints = (CARDS.len() - 1) as f32;
    let least = CARDS.iter().map(|c| c.least).sum::<f32>() + joints * JOINT[0];
    let total: f32 = CARDS.iter().map(|c| c.share).sum();
    let size = Vec2::new(ui.available_width().max(least), HEIGHT);
    let (row, _) = ui.allocate_exact_size(size, egui::Sense::hover());
    let spare = row.width() - least;
    let joint_width = (JOINT[0] + 0.1 * spare / joints).min(JOINT[1]);
    let spare = spare - joints * (joint_width - JOINT[0]);
    let mut left = row.left();
    for (i, card) in CARDS.iter().enumerate() {
        let size = Vec2::new(card.least + spare * card.share / total, HEIGHT);
        let area = Rect::from_min_size(Pos2::new(left, row.top()), size);
        if i > 0 {
            joint(
                ui,
                area.left() - joint_width,
                area.left(),
                row.center().y,
                theme,
            );
        }
        let note = note(card.stage, session, survey);
        let note = (note.as_slice(), note_of(card.stage, session));
        in_hand = draw(ui, area, card, &mut session.bench, note, theme).or(in_hand);
        left += size.x + joint_width;
    }
    in_hand
}

/// The line with an arrow head that joins a card to the one before it.
fn joint(ui: &Ui, from: f32, x: f32, y: f32, theme: Theme) {
    let ink = colour(theme, Ink::Rule);
    ui.painter().hline(from..=x - 4.0, y, Stroke::new(1.5, ink));
    let head = [[x - 6.0, y - 4.0], [x, y], [x - 6.0, y + 4.0]].map(Pos2::from);
    ui.painter().add(egui::Shape::convex_polygon(
        head.to_vec(),
        ink,
        Stroke::NONE,
    ));
}

fn draw(
    ui: &mut Ui,
    area: Rect,
    card: &Card,
    bench: &mut Bench,
    note: (&[String], &str),
    theme: Theme,
) -> Option<&'static Knob> {
    let mut in_hand = None;
    let frame = Frame::NONE
        .fill(colour(theme, Ink::Card))
        .stroke(Stroke::new(1.0, colour(theme, Ink::Rule)))
        .corner_radius(5)
        .inner_margin(MARGIN);
    ui.scope_builder(UiBuilder::new().max_rect(area).id_salt(card.stage), |ui| {
        ui.set_clip_rect(area.expand(1.0).intersect(ui.clip_rect()));
        frame.show(ui, |ui| {
            // The line around the card is a point wide at each side.
            ui.set_min_size(area.size() - MARGIN.sum() - Vec2::splat(2.0));
            ui.spacing_mut().item_spacing = Vec2::new(4.0, 3.0);
            let title = RichText::new(card.title).family(bold());
            let title = ui.label(title.color(colour(theme, card.ink)));
            hint_below(title, area, card.about);
            in_hand = knobs(ui, area, card, bench);
        });
        read_out(ui, area, note, theme);
    });
    in_hand
}

/// Draws the knobs of a card in its columns; gives the one that is being turned or has the focus.
fn knobs(ui: &mut Ui, area: Rect, card: &Card, bench: &mut Bench) -> Option<&'static Knob> {
    let mut in_hand = None;
    let mut note_hand = |knob, control: Response| {
        if control.gained_focus() {
            control.scroll_to_me(None);
        }
        if control.changed() || control.has_focus() {
            in_hand = Some(knob);
        }
    };
    let count = card.names.len();
    ui.columns(count, |columns| {
        for (i, knob) in knobs_of(card.stage).enumerate() {
            let (ui, names) = (&mut columns[i % count], card.names[i % count]);
            note_hand(knob, knob_row_in(ui, knob, bench, names, Some(area)));
            if let (0, Some(range)) = (i, card.slider) {
                note_hand(knob, knob_slider(ui, knob, bench, range, area));
            }
        }
    });
    in_hand
}

/// Draws the phrases of a read-out at the foot of a card, in as many rows as they need, and says of
/// what they are where the pointer is on them.
fn read_out(ui: &mut Ui, area: Rect, (phrases, of): (&[String], &str), theme: Theme) {
    let font = TextStyle::Small.resolve(ui.style());
    let left = area.left() + MARGIN.leftf();
    let rows = in_rows(ui, phrases, &font, area.right() - MARGIN.rightf() - left);
    for (i, text) in rows.iter().rev().enumerate() {
        let bottom = area.bottom() - MARGIN.bottomf() - i as f32 * NOTE_ROW;
        let row = Rect::from_min_max(
            Pos2::new(left, bottom - NOTE_ROW),
            Pos2::new(area.right() - MARGIN.rightf(), bottom),
        );
        let text = RichText::new(text).font(font.clone());
        let label = Label::new(text.color(colour(theme, Ink::Faint))).truncate();
        let row = UiBuilder::new().max_rect(row);
        let row = row.layout(Layout::left_to_right(Align::Center));
        ui.scope_builder(row, |ui| ui.add(label).on_hover_text(of));
    }
}

/// The phrases in rows that are no longer than `width`, parted only between phrases.
fn in_rows(ui: &Ui, phrases: &[String], font: &FontId, width: f32) -> Vec<String> {
    let fits = |text: &str| {
        let laid = ui
            .painter()
            .layout_no_wrap(text.into(), font.clone(), Color32::BLACK);
        laid.size().x <= width
    };
    let mut rows: Vec<String> = Vec::new();
    for phrase in phrases {
        let joined = rows.last().map(|row| format!("{row}, {phrase}"));
        match (rows.last_mut(), joined.filter(|j| fits(&format!("{j},")))) {
            (Some(row), Some(joined)) => *row = joined,
            (Some(row), None) => {
                row.push(',');
                rows.push(phrase.clone());
            }
            (None, _) => rows.push(phrase.clone()),
        }
    }
    rows
}
