//! Lettering and colours of the window, from the same faces and inks as the pictures.

use crate::picture::{FACES, Ink, Theme};
use egui::{Color32, FontData, FontDefinitions, FontFamily, FontId, Stroke, TextStyle};
use std::sync::Arc;

/// The bold face.
pub fn bold() -> FontFamily {
    FontFamily::Name("bold".into())
}

/// The colour of an ink.
pub fn colour(theme: Theme, ink: Ink) -> Color32 {
    let [r, g, b] = theme.colour(ink);
    Color32::from_rgb(r, g, b)
}

/// Gives the window its faces.
pub fn set_fonts(ctx: &egui::Context) {
    let mut fonts = FontDefinitions::empty();
    let families = [FontFamily::Proportional, bold(), FontFamily::Monospace];
    for (family, face) in families.into_iter().zip(FACES) {
        let name = family.to_string();
        fonts
            .font_data
            .insert(name.clone(), Arc::new(FontData::from_static(face)));
        fonts.families.insert(family, vec![name]);
    }
    ctx.set_fonts(fonts);
    ctx.all_styles_mut(|style| {
        let size = |size, family| FontId::new(size, family);
        style.text_styles = [
            (TextStyle::Small, size(10.5, FontFamily::Proportional)),
            (TextStyle::Body, size(12.5, FontFamily::Proportional)),
            (TextStyle::Button, size(12.5, FontFamily::Proportional)),
            (TextStyle::Heading, size(18.0, bold())),
            (TextStyle::Monospace, size(12.0, FontFamily::Monospace)),
        ]
        .into();
        style.spacing.item_spacing = egui::vec2(6.0, 4.0);
        style.spacing.interact_size.y = 20.0;
        style.spacing.slider_rail_height = 4.0;
        style.interaction.tooltip_delay = 0.4;
    });
}

/// Gives the window the colours of a theme.
pub fn set_theme(ctx: &egui::Context, theme: Theme) {
    let (preference, mut visuals) = match theme {
        Theme::Light => (egui::Theme::Light, egui::Visuals::light()),
        Theme::Dark => (egui::Theme::Dark, egui::Visuals::dark()),
    };
    let ink = |i| colour(theme, i);
    visuals.panel_fill = ink(Ink::Paper);
    visuals.window_fill = ink(Ink::Card);
    visuals.extreme_bg_color = ink(Ink::Card);
    visuals.faint_bg_color = ink(Ink::Grid);
    visuals.window_stroke = Stroke::new(1.0, ink(Ink::Rule));
    visuals.override_text_color = None;
    visuals.selection.bg_fill = ink(Ink::Source).gamma_multiply(0.30);
    visuals.selection.stroke = Stroke::new(1.0, ink(Ink::Source));
    visuals.hyperlink_color = ink(Ink::Source);
    visuals.error_fg_color = ink(Ink::Fault);
    visuals.warn_fg_color = ink(Ink::Short);
    visuals.slider_trailing_fill = true;
    let widgets = &mut visuals.widgets;
    for (widget, fill, rule, text) in [
        (
            &mut widgets.noninteractive,
            Ink::Paper,
            Ink::GridStrong,
            Ink::Text,
        ),
        (&mut widgets.inactive, Ink::Grid, Ink::GridStrong, Ink::Text),
        (&mut widgets.hovered, Ink::GridStrong, Ink::Rule, Ink::Text),
        (&mut widgets.active, Ink::GridStrong, Ink::Text, Ink::Text),
        (&mut widgets.open, Ink::GridStrong, Ink::Rule, Ink::Text),
    ] {
        widget.bg_fill = ink(fill);
        widget.weak_bg_fill = ink(fill);
        widget.bg_stroke = Stroke::new(1.0, ink(rule));
        widget.fg_stroke = Stroke::new(1.2, ink(text));
    }
    ctx.set_theme(preference);
    ctx.set_visuals_of(preference, visuals);
}
