//! Why a command line does not fit, in one sentence.

use super::failure::Failure;
use super::near::near;
use super::{VERBS, args};
use crate::units;
use clap::Command;
use clap::error::{ContextKind, ContextValue, ErrorKind};
use std::error::Error as _;
use std::ffi::OsString;
use std::path::Path;

/// Why the arguments do not fit.
pub(super) fn refusal(args: &[OsString], error: &clap::Error) -> Failure {
    let program = args::program();
    let first = args.get(1).map(|word| word.to_string_lossy());
    let verb = first.as_deref().filter(|word| is_verb(word));
    let command = verb.and_then(|verb| program.find_subcommand(verb));
    if let (None, Some(word)) = (command, &first)
        && !word.starts_with('-')
        && !Path::new(&**word).exists()
    {
        return Failure::Usage(no_command(word));
    }
    let misplaced = args.iter().skip(2).map(|word| word.to_string_lossy());
    if let (None, ErrorKind::ArgumentConflict, Some(word)) = (
        command,
        error.kind(),
        misplaced.into_iter().find(|w| is_verb(w)),
    ) {
        return Failure::Usage(format!("The command comes first: pulsewright {word} ..."));
    }
    let line = Line {
        program: &program,
        command: command.unwrap_or(&program),
        verb,
    };
    Failure::Usage(line.sentence(error))
}

/// Whether a word is the name of a command.
pub(super) fn is_verb(word: &str) -> bool {
    VERBS.iter().any(|v| (v.command)().get_name() == word)
}

/// What stands in the place of a command may be the file to open.
fn no_command(word: &str) -> String {
    let verbs: Vec<_> = VERBS.iter().map(|v| (v.command)()).collect();
    let near = near(word, verbs.iter().map(Command::get_name));
    let then = match near.first() {
        Some(verb) => format!("did you mean {verb}?"),
        None => "'pulsewright --help' lists the commands.".into(),
    };
    format!("'{word}' is neither a command nor a file; {then}")
}

/// A command line that does not fit.
struct Line<'a> {
    program: &'a Command,
    command: &'a Command,
    verb: Option<&'a str>,
}

impl Line<'_> {
    fn sentence(&self, error: &clap::Error) -> String {
        let texts = |kind| texts(error.get(kind));
        let text = |kind| texts(kind).into_iter().next().unwrap_or_default();
        let arg = bare(&text(ContextKind::InvalidArg));
        let value = text(ContextKind::InvalidValue);
        match error.kind() {
            ErrorKind::UnknownArgument | ErrorKind::InvalidSubcommand => self.unknown(&arg),
            ErrorKind::InvalidValue if value.is_empty() => self.needs_value(&arg),
            ErrorKind::InvalidValue => no_such_word(&arg, &value, &texts(ContextKind::ValidValue)),
            ErrorKind::ValueValidation => {
                let why = error.source().map(ToString::to_string);
                let why = why.unwrap_or_else(|| format!("'{value}' does not fit"));
                ended(format!("{arg}: {why}"))
            }
            ErrorKind::ArgumentConflict => {
                let other = texts(ContextKind::PriorArg);
                match other.first().map(|other| bare(other)) {
                    Some(other) if other != arg => {
                        format!("{arg} and {other} do not go together; give one of them.")
                    }
                    _ => format!("{arg} is given twice; give it once."),
                }
            }
            ErrorKind::MissingRequiredArgument => self.missing(&texts(ContextKind::InvalidArg)),
            ErrorKind::TooManyValues => format!("{arg} takes no value; leave '{value}' out."),
            ErrorKind::InvalidUtf8 => {
                "An argument is not text in UTF-8; write it with other characters.".into()
            }
            _ => format!("The command line is not understood; {}.", self.help()),
        }
    }

    /// Where the help on this command is.
    fn help(&self) -> String {
        match self.verb {
            Some(verb) => format!("'pulsewright {verb} --help' lists what it takes"),
            None => "'pulsewright --help' lists the commands".into(),
        }
    }

    fn unknown(&self, word: &str) -> String {
        let Some(flag) = word.strip_prefix("--") else {
            return self.unexpected(word);
        };
        let who = self.verb.unwrap_or("pulsewright");
        let none = format!("'{who}' has no --{flag}");
        let meant = meant(flag, self.command);
        if !meant.is_empty() {
            return format!("{none}; did you mean {}?", units::one_of(&meant));
        }
        let with_it = self.program.get_subcommands();
        let with_it = with_it.filter(|c| flags(c).any(|f| f == flag));
        let others: Vec<_> = with_it.map(|c| format!("'{}'", c.get_name())).collect();
        match others.is_empty() {
            true => format!("{none}; {}.", self.help()),
            false => format!("{none}, which is for {}.", units::one_of(&others)),
        }
    }

    /// A word too many, or a short flag that is not known.
    fn unexpected(&self, word: &str) -> String {
        format!("'{word}' does not belong here; {}.", self.help())
    }

    fn needs_value(&self, arg: &str) -> String {
        let flag = arg.trim_start_matches('-');
        let args = self.command.get_arguments();
        let help = args
            .filter(|a| a.get_long() == Some(flag))
            .find_map(|a| a.get_help());
        match help {
            Some(help) => ended(format!("{arg} needs a value: {help}")),
            None => format!("{arg} needs a value; {}.", self.help()),
        }
    }

    fn missing(&self, args: &[String]) -> String {
        let who = self.verb.unwrap_or("pulsewright");
        let needed = |arg: &String| match arg.trim_matches(['<', '>']) {
            inner if inner.contains('|') => {
                let choice: Vec<_> = inner.split('|').map(bare).collect();
                units::one_of(&choice)
            }
            inner => inner
                .trim_end_matches("...")
                .trim_end_matches('>')
                .replace('<', ""),
        };
        let needed: Vec<_> = args.iter().map(needed).collect();
        format!("'{who}' needs {}; {}.", needed.join(" and "), self.help())
    }
}

/// The flags of a command that may have been meant by one that it has not: those that end or begin
/// with it, as `--input-gain` does with `--gain`, or else those that differ by a slip.
fn meant(flag: &str, command: &Command) -> Vec<String> {
    let is_part = |f: &&str| {
        let rest = f.strip_suffix(flag).map(|rest| rest.ends_with('-'));
        rest.or_else(|| f.strip_prefix(flag).map(|rest| rest.starts_with('-'))) == Some(true)
    };
    let mut found: Vec<&str> = flags(command).filter(is_part).collect();
    if found.is_empty() {
        found = near(flag, flags(command));
        found.truncate(1);
    }
    if found.is_empty() {
        // A slip in the knob's own name: --histeresis.
        let ends = |f: &&str| {
            let tail = f.split_once('-').map(|t| t.1);
            tail.is_some_and(|tail| !near(flag, std::iter::once(tail)).is_empty())
        };
        found = flags(command).filter(ends).collect();
    }
    found.iter().map(|f| format!("--{f}")).collect()
}

fn flags(command: &Command) -> impl Iterator<Item = &str> {
    command.get_arguments().filter_map(clap::Arg::get_long)
}

fn no_such_word(arg: &str, value: &str, words: &[String]) -> String {
    let near = near(value, words.iter().map(String::as_str));
    let then = match near.first() {
        Some(word) => format!("did you mean {word}?"),
        None => format!("it takes {}.", units::one_of(words)),
    };
    format!("{arg}: there is no '{value}'; {then}")
}

/// An argument without the name of its value: `--from` of `--from <TIME>`, `FILE` of `<FILE>`.
fn bare(arg: &str) -> String {
    let word = arg.split([' ', '=']).next().unwrap_or(arg);
    word.trim_end_matches("...")
        .trim_matches(['<', '>', '[', ']'])
        .to_owned()
}

fn ended(sentence: String) -> String {
    match sentence.ends_with(['.', '?']) {
        true => sentence,
        false => sentence + ".",
    }
}

fn texts(value: Option<&ContextValue>) -> Vec<String> {
    match value {
        Some(ContextValue::String(text)) => vec![text.clone()],
        Some(ContextValue::Strings(texts)) => texts.clone(),
        _ => Vec::new(),
    }
}
