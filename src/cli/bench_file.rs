//! `bench`: the settings as a bench file.

use super::bench::{bench, with_bench};
use super::{Failure, output};
use crate::settings::write_bench;
use clap::{ArgMatches, Command};

pub(super) fn command() -> Command {
    let command = Command::new("bench").about("Print the settings as a bench file for --bench");
    with_bench(command, |_| true)
}

pub(super) fn run(matches: &ArgMatches) -> Result<(), Failure> {
    output::print(write_bench(&bench(matches)?).as_bytes())
}
