//! The level of what is heard, as a bar with its peak.

use crate::live::Meter;
use crate::picture::{Ink, Theme};
use crate::units::{self, Unit};
use crate::view::style::colour;
use egui::{Rect, Role, Sense, Stroke, Ui, Vec2, WidgetInfo};

/// The lowest level shown, in decibels of full scale.
const FLOOR_DB: f64 = -60.0;

/// Draws the bar and its figures.
pub fn meter_bar(ui: &mut Ui, meter: &Meter, theme: Theme) {
    let (area, response) = ui.allocate_exact_size(Vec2::new(150.0, 14.0), Sense::hover());
    let part = |volts: f64| (1.0 - meter.dbfs(volts.max(1e-9)) / FLOOR_DB).clamp(0.0, 1.0) as f32;
    let x = |volts| area.left() + part(volts) * area.width();
    let painter = ui.painter();
    let ink = if meter.clipping {
        Ink::Fault
    } else {
        Ink::Squarer
    };
    painter.rect_filled(area, 2.0, colour(theme, Ink::Grid));
    let bar = Rect::from_min_max(area.min, egui::pos2(x(meter.now.peak_v), area.bottom()));
    painter.rect_filled(bar, 2.0, colour(theme, ink));
    let peak = Stroke::new(2.0, colour(theme, Ink::Text));
    painter.vline(x(meter.held_v), area.y_range(), peak);
    let figures = format!(
        "{} ({:.1} dBFS){}",
        units::show_digits(meter.held_v, Unit::Volts, 3),
        meter.dbfs(meter.held_v.max(1e-9)),
        if meter.clipping { ", CLIPPING" } else { "" }
    );
    response.widget_info(|| WidgetInfo::labeled(Role::Meter, true, format!("Level {figures}")));
    response
        .on_hover_text("The level now, from -60 dBFS on, and the peak of the last two seconds.");
    ui.label(figures);
}
