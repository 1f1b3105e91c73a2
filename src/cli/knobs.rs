//! `knobs`: the knob table.

use super::{Failure, output, table::table};
use crate::settings::{KNOBS, Knob, PRESETS, STAGES};
use clap::{ArgMatches, Command};

pub(super) fn command() -> Command {
    Command::new("knobs").about("Print all settings: flag, default, what it takes, help")
}

pub(super) fn run(_: &ArgMatches) -> Result<(), Failure> {
    output::print(&text())
}

fn text() -> String {
    let row = |knob: &Knob| {
        let flag = format!("--{}", knob.id());
        [flag, knob.show(knob.default()), knob.takes()]
    };
    let rows: Vec<_> = KNOBS.iter().map(row).collect();
    let table = table("  ", &rows);
    let mut text = String::new();
    for &(stage, title) in STAGES {
        text.push_str(&format!("{title}\n"));
        for (knob, line) in KNOBS.iter().zip(table.lines()) {
            if knob.stage == stage {
                text.push_str(&format!("{line}\n      {}\n", knob.help));
            }
        }
        text.push('\n');
    }
    text.push_str("Presets\n");
    for preset in &PRESETS {
        text.push_str(&format!(
            "  --preset {}\n      {}\n",
            preset.name, preset.help
        ));
    }
    text
}
