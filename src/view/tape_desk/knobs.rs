//! The knobs of the tape maker in columns: the form of what is recorded, and wear by its subjects.

use crate::settings::{Bench, Knob, WearSettings, knobs_of};
use crate::view::knob_row::knob_row;
use crate::view::style::bold;
use egui::{Button, RichText, ScrollArea, Ui};

/// The wear with which the second column of it begins.
const SECOND: &str = "azimuth";

/// Draws the knobs.
pub(super) fn knobs(ui: &mut Ui, bench: &mut Bench) {
    let scroll = ScrollArea::vertical().max_height(230.0);
    scroll.id_salt("tape knobs").show(ui, |ui| {
        // Room for the scroll bar.
        ui.set_max_width(ui.available_width() - 8.0);
        ui.columns(3, |columns| {
            let [form, speed, tone] = columns else { return };
            heading(form, "Form", |_| {});
            rows(form, knobs_of("tape"), bench);
            heading(speed, "Wear: speed and drop outs", |_| {});
            rows(speed, knobs_of("wear").take(first_of_second()), bench);
            heading(tone, "Wear: tone and noise", |ui| {
                let worn = bench.wear != WearSettings::default();
                let none = ui.add_enabled(worn, Button::new("No wear").small());
                if none.on_hover_text("Set all wear to off.").clicked() {
                    bench.wear = WearSettings::default();
                }
            });
            rows(tone, knobs_of("wear").skip(first_of_second()), bench);
        });
    });
}

/// How many knobs of wear stand in the first column of it.
fn first_of_second() -> usize {
    knobs_of("wear").take_while(|k| k.name != SECOND).count()
}

/// A heading as high as one with a button, so that the rows of all columns stand in line.
fn heading(ui: &mut Ui, text: &str, beside: impl FnOnce(&mut Ui)) {
    ui.horizontal(|ui| {
        ui.set_min_height(ui.spacing().interact_size.y);
        ui.label(RichText::new(text).family(bold()));
        beside(ui);
    });
}

fn rows(ui: &mut Ui, knobs: impl Iterator<Item = &'static Knob>, bench: &mut Bench) {
    for knob in knobs {
        knob_row(ui, knob, bench, 104.0);
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A knob and what belongs to it begin with the same word, as drop-outs do.
    #[test]
    fn no_group_is_parted_by_the_columns() {
        let names: Vec<_> = knobs_of("wear").map(|k| k.name).collect();
        let at = first_of_second();
        assert!(0 < at && at < names.len());
        let word = |name: &str| name.split('-').next().map(str::to_string);
        let (before, behind) = names.split_at(at);
        for name in behind {
            assert!(before.iter().all(|b| word(b) != word(name)), "{name}");
        }
    }
}
