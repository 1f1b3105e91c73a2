//! `help`: a command, or a page of its own.

use super::{Failure, args, near::near, output};
use crate::glossary::WORDS;
use clap::{Arg, ArgMatches, Command};

/// A page that belongs to no single command.
struct Page {
    name: &'static str,
    about: &'static str,
    text: fn() -> String,
}

const PAGES: [Page; 2] = [
    Page {
        name: "words",
        about: "what the words mean: margin, false start, hint ...",
        text: words,
    },
    Page {
        name: "json",
        about: "the fields of all JSON that is written",
        text: || JSON.to_owned(),
    },
];

/// Columns of a page.
const WIDTH: usize = 90;
const JSON: &str = include_str!("help_json.txt");

pub(super) fn command() -> Command {
    let pages = PAGES.map(|page| format!("  {:8}{}", page.name, page.about));
    Command::new("help")
        .about("Explain a command, the words (help words) or the JSON (help json)")
        .arg(
            Arg::new("topic")
                .value_name("TOPIC")
                .help("A command, or one of the pages below"),
        )
        .after_help(format!("Pages:\n{}", pages.join("\n")))
}

pub(super) fn run(matches: &ArgMatches) -> Result<(), Failure> {
    let mut program = args::program();
    program.build();
    let Some(topic) = matches.get_one::<String>("topic") else {
        return output::print(&program.render_help().to_string());
    };
    if let Some(page) = PAGES.iter().find(|page| page.name == topic) {
        return output::print(&(page.text)());
    }
    if let Some(command) = program.find_subcommand_mut(topic) {
        return output::print(&command.render_help().to_string());
    }
    let commands = program.get_subcommands().map(Command::get_name);
    let topics = commands.chain(PAGES.map(|page| page.name));
    let then = match near(topic, topics).first() {
        Some(near) => format!("did you mean {near}?"),
        None => "'pulsewright help help' lists the pages.".into(),
    };
    Err(Failure::Usage(format!(
        "There is no help on '{topic}'; {then}"
    )))
}

fn words() -> String {
    let entry = |(word, meaning): &(&str, &str)| {
        let lines = wrapped(meaning, WIDTH - 4).join("\n    ");
        format!("{word}\n    {lines}\n")
    };
    WORDS.iter().map(entry).collect()
}

/// A text in lines of at most so many columns, broken between words.
fn wrapped(text: &str, columns: usize) -> Vec<String> {
    let mut lines = vec![String::new()];
    for word in text.split_whitespace() {
        let last = lines.len() - 1;
        let line = &mut lines[last];
        match line.is_empty() {
            true => line.push_str(word),
            false if line.chars().count() + 1 + word.chars().count() <= columns => {
                line.push(' ');
                line.push_str(word);
            }
            false => lines.push(word.to_owned()),
        }
    }
    lines
}
