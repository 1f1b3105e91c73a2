//! Preset, bench file and knob flags to a bench.

use super::args;
use super::failure::Failure;
use crate::settings::{Bench, KNOBS, Kind, Knob, PRESETS, Preset, STAGES, read_bench_over};
use crate::source::{self, reason};
use clap::builder::{PossibleValue, PossibleValuesParser, StringValueParser, TypedValueParser};
use clap::{Arg, ArgMatches, Command};
use std::ffi::OsStr;
use std::path::PathBuf;

/// Adds `--preset`, `--bench` and a flag for each knob that the command has a use for.
pub(super) fn with_bench(command: Command, wanted: fn(&Knob) -> bool) -> Command {
    let presets = PRESETS.iter().map(|p| p.name);
    let preset = Arg::new("preset")
        .long("preset")
        .value_name("NAME")
        .value_parser(PossibleValuesParser::new(presets))
        .ignore_case(true)
        .help("Named set of settings to begin with");
    let bench = args::named(
        "bench",
        "FILE",
        "Saved settings (TOML), over those of the preset; knob flags go over both",
    );
    let knobs = KNOBS.iter().filter(|k| wanted(k)).map(flag);
    command.args([preset, bench]).args(knobs)
}

fn flag(knob: &'static Knob) -> Arg {
    let title = STAGES.iter().find(|s| s.0 == knob.stage).map(|s| s.1);
    let takes = knob.takes();
    let default = knob.show(knob.default());
    Arg::new(knob.id())
        .long(knob.id())
        .value_name("VALUE")
        .value_parser(KnobParser(knob))
        .overrides_with(knob.id())
        .hide_possible_values(true)
        .allow_hyphen_values(true)
        .help(format!("{} [{takes}; default {default}]", knob.help))
        .help_heading(title)
}

/// Takes the text as it stands: the knob reads it once the other settings are known.
#[derive(Clone)]
struct KnobParser(&'static Knob);

impl TypedValueParser for KnobParser {
    type Value = String;

    fn parse_ref(
        &self,
        command: &Command,
        arg: Option<&Arg>,
        text: &OsStr,
    ) -> clap::error::Result<String> {
        StringValueParser::new().parse_ref(command, arg, text)
    }

    /// The words of a knob of words, for completions.
    fn possible_values(&self) -> Option<Box<dyn Iterator<Item = PossibleValue> + '_>> {
        match self.0.kind {
            Kind::Words(words) => Some(Box::new(words.iter().map(PossibleValue::new))),
            _ => None,
        }
    }
}

/// Whether the command line says anything of the settings, be it the default itself.
#[cfg(feature = "window")]
pub(super) fn is_given(matches: &ArgMatches) -> bool {
    let knobs = KNOBS.iter().map(Knob::id);
    let mut ids = knobs.chain(["preset".into(), "bench".into()]);
    ids.any(|id| matches.try_contains_id(&id).unwrap_or(false))
}

/// The settings that the command line asks for: defaults, then the preset, then the bench file,
/// then the flags, the later over the earlier; of a flag that is given twice, the last.
pub(super) fn bench(matches: &ArgMatches) -> Result<Bench, Failure> {
    let mut bench = Bench::default();
    let preset = matches.get_one::<String>("preset");
    if let Some(preset) = preset.and_then(|name| Preset::named(name)) {
        preset.apply(&mut bench);
    }
    if let Some(path) = matches.get_one::<PathBuf>("bench") {
        let name = path.display();
        let text = source::read_text(path)
            .map_err(|e| format!("The bench {name} cannot be read: {}.", reason(&e)))?;
        bench = read_bench_over(bench, &text)
            .map_err(|e| format!("The bench {name} does not fit: {e}"))?;
    }
    for knob in KNOBS {
        // A command has flags only for some knobs.
        let given = matches.try_get_one::<String>(&knob.id()).ok().flatten();
        if let Some(text) = given {
            knob.set_text(&mut bench, text)
                .map_err(|e| Failure::Usage(format!("--{e}")))?;
        }
    }
    Ok(bench)
}

#[cfg(all(test, feature = "window"))]
mod tests {
    use super::*;

    #[test]
    fn the_default_is_given_where_it_is_written_down() {
        let given = |args: &[&str]| {
            let command = with_bench(Command::new("view"), Knob::shapes_a_reading);
            is_given(&command.get_matches_from([&["view"], args].concat()))
        };
        assert!(!given(&[]));
        for args in [
            ["--short-width", "589us"],
            ["--preset", "300bd"],
            ["--bench", "deck.toml"],
        ] {
            assert!(given(&args), "{args:?}");
        }
    }
}
