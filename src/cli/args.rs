//! The program's command line, and the arguments that several commands share.

use super::{VERBS, view};
use crate::units::{self, Unit};
use clap::{Arg, ArgMatches, Command, value_parser};
use std::ops::RangeInclusive;
use std::path::{Path, PathBuf};

const EXAMPLES: &str = "\
Examples:
  pulsewright saltmere-300.wav                        open a recording in the window
  pulsewright read saltmere-300.wav                   list its characters
  pulsewright read saltmere-300.wav --long-width 2ms  ... through other one-shots
  pulsewright read saltmere-1200.wav --preset 1200bd --bytes log.bin
  pulsewright picture saltmere-300.wav --out lanes.svg --from 5.2 --span 80ms
  pulsewright traces saltmere-300.wav --out lanes.vcd
  pulsewright tape --text \"SALTMERE 06:40 3.2 m\" --out test.wav
  pulsewright tape --pattern all-bytes --wear-speed 3% --wear-white-noise 20 --out worn.wav
  pulsewright score worn.wav --truth worn.wav.json
  pulsewright parts --width 589us --capacitor 100n

Every setting of every stage is a flag, --STAGE-KNOB: see 'pulsewright knobs'.
'pulsewright help words' explains the words, 'pulsewright help json' the JSON.";

/// The whole command line. Without a command it is that of `view`.
pub(super) fn program() -> Command {
    let program = Command::new("pulsewright")
        .version(env!("CARGO_PKG_VERSION"))
        .about(
            "Runs a recording of two-tone cassette audio through a model of the circuit that turns \
             it back into bytes, and shows what every stage puts out.",
        )
        .args_conflicts_with_subcommands(true)
        .disable_help_subcommand(true)
        .subcommands(VERBS.iter().map(|v| (v.command)()))
        .after_help(EXAMPLES);
    view::with_args(program).mut_args(|arg| {
        let hide = !arg.is_positional();
        arg.hide(hide)
    })
}

/// The recording to read.
pub(super) fn file() -> Arg {
    Arg::new("file")
        .value_name("FILE")
        .value_parser(value_parser!(PathBuf))
        .value_hint(clap::ValueHint::FilePath)
        .help("Recording to read; - is standard input")
}

/// The recordings to read.
pub(super) fn files() -> Arg {
    file()
        .num_args(1..)
        .required(true)
        .help("Recordings to read; - is standard input")
}

/// The file to write.
pub(super) fn out(value: &'static str, help: &'static str) -> Arg {
    named("out", value, help).short('o').required(true)
}

/// A file under a flag of this name.
pub(super) fn named(name: &'static str, value: &'static str, help: &'static str) -> Arg {
    Arg::new(name)
        .long(name)
        .value_name(value)
        .value_parser(value_parser!(PathBuf))
        .value_hint(clap::ValueHint::FilePath)
        .help(help)
}

/// The path of an argument that the command line requires.
pub(super) fn path<'a>(matches: &'a ArgMatches, id: &str) -> &'a Path {
    matches
        .get_one::<PathBuf>(id)
        .map_or(Path::new(""), PathBuf::as_path)
}

/// Reads a whole number in a range: `8`, `44.1k`. The error is a sentence.
pub(super) fn whole(
    unit: Unit,
    range: RangeInclusive<u32>,
) -> impl Fn(&str) -> Result<u32, String> + Clone {
    move |text| match units::parse_whole(text, unit) {
        Some(whole) if range.contains(&whole) => Ok(whole),
        _ => {
            let show = |limit: &u32| units::show(f64::from(*limit), unit);
            let (least, most) = (show(range.start()), show(range.end()));
            Err(format!("'{text}' does not fit; it takes {least} to {most}"))
        }
    }
}
