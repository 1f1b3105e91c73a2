//! The spectrum of what is in view.

use super::axes::{AxisOf, hold, with_axes};
use crate::picture::{Ink, Theme};
use crate::settings::Bench;
use crate::study::{Spectrum, WINDOW_NAME};
use crate::units::{self, Unit};
use crate::view::style::colour;
use egui::{RichText, Role, Ui, WidgetInfo};
use egui_plot::{HoverPosition, Line, LineStyle, Plot, PlotPoints, VLine};
use std::ops::RangeInclusive;

/// The levels that the chart shows.
const LEVELS_DB: RangeInclusive<f64> = -100.0..=5.0;

/// Draws the spectrum with the places where mark and space are expected, in `room` points of height
/// where it fits there.
pub fn spectrum_chart(
    ui: &mut Ui,
    room: f32,
    spectrum: Option<&Spectrum>,
    bench: &Bench,
    theme: Theme,
) {
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
    let height = (room - 190.0).clamp(120.0, 420.0);
    let plot = Plot::new("spectrum")
        .height(height)
        .default_x_bounds(0.0, limit_khz);
    let axes = ["kHz", "dB of a 1 V sine"].map(|name| AxisOf {
        name,
        least_step: 0.0,
    });
    let plot = with_axes(plot, axes, theme).label_formatter(|at| match at {
        HoverPosition::Elsewhere { position } => line_text(spectrum, position.x * 1000.0),
        HoverPosition::NearDataPoint { .. } => None,
    });
    let plot = plot.show(ui, |plot| {
        hold(plot, LEVELS_DB);
        let line = Line::new("spectrum", points).color(colour(theme, Ink::Source));
        plot.line(line.width(1.3).allow_band(false).allow_hover(false));
        for (name, hz) in [("space", bench.tape.space_hz), ("mark", bench.tape.mark_hz)] {
            let line = VLine::new(name, hz / 1000.0).color(colour(theme, Ink::Short));
            let line = line.style(LineStyle::dashed_loose()).width(1.2);
            plot.vline(line.allow_hover(false));
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

/// The level of the line of the spectrum that is nearest to a frequency.
fn line_text(spectrum: &Spectrum, at_hz: f64) -> Option<String> {
    let line = (at_hz / spectrum.step_hz).round().max(0.0) as usize;
    let level_db = spectrum.levels_db.get(line)?;
    let hz = line as f64 * spectrum.step_hz;
    Some(format!(
        "{}\n{level_db:.1} dB",
        units::show_digits(hz, Unit::Hertz, 4)
    ))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_line_at_the_pointer_is_read_out() {
        let spectrum = Spectrum {
            step_hz: 50.0,
            levels_db: vec![-90.0, -12.34, -60.0],
            peaks: Vec::new(),
            segments: 1,
        };
        assert_eq!(line_text(&spectrum, 61.0).unwrap(), "50 Hz\n-12.3 dB");
        assert_eq!(line_text(&spectrum, 500.0), None);
    }
}
