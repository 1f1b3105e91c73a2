//! The sentence for a change.

use super::Tally;
use crate::settings::{Bench, Knob, STAGES};
use crate::units;

/// What to set, and what it does by count.
pub(super) fn sentence(
    changed: &[&'static Knob],
    before_bench: &Bench,
    after_bench: &Bench,
    before: &Tally,
    after: &Tally,
) -> String {
    let change = |knob: &&'static Knob| {
        format!(
            "the {}'s {} to {} (now {})",
            stage(knob),
            words(knob),
            knob.show_in(after_bench),
            knob.show_in(before_bench)
        )
    };
    let changes: Vec<String> = changed.iter().map(change).collect();
    let changes = match changes.split_last() {
        Some((last, rest)) if !rest.is_empty() => format!("{} and {last}", rest.join(", ")),
        _ => changes.concat(),
    };
    format!("Set {changes}: {}.", gain(before, after))
}

/// The knob's name as a person says it: data bits, but high-pass.
fn words(knob: &Knob) -> String {
    match knob.name.strip_suffix("-pass") {
        Some(_) => knob.name.into(),
        None => knob.name.replace('-', " "),
    }
}

fn stage(knob: &Knob) -> String {
    let title = STAGES.iter().find(|s| s.0 == knob.stage);
    title.map_or(knob.stage.to_owned(), |s| s.1.to_lowercase())
}

fn gain(before: &Tally, after: &Tally) -> String {
    let of = |tally: &Tally| match tally.characters {
        0 => "none".into(),
        all => format!("{} of {all}", tally.sound),
    };
    if after.sound > before.sound || after.characters < before.characters {
        return format!(
            "{} characters are then without a fault, instead of {}",
            of(after),
            of(before)
        );
    }
    let margin = |tally: &Tally| {
        let least = tally.least_margin_percent;
        least.map_or("none".into(), units::percent)
    };
    format!(
        "the least margin is then {} of a bit instead of {}, and {} characters are without a fault \
         as before",
        margin(after),
        margin(before),
        of(after)
    )
}
