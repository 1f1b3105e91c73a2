//! The spectrum of what is in view.

use super::axes::{AxisOf, with_axes};
use crate::picture::{Ink, Theme};
use crate::settings::Bench;
use crate::study::{Spectrum, WINDOW_NAME};
use crate::units::{self, Unit};
use crate::view::style::colour;
use egui::{RichText, Role, Ui, WidgetInfo};
use egui_plot::{Line, LineStyle, Plot, PlotPoints, VLine};

/// Draws the spectrum with the places where mark and space are expected.
pub fn spectrum_chart(ui: &mut Ui, spectrum: Option<&Spectrum>, bench: &Bench, theme: Theme) {
    let Some(spectrum) = spectrum else {
        ui.weak("Show at least 64 samples for a spectrum.");
        return;
    };
    let limit_khz = (bench.tape.mark_hz * 2.5 / 1000.0).max(6.0);
    let points = spectrum.levels_db.iter().enumerate();
    let points: PlotPoints<'_> = points
        .map(|(i, db)| [i as f64 * spectrum.step_hz / 1000.0, db.max(-120.0)])
        .take_while(|p| p[0] <= limit_khz)
        .collect();
    let height = (ui.available_height() - 150.0).clamp(120.0, 420.0);
    let plot = Plot::new("spectrum")
        .height(height)
        .default_y_bounds(-100.0, 5.0)
        .default_x_bounds(0.0, limit_khz);
    let axes = ["kHz", "dB of a 1 V sine"].map(|name| AxisOf {
        name,
        least_step: 0.0,
    });
    let plot = with_axes(plot, axes, theme).show(ui, |plot| {
        plot.line(
            Line::new("spectrum", points)
                .color(colour(theme, Ink::Source))
                .width(1.3)
                .allow_band(false),
        );
        for (name, hz) in [("space", bench.tape.space_hz), ("mark", bench.tape.mark_hz)] {
            let line = VLine::new(name, hz / 1000.0).color(colour(theme, Ink::Short));
            plot.vline(line.style(LineStyle::dashed_loose()).width(1.2));
        }
    });
    plot.response
        .widget_info(|| WidgetInfo::labeled(Role::Canvas, true, "Spectrum chart"));
    let expected = format!(
        "Dashed: space {} and mark {} as the tape maker is set.",
        units::show(bench.tape.space_hz, Unit::Hertz),
        units::show(bench.tape.mark_hz, Unit::Hertz)
    );
    ui.label(RichText::new(expected).small());
    ui.label(
        RichText::new(format!(
            "{WINDOW_NAME} window, {} Hz a step.",
            units::show_digits(spectrum.step_hz, Unit::One, 4)
        ))
        .small(),
    );
    for peak in &spectrum.peaks {
        let text = format!("{:8.1} Hz {:7.1} dB", peak.frequency_hz, peak.level_db);
        ui.label(RichText::new(text).monospace());
    }
}
