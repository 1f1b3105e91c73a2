//! The axes of the charts: four to eight labels on each, all of one ink.

use crate::picture::{Ink, Theme};
use crate::view::style::colour;
use egui::Rangef;
use egui_plot::{AxisHints, GridInput, GridMark, Plot, PlotUi};
use std::ops::RangeInclusive;

/// An axis has less than so many steps, and at least half as many.
const STEPS: f64 = 8.0;
/// A label of the upright axis this near to its lower end, as a part of its length, would run
/// into those of the other axis.
const CORNER: f64 = 0.04;
/// Points from which on a step shows: all are drawn alike.
const ALWAYS: Rangef = Rangef { min: 0.5, max: 1.0 };

/// What an axis shows.
#[derive(Clone, Copy, Debug)]
pub(super) struct AxisOf {
    /// What stands beside it.
    pub name: &'static str,
    /// The least step, 0 for none: 1 where only whole numbers have a meaning.
    pub least_step: f64,
}

/// Gives a chart its axes, x and y, with grid lines at their labels.
pub(super) fn with_axes<'a>(plot: Plot<'a>, [x, y]: [AxisOf; 2], theme: Theme) -> Plot<'a> {
    let hints = |hints: AxisHints<'a>, of: AxisOf| {
        let hints = hints.label(of.name).label_spacing(ALWAYS);
        hints.tick_label_color(colour(theme, Ink::Text))
    };
    let upright = |mark: GridMark, range: &RangeInclusive<f64>| {
        let above = mark.value - range.start();
        if above < CORNER * (range.end() - range.start()) {
            return String::new();
        }
        label(mark.value, mark.step_size)
    };
    let across = |mark: GridMark, _: &RangeInclusive<f64>| label(mark.value, mark.step_size);
    plot.x_grid_spacer(move |input| marks(input, x.least_step))
        .y_grid_spacer(move |input| marks(input, y.least_step))
        .custom_x_axes(vec![hints(AxisHints::new_x().formatter(across), x)])
        .custom_y_axes(vec![hints(AxisHints::new_y().formatter(upright), y)])
        .grid_spacing(ALWAYS)
        .grid_color(colour(theme, Ink::GridStrong))
        .show_background(false)
        .allow_scroll(false)
        .allow_drag([true, false])
        .allow_zoom([true, false])
        .allow_boxed_zoom(false)
        .allow_axis_zoom_drag(false)
}

/// Holds the view at or above 0 across, where nothing lies below, and between these ends upright.
pub(super) fn hold(plot: &mut PlotUi<'_>, upright: RangeInclusive<f64>) {
    let (from, length) = {
        let bounds = plot.plot_bounds();
        (bounds.min()[0], bounds.width())
    };
    if from < 0.0 {
        plot.set_plot_bounds_x(0.0..=length);
    }
    plot.set_plot_bounds_y(upright);
}

/// Marks at the multiples of a round step.
fn marks(input: GridInput, least_step: f64) -> Vec<GridMark> {
    let (from, to) = input.bounds;
    let step_size = round_step(to - from).max(least_step);
    if !(step_size > 0.0 && step_size.is_finite()) {
        return Vec::new();
    }
    let first = (from / step_size).ceil();
    let mark = |i| GridMark {
        value: (first + f64::from(i)) * step_size,
        step_size,
    };
    (0..STEPS as i32 + 1)
        .map(mark)
        .take_while(|mark| mark.value <= to)
        .collect()
}

/// The least of 1, 2, 2.5 and 5 times a power of ten of which less than [`STEPS`] fill a length.
fn round_step(length: f64) -> f64 {
    let decade = 10f64.powf((length / STEPS).log10().floor());
    let steps = [1.0, 2.0, 2.5, 5.0, 10.0, 20.0].map(|s| s * decade);
    let fits = |step: &f64| length / step < STEPS * (1.0 - 1e-9);
    steps.into_iter().find(fits).unwrap_or(length)
}

/// A number with as many decimals as its step has.
fn label(value: f64, step: f64) -> String {
    let decimals = (0..9).find(|&d| {
        let scaled = step * 10f64.powi(d);
        (scaled - scaled.round()).abs() < 1e-6 * scaled
    });
    // Nothing that is shown as zero is shown below it.
    format!("{:.*}", decimals.unwrap_or(9) as usize, value + 0.0)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn labels(from: f64, to: f64, least_step: f64) -> Vec<String> {
        let input = GridInput {
            bounds: (from, to),
            base_step_size: 1.0,
        };
        let marks = marks(input, least_step);
        marks.iter().map(|m| label(m.value, m.step_size)).collect()
    }

    #[test]
    fn every_length_has_four_to_eight_labels() {
        for i in 0..4000 {
            let length = 1e-3 * 1.005f64.powi(i);
            for from in [0.0, -length / 3.0, 0.37 * length] {
                let count = labels(from, from + length, 0.0).len();
                assert!((4..=8).contains(&count), "{count} from {from} on {length}");
            }
        }
    }

    #[test]
    fn labels_are_round() {
        let all = |from, to, least| labels(from, to, least).join(" ");
        assert_eq!(all(-100.0, 5.0, 0.0), "-100 -80 -60 -40 -20 0");
        assert_eq!(all(0.0, 6.0, 0.0), "0 1 2 3 4 5 6");
        assert_eq!(all(0.0, 1.6, 0.0), "0.00 0.25 0.50 0.75 1.00 1.25 1.50");
        assert_eq!(all(0.0, 1666.0, 0.0), "0 250 500 750 1000 1250 1500");
        assert_eq!(all(0.0, 3.0, 1.0), "0 1 2 3");
        assert_eq!(all(5.0, 5.0, 0.0), "");
    }
}
