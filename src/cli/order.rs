//! Settings before the command, as in `pulsewright --short-width 600us read tape.wav`.

use super::args;
use super::refusal::is_verb;
use clap::{Arg, Command};
use std::ffi::OsString;

/// Puts the flags that stand before the command after it, where all others stand. Without a command
/// the arguments stay as they are.
pub(super) fn command_first(mut args: Vec<OsString>) -> Vec<OsString> {
    let program = args::program();
    let mut at = 1;
    while let Some(flag) = args.get(at).map(|word| word.to_string_lossy()) {
        if is_verb(&flag) {
            args[1..=at].rotate_right(1);
            break;
        }
        at += match arg(&program, &flag) {
            Some(arg) if arg.get_action().takes_values() && !flag.contains('=') => 2,
            Some(_) => 1,
            None => break,
        };
    }
    args
}

/// The argument that a word is the flag of, in any of the commands.
fn arg<'a>(program: &'a Command, flag: &str) -> Option<&'a Arg> {
    let flag = flag.split('=').next().unwrap_or(flag);
    let mut all = program.get_subcommands().flat_map(Command::get_arguments);
    match flag.strip_prefix("--") {
        Some(long) => all.find(|arg| arg.get_long() == Some(long)),
        None => {
            let short = flag.strip_prefix('-')?.chars().next()?;
            all.find(|arg| arg.get_short() == Some(short))
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn flags_before_the_command_go_after_it() {
        for (given, wanted) in [
            (
                "--short-width 1ms read a.wav",
                "read --short-width 1ms a.wav",
            ),
            (
                "--short-width=1ms read a.wav",
                "read --short-width=1ms a.wav",
            ),
            (
                "--json --preset 1200bd read -",
                "read --json --preset 1200bd -",
            ),
            ("-o x.svg picture a.wav", "picture -o x.svg a.wav"),
            // A value may be called like a command.
            ("--bench read read a.wav", "read --bench read a.wav"),
            ("--bench read", "--bench read"),
            ("read --short-width 1ms", "read --short-width 1ms"),
            ("--short-width 1ms a.wav", "--short-width 1ms a.wav"),
            ("a.wav read", "a.wav read"),
            ("--what 1 read a.wav", "--what 1 read a.wav"),
            ("", ""),
        ] {
            let args = |line: &str| -> Vec<OsString> {
                let words = std::iter::once("pulsewright").chain(line.split_whitespace());
                words.map(OsString::from).collect()
            };
            assert_eq!(command_first(args(given)), args(wanted), "{given}");
        }
    }
}
