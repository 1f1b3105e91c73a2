//! `bench`: the settings as a bench file.

use super::bench::{bench, with_bench};
use super::outputs::{self, Outputs};
use super::{Failure, args};
use crate::settings::write_bench;
use clap::{ArgMatches, Command};
use std::path::{Path, PathBuf};

pub(super) fn command() -> Command {
    let command = Command::new("bench")
        .about("Write the settings as a bench file for --bench")
        .arg(args::named("out", "TOML", "File to write [default: standard output]").short('o'))
        .arg(outputs::replace());
    with_bench(command, |_| true)
}

pub(super) fn run(matches: &ArgMatches) -> Result<(), Failure> {
    let out = matches.get_one::<PathBuf>("out");
    let out = out.map_or(Path::new("-"), PathBuf::as_path);
    let mut outputs = Outputs::of(matches)?;
    outputs.writes("out", out)?;
    outputs.save(&[(out, write_bench(&bench(matches)?).as_bytes())])
}
