//! How long the cycles in view are, with both one-shot widths drawn in: whether the short width
//! parts the tones shows at a glance.

use super::axes::{AxisOf, hold, with_axes};
use crate::picture::{Ink, Theme};
use crate::settings::{Bench, Trigger};
use crate::study::{Histogram, Lengths, Tones};
use crate::units::{self, Unit};
use crate::view::style::colour;
use crate::view::survey::{Survey, split_s};
use egui::{Color32, RichText, Role, Stroke, Ui, WidgetInfo};
use egui_plot::{Bar, BarChart, HoverPosition, Plot, VLine};
use std::cell::Cell;
use std::rc::Rc;

/// The least width of a bar on the screen, in points.
const BAR: f64 = 3.0;
/// Room above the highest bar, as a part of its height.
const ABOVE: f64 = 0.08;

/// Draws the histogram of cycles and half cycles, with what it says, in `room` points of height
/// where they fit there.
pub fn lengths_chart(ui: &mut Ui, room: f32, survey: &Survey, bench: &Bench, theme: Theme) {
    let lengths = &survey.lengths;
    let limit_us = lengths.bin_s * lengths.cycles.counts.len() as f64 * 1e6;
    let height = (room - 170.0).clamp(120.0, 420.0);
    let axes = [("µs", 0.0), ("count", 1.0)].map(|(name, least_step)| AxisOf { name, least_step });
    // With another limit it is another chart, which shows all there is.
    let plot = Plot::new(("lengths", limit_us.to_bits()))
        .height(height)
        .default_x_bounds(0.0, limit_us);
    // How many bins a bar has on the screen, for what is said at the pointer.
    let in_bar = Rc::new(Cell::new(1));
    let pointed = Rc::clone(&in_bar);
    let plot = with_axes(plot, axes, theme).label_formatter(move |at| match at {
        HoverPosition::Elsewhere { position } => bar_text(lengths, position.x / 1e6, pointed.get()),
        HoverPosition::NearDataPoint { .. } => None,
    });
    let plot = plot.show(ui, |plot| {
        let across = plot.plot_bounds().width() / f64::from(plot.transform().frame().width());
        in_bar.set(bins_in_bar(lengths, across * BAR / 1e6));
        let mut most = 0;
        for (name, histogram, ink, part) in [
            ("high half cycles", &lengths.highs, Ink::Squarer, 0.55),
            ("low half cycles", &lengths.lows, Ink::Shaped, 0.55),
            ("cycles", &lengths.cycles, Ink::Source, 0.9),
        ] {
            let sums = joined(&histogram.counts, in_bar.get());
            most = most.max(sums.iter().copied().max().unwrap_or(0));
            let fill = colour(theme, ink).gamma_multiply(part);
            let bars = bars(&sums, lengths.bin_s * 1e6 * in_bar.get() as f64, fill);
            plot.bar_chart(BarChart::new(name, bars).color(fill).allow_hover(false));
        }
        hold(plot, 0.0..=(most.max(1) as f64) * (1.0 + ABOVE));
        for (name, width_s, ink) in [
            ("short width", bench.short.width_s, Ink::Short),
            ("long width", bench.long.width_s, Ink::Long),
        ] {
            let line = VLine::new(name, width_s * 1e6).color(colour(theme, ink));
            plot.vline(line.width(2.0).allow_hover(false));
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

/// How many bins are to be drawn as one bar, so that it is at least so wide.
fn bins_in_bar(lengths: &Lengths, least_s: f64) -> usize {
    let bins = (least_s / lengths.bin_s).ceil();
    // Before the first frame nothing is known of the screen.
    if bins.is_finite() {
        (bins as usize).clamp(1, (lengths.cycles.counts.len() / 8).max(1))
    } else {
        1
    }
}

/// The sums of so many counts each.
fn joined(counts: &[usize], in_bar: usize) -> Vec<usize> {
    counts.chunks(in_bar).map(|c| c.iter().sum()).collect()
}

/// Bars side by side from 0 on, each as wide as its bins.
fn bars(sums: &[usize], width: f64, fill: Color32) -> Vec<Bar> {
    let full = sums.iter().enumerate().filter(|(_, n)| **n > 0);
    let bar = |(i, n): (usize, &usize)| {
        let bar = Bar::new((i as f64 + 0.5) * width, *n as f64).width(width);
        bar.fill(fill).stroke(Stroke::NONE)
    };
    full.map(bar).collect()
}

/// What the bar at a length stands for.
fn bar_text(lengths: &Lengths, at_s: f64, in_bar: usize) -> Option<String> {
    let bar_s = lengths.bin_s * in_bar as f64;
    let bar = (at_s / bar_s).floor().max(0.0) as usize;
    let count = |histogram: &Histogram| joined(&histogram.counts, in_bar).get(bar).copied();
    let us = |s: f64| units::show_digits(s, Unit::Seconds, 3);
    Some(format!(
        "{} to {}\n{}\n{} high, {} low half cycles",
        us(bar as f64 * bar_s),
        us((bar + 1) as f64 * bar_s),
        units::counted(count(&lengths.cycles)?, "cycle"),
        count(&lengths.highs)?,
        count(&lengths.lows)?
    ))
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

#[cfg(test)]
mod tests {
    use super::*;

    fn some() -> Lengths {
        let histogram = |counts: &[usize]| Histogram {
            counts: counts.to_vec(),
            beyond: 0,
        };
        Lengths {
            highs: histogram(&[0, 1, 2, 0, 0, 0, 0, 0]),
            lows: histogram(&[0, 0, 3, 0, 0, 0, 0, 0]),
            cycles: histogram(&[0, 0, 1, 4, 0, 0, 0, 2]),
            bin_s: 1e-4,
            sampled: 1,
        }
    }

    #[test]
    fn bins_are_joined_until_a_bar_is_wide_enough_and_none_is_lost() {
        let mut lengths = some();
        lengths.cycles.counts = vec![1; 240];
        assert_eq!(bins_in_bar(&lengths, 0.5e-4), 1);
        assert_eq!(bins_in_bar(&lengths, 2.5e-4), 3);
        assert_eq!(bins_in_bar(&lengths, f64::NAN), 1);
        assert_eq!(bins_in_bar(&lengths, 1.0), 30);
        for in_bar in 1..9 {
            let sums = joined(&some().cycles.counts, in_bar);
            assert_eq!(sums.iter().sum::<usize>(), 7, "{in_bar}");
        }
    }

    #[test]
    fn the_bar_at_the_pointer_is_read_out() {
        let said = bar_text(&some(), 2.5e-4, 2).unwrap();
        assert_eq!(
            said,
            "200 µs to 400 µs\n5 cycles\n2 high, 3 low half cycles"
        );
        assert_eq!(bar_text(&some(), 9e-4, 2), None);
    }
}
