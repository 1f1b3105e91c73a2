//! The words of the trade, for those who do not know them.

use super::style::bold;
use egui::{Context, Grid, Key, Label, RichText, ScrollArea, Window};

/// Words and what they mean, in the order in which the signal meets what they name.
const WORDS: &[(&str, &str)] = &[
    (
        "mark",
        "Logic 1, the high tone, usually 2400 Hz. Between characters the line rests at mark, which is high.",
    ),
    (
        "space",
        "Logic 0, the low tone, usually 1200 Hz. The line is low.",
    ),
    (
        "leader",
        "Steady mark before the first character, by which the player comes to speed.",
    ),
    (
        "cycle, half cycle",
        "From one rising edge to the next; from one edge to the next.",
    ),
    (
        "input network",
        "What lies between the player and the squarer: coupling capacitor (high-pass), band limit (low-pass), amplifier.",
    ),
    (
        "squarer",
        "A comparator that makes a two-level signal of the audio.",
    ),
    (
        "reference level",
        "The voltage with which the squarer compares.",
    ),
    (
        "hysteresis",
        "The distance between the level that sets the squarer's output and the one that clears it. Noise smaller than that makes no edges.",
    ),
    (
        "edge, trigger",
        "A change of level; one that starts a one-shot.",
    ),
    (
        "one-shot",
        "A monostable circuit. A trigger makes its output low for a fixed time, its width; then it is released and rests high again.",
    ),
    (
        "retriggerable",
        "A trigger while it is timing begins the width anew, so a one-shot that is triggered often enough never releases.",
    ),
    ("duty", "The part of the time for which a trace is high."),
    (
        "framer",
        "The serial receiver: it finds the start bit and makes characters of the line.",
    ),
    (
        "Bd (baud)",
        "Bits a second on a line of two levels. At 300 Bd a bit lasts 3.33 ms.",
    ),
    (
        "character",
        "A start bit (space), the data bits with the least significant first, perhaps a parity bit, and stop bits (mark).",
    ),
    (
        "sampling instant",
        "When the framer looks at the line: in the middle of each bit.",
    ),
    (
        "margin",
        "How near the closest change of the line comes to a sampling instant, in per cent of a bit: 50% is perfect, 0% is about to read wrongly.",
    ),
    (
        "framing error",
        "A stop bit was not mark: the framer has lost its step, or a bit is damaged.",
    ),
    (
        "break",
        "Space through a whole character, the stop bit too.",
    ),
    (
        "false start",
        "The line fell as for a start bit, but was at mark again by the middle of it.",
    ),
    ("bench", "A saved set of all settings."),
];

/// Draws the glossary; gives whether it stays open.
pub fn glossary(ctx: &Context) -> bool {
    let mut open = true;
    let room = ctx.content_rect().size() - egui::vec2(40.0, 90.0);
    Window::new("Words")
        .open(&mut open)
        .collapsible(false)
        .resizable(false)
        .pivot(egui::Align2::CENTER_CENTER)
        .default_pos(ctx.content_rect().center())
        .show(ctx, |ui| {
            ui.set_max_width(room.x.min(680.0));
            let scroll = ScrollArea::vertical().max_height(room.y);
            scroll.min_scrolled_height(room.y).show(ui, |ui| {
                Grid::new("words")
                    .num_columns(2)
                    .striped(true)
                    .show(ui, |ui| {
                        for (word, meaning) in WORDS {
                            ui.label(RichText::new(*word).family(bold()));
                            ui.scope(|ui| {
                                ui.set_max_width(520.0);
                                ui.add(Label::new(*meaning).wrap());
                            });
                            ui.end_row();
                        }
                    });
            });
        });
    open && !ctx.input(|i| i.key_pressed(Key::Escape))
}
