//! How long the cycles in view are, with both one-shot widths drawn in: whether the short width
//! parts the tones shows at a glance.

use super::axes::{AxisOf, with_axes};
use crate::picture::{Ink, Theme};
use crate::settings::{Bench, Trigger};
use crate::study::{Histogram, Lengths, Tones};
use crate::units::{self, Unit};
use crate::view::style::colour;
use crate::view::survey::{Survey, split_s};
use egui::{RichText, Role, Ui, WidgetInfo};
use egui_plot::{Bar, BarChart, Plot, VLine};

/// Draws the histogram of cycles and half cycles.
pub fn lengths_chart(ui: &mut Ui, survey: &Survey, bench: &Bench, theme: Theme) {
    let lengths = &survey.lengths;
    let bars = |histogram: &Histogram| {
        let middle = |i: usize| (i as f64 + 0.5) * lengths.bin_s * 1e6;
        let bar =
            |(i, &n): (usize, &usize)| Bar::new(middle(i), n as f64).width(lengths.bin_s * 1e6);
        histogram
            .counts
            .iter()
            .enumerate()
            .filter(|b| *b.1 > 0)
            .map(bar)
            .collect::<Vec<_>>()
    };
    let limit_us = lengths.bin_s * lengths.cycles.counts.len() as f64 * 1e6;
    let height = (ui.available_height() - 170.0).clamp(120.0, 420.0);
    let axes = [("µs", 0.0), ("count", 1.0)].map(|(name, least_step)| AxisOf { name, least_step });
    let plot = Plot::new("lengths")
        .height(height)
        .default_x_bounds(0.0, limit_us);
    let plot = with_axes(plot, axes, theme).show(ui, |plot| {
        let mut chart = |name: &str, histogram: &Histogram, ink: Ink, part: f32| {
            let fill = colour(theme, ink).gamma_multiply(part);
            plot.bar_chart(BarChart::new(name, bars(histogram)).color(fill));
        };
        chart("high half cycles", &lengths.highs, Ink::Squarer, 0.55);
        chart("low half cycles", &lengths.lows, Ink::Shaped, 0.55);
        chart("cycles", &lengths.cycles, Ink::Source, 0.9);
        for (name, width_s, ink) in [
            ("short width", bench.short.width_s, Ink::Short),
            ("long width", bench.long.width_s, Ink::Long),
        ] {
            plot.vline(
                VLine::new(name, width_s * 1e6)
                    .color(colour(theme, ink))
                    .width(2.0),
            );
        }
    });
    plot.response
        .widget_info(|| WidgetInfo::labeled(Role::Canvas, true, "Chart of cycle lengths"));
    for (text, ink) in [
        ("cycles", Ink::Source),
        ("high half cycles", Ink::Squarer),
        ("low half cycles", Ink::Shaped),
        ("width of the short one-shot", Ink::Short),
        ("width of the long one-shot", Ink::Long),
    ] {
        ui.horizontal(|ui| {
            let (at, _) = ui.allocate_exact_size(egui::vec2(14.0, 10.0), egui::Sense::hover());
            ui.painter().rect_filled(at, 2.0, colour(theme, ink));
            ui.label(RichText::new(text).small());
        });
    }
    ui.label(verdict(lengths, &survey.tones, bench));
}

/// Whether the short width parts the tones, in words.
fn verdict(lengths: &Lengths, tones: &Tones, bench: &Bench) -> String {
    let split_s = split_s(bench);
    let bin = (split_s / lengths.bin_s) as usize;
    let counts = &lengths.cycles.counts;
    let below = counts.iter().take(bin).rposition(|n| *n > 0);
    let above = counts
        .iter()
        .skip(bin)
        .position(|n| *n > 0)
        .map(|i| i + bin);
    let what = match bench.short.trigger {
        Trigger::Both => "Twice the short width",
        Trigger::Rising | Trigger::Falling => "The short width",
    };
    let us = |s: f64| units::show_digits(s, Unit::Seconds, 3);
    let one_side = |side: &str| match tones.heard_hz()[..] {
        [mark_hz, space_hz] => format!(
            "{what} does not lie between the tones: mark has cycles of {}, space of {}.",
            us(mark_hz.recip()),
            us(space_hz.recip())
        ),
        [_] => format!(
            "All cycles in view are {side} than {}: one tone only.",
            us(split_s)
        ),
        _ => format!(
            "All cycles in view are {side} than {}, and there is no tone.",
            us(split_s)
        ),
    };
    match (below, above) {
        (Some(below), Some(above)) => format!(
            "{what} lies {} above the nearest shorter cycle and {} below the nearest longer one.",
            us(split_s - (below as f64 + 0.5) * lengths.bin_s),
            us((above as f64 + 0.5) * lengths.bin_s - split_s)
        ),
        (Some(_), None) => one_side("shorter"),
        (None, Some(_)) => one_side("longer"),
        (None, None) => "There is no cycle in view.".into(),
    }
}
