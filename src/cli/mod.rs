//! Words to requests to exit codes.
//!
//! One file a command, each with the `command` that describes it and the `run` that does it.

mod args;
mod bench;
mod bench_file;
mod blocks;
mod completions;
mod decode;
mod excerpt;
mod excerpt_samples;
mod failure;
mod help;
mod input;
mod knobs;
#[cfg(feature = "live")]
mod listen;
#[cfg(feature = "live")]
mod listen_text;
mod near;
mod order;
mod output;
mod outputs;
mod parts;
mod picture;
#[cfg(feature = "live")]
mod play;
mod progress;
mod read;
mod refusal;
mod score;
#[cfg(feature = "live")]
mod sound;
mod stretch;
mod summary;
mod table;
mod tape;
mod tape_content;
mod time;
mod traces;
mod view;
mod visible;

use clap::{ArgMatches, Command};
use failure::Failure;
use std::ffi::OsString;
use std::process::ExitCode;

/// A command: its description for the command line, and what does it.
struct Verb {
    command: fn() -> Command,
    run: fn(&ArgMatches) -> Result<(), Failure>,
}

macro_rules! verbs {
    ($($(#[$when:meta])? $module:ident),+ $(,)?) => {
        &[$($(#[$when])? Verb { command: $module::command, run: $module::run }),+]
    };
}

/// The commands in the order in which the help lists them.
const VERBS: &[Verb] = verbs![
    view,
    read,
    picture,
    traces,
    tape,
    score,
    #[cfg(feature = "live")]
    listen,
    #[cfg(feature = "live")]
    play,
    bench_file,
    knobs,
    parts,
    completions,
    help
];

/// Runs the program on the arguments it was started with. Exit codes: 0 done, 1 failed with one
/// sentence on standard error, 2 wrong usage.
pub fn main() -> ExitCode {
    match run(std::env::args_os().collect()) {
        Ok(()) => ExitCode::SUCCESS,
        Err(failure) => {
            output::tell(&format!("pulsewright: {failure}"));
            failure.exit_code()
        }
    }
}

fn run(args: Vec<OsString>) -> Result<(), Failure> {
    let args = order::command_first(args);
    let matches = match args::program().try_get_matches_from(&args) {
        Ok(matches) => matches,
        Err(e) if e.use_stderr() => return Err(refusal::refusal(&args, &e)),
        // What was asked for is the help or the version.
        Err(e) => return output::print(&e.render().to_string()),
    };
    let Some((name, matches)) = matches.subcommand() else {
        return view::run(&matches);
    };
    let verb = VERBS.iter().find(|v| (v.command)().get_name() == name);
    verb.map_or(Ok(()), |v| (v.run)(matches))
}
