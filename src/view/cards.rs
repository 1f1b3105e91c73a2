//! The signal path: one card a stage, in the order in which the signal runs.

use super::hint::hint_below;
use super::knob_row::{knob_row_in, knob_slider};
use super::session::Session;
use super::style::{bold, colour};
use super::survey::Survey;
use crate::picture::{Ink, Theme};
use crate::settings::{Bench, Channel, Knob, knobs_of};
use crate::study::Pulses;
use crate::units::{self, Unit};
use egui::containers::scroll_area::ScrollSource;
use egui::{
    Frame, Margin, Pos2, Rect, Response, RichText, ScrollArea, Stroke, Ui, UiBuilder, Vec2,
};

/// Height of the cards.
pub const HEIGHT: f32 = 144.0;
/// The least width in which every card holds its knobs and most read-outs; in less, the row
/// scrolls.
const NEEDED: f32 = 1244.0;
/// Room between two cards for the line that joins them.
const JOINT: f32 = 14.0;

struct Card {
    stage: &'static str,
    title: &'static str,
    /// What the stage does, for those who do not know it.
    about: &'static str,
    ink: Ink,
    share: f32,
    /// Range of the slider under the first knob; none where there is no room for one.
    slider: Option<[f64; 2]>,
    columns: usize,
}

const CARDS: [Card; 6] = [
    Card {
        stage: "source",
        title: "Source",
        about: "The recording: which channel is read, and how many volts full scale stands for.",
        ink: Ink::Source,
        share: 1.0,
        slider: None,
        columns: 1,
    },
    Card {
        stage: "input",
        title: "Input network",
        about: "What lies between the player's socket and the squarer: coupling capacitor, band \
                limit, amplifier.",
        ink: Ink::Shaped,
        share: 1.0,
        slider: None,
        columns: 1,
    },
    Card {
        stage: "squarer",
        title: "Squarer",
        about: "A comparator: its output is high while the signal lies above the reference level, \
                low while it lies below. Hysteresis keeps noise from changing it.",
        ink: Ink::Squarer,
        share: 1.0,
        slider: None,
        columns: 1,
    },
    Card {
        stage: "short",
        title: "Short one-shot",
        about: "Every trigger makes its output low for the width, and a trigger in that time \
                begins the width anew. The cycles of the high tone come sooner than that, so it \
                stays low; those of the low tone come later, so it gives one high pulse a cycle.",
        ink: Ink::Short,
        share: 1.15,
        slider: Some([1e-4, 2e-3]),
        columns: 1,
    },
    Card {
        stage: "long",
        title: "Long one-shot",
        about: "The same circuit with a longer width, started by the short one. It bridges the \
                pulses of the low tone: its output is low through space and high through mark. \
                That is the serial line.",
        ink: Ink::Long,
        share: 1.15,
        slider: Some([2e-4, 5e-3]),
        columns: 1,
    },
    Card {
        stage: "framer",
        title: "Framer",
        about: "The serial receiver. The line falls for a start bit; from its middle on, the \
                framer looks at the line once a bit, and takes what it sees as data, parity and \
                stop bits.",
        ink: Ink::Character,
        share: 1.95,
        slider: None,
        columns: 2,
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
    let width = ui.available_width().max(NEEDED);
    // The only way to scroll it is sideways, so the wheel does that, too.
    ui.style_mut().always_scroll_the_only_direction = true;
    let by_hand = ScrollSource::SCROLL_BAR | ScrollSource::MOUSE_WHEEL;
    let scroll = ScrollArea::horizontal().scroll_source(by_hand);
    let shown = scroll.show(ui, |ui| row(ui, width, session, survey, theme));
    shown.inner
}

/// Draws the cards side by side.
fn row(
    ui: &mut Ui,
    width: f32,
    session: &mut Session,
    survey: Option<&Survey>,
    theme: Theme,
) -> Option<&'static Knob> {
    let mut in_hand = None;
    let (row, _) = ui.allocate_exact_size(Vec2::new(width, HEIGHT), egui::Sense::hover());
    let total: f32 = CARDS.iter().map(|c| c.share).sum();
    let room = row.width() - JOINT * (CARDS.len() - 1) as f32;
    let mut left = row.left();
    for (i, card) in CARDS.iter().enumerate() {
        let size = Vec2::new(room * card.share / total, HEIGHT);
        let area = Rect::from_min_size(Pos2::new(left, row.top()), size);
        if i > 0 {
            joint(ui, area.left(), row.center().y, theme);
        }
        let note = note(card.stage, session, survey).unwrap_or_default();
        in_hand = draw(ui, area, card, &mut session.bench, &note, theme).or(in_hand);
        left += size.x + JOINT;
    }
    in_hand
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

fn draw(
    ui: &mut Ui,
    area: Rect,
    card: &Card,
    bench: &mut Bench,
    note: &str,
    theme: Theme,
) -> Option<&'static Knob> {
    let mut in_hand = None;
    let mut note_hand = |knob, control: Response| {
        if control.gained_focus() {
            control.scroll_to_me(None);
        }
        if control.changed() || control.has_focus() {
            in_hand = Some(knob);
        }
    };
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
            let title = ui.label(RichText::new(card.title).family(bold()).color(ink));
            hint_below(title, area, card.about);
            if card.columns == 1 {
                for (i, knob) in knobs_of(card.stage).enumerate() {
                    note_hand(knob, knob_row_in(ui, knob, bench, 60.0, Some(area)));
                    if let (0, Some(range)) = (i, card.slider) {
                        note_hand(knob, knob_slider(ui, knob, bench, range, area));
                    }
                }
            } else {
                ui.columns(card.columns, |columns| {
                    for (i, knob) in knobs_of(card.stage).enumerate() {
                        let column = &mut columns[i % card.columns];
                        note_hand(knob, knob_row_in(column, knob, bench, 50.0, Some(area)));
                    }
                });
            }
        });
        let faint = colour(theme, Ink::Faint);
        let rows = note.lines().count();
        for (row, text) in note.lines().enumerate() {
            let y = area.bottom() - 11.0 - (rows - 1 - row) as f32 * 13.0;
            let foot = Rect::from_min_max(
                Pos2::new(area.left() + 9.0, y - 7.0),
                Pos2::new(area.right() - 4.0, y + 7.0),
            );
            let label = egui::Label::new(RichText::new(text).small().color(faint)).truncate();
            let left = egui::Layout::left_to_right(egui::Align::Center);
            ui.scope_builder(UiBuilder::new().max_rect(foot).layout(left), |ui| {
                ui.add(label)
            });
        }
    });
    in_hand
}

/// The small read-out at the foot of a card.
fn note(stage: &str, session: &Session, survey: Option<&Survey>) -> Option<String> {
    let document = session.document()?;
    let volts = |v| units::show_digits(v, Unit::Volts, 3);
    Some(match stage {
        "source" => {
            let levels = &document.levels;
            let clipped = match levels.clipped {
                0 => "not clipped".into(),
                n => format!("{} clipped", units::counted(n, "sample")),
            };
            format!(
                "{}peak {}, rms {}\nmean {}, {clipped}",
                channels_row(document.source.channel, document.about.channels),
                volts(levels.peak_v),
                volts(levels.rms_v),
                volts(levels.mean_v)
            )
        }
        "squarer" => {
            let survey = survey?;
            let tone = |hz: Option<f64>| {
                hz.map_or("none".into(), |hz| units::show_digits(hz, Unit::Hertz, 3))
            };
            let [pulses, ..] = &survey.pulses;
            let tones = &survey.tones;
            format!(
                "tones {} and {}\n{}",
                tone(tones.mark_hz),
                tone(tones.space_hz),
                rate_and_duty(pulses)
            )
        }
        "short" => pulses_note(&survey?.pulses[1], "high"),
        "long" => pulses_note(&survey?.pulses[2], "low"),
        "framer" => {
            let whole = session.whole();
            let layout = session.layout();
            match whole.characters.len() {
                0 => "no characters".into(),
                _ => format!(
                    "{} in {}, {} with faults\n{}, {}",
                    units::counted(whole.characters.len(), "character"),
                    units::counted(layout.blocks.len(), "block"),
                    whole.faulty.len(),
                    layout
                        .least_margin_percent
                        .map_or("no margin".into(), |p| format!(
                            "least margin {}",
                            units::percent(p)
                        )),
                    units::counted(whole.false_starts_s.len(), "false start")
                ),
            }
        }
        _ => return None,
    })
}

/// What is read of how many channels, where that is known.
fn channels_row(channel: Channel, count: u32) -> String {
    match (channel, count) {
        (_, 0) => String::new(),
        (_, 1) => "one channel\n".into(),
        (Channel::One(n), _) => format!("channel {n} of {count}\n"),
        (Channel::Sum, _) => format!("mean of {count} channels\n"),
        (Channel::Difference, _) => format!("half of 1 less 2, of {count} channels\n"),
    }
}

fn rate_and_duty(pulses: &Pulses) -> String {
    let rate = units::show_digits(pulses.per_second, Unit::One, 3);
    let duty = units::show_digits(pulses.duty * 100.0, Unit::Percent, 3);
    format!("{rate} pulses/s, high {duty}")
}

/// Rate and duty, and the shortest and longest pulse of one level.
fn pulses_note(pulses: &Pulses, level: &str) -> String {
    let ends = match level {
        "high" => pulses.shortest_high_s.zip(pulses.longest_high_s),
        _ => pulses.shortest_low_s.zip(pulses.longest_low_s),
    };
    let show = |s| units::show_digits(s, Unit::Seconds, 3);
    let ends = ends.map_or(format!("no {level} pulse in view"), |(least, most)| {
        format!("{level} for {} to {}", show(least), show(most))
    });
    format!("{ends}\n{}", rate_and_duty(pulses))
}
