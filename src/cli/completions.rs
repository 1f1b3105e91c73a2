//! `completions`: what a shell wants to know to complete words.

use super::{Failure, args, output};
use clap::{Arg, ArgMatches, Command, value_parser};
use clap_complete::{Shell, generate};

pub(super) fn command() -> Command {
    Command::new("completions")
        .about("Print the completions for a shell")
        .arg(
            Arg::new("shell")
                .value_name("SHELL")
                .value_parser(value_parser!(Shell))
                .required(true)
                .help("Shell to print them for"),
        )
}

pub(super) fn run(matches: &ArgMatches) -> Result<(), Failure> {
    let mut script = Vec::new();
    if let Some(&shell) = matches.get_one::<Shell>("shell") {
        generate(shell, &mut args::program(), "pulsewright", &mut script);
    }
    output::print_bytes(&script)
}
