//! What a tape is to hold, from the arguments.

use super::{Failure, args, input, time};
use crate::settings::{Choice, TapeSettings};
use crate::study::hexadecimal;
use crate::tape::{Content, Extent, Pattern, Tone};
use crate::units::Unit;
use clap::builder::PossibleValuesParser;
use clap::{Arg, ArgAction, ArgGroup, ArgMatches, Command, value_parser};
use std::path::PathBuf;

/// Greatest size of a file to record, in mebibytes: more than fits on any tape that can be made.
const MOST_MIB: u64 = 64;

/// Adds the arguments that say what the tape holds.
pub(super) fn with_content(command: Command) -> Command {
    let block = |name: &'static str, value: &'static str, help: &'static str| {
        Arg::new(name)
            .long(name)
            .value_name(value)
            .action(ArgAction::Append)
            .allow_hyphen_values(true)
            .help(help)
    };
    let of_pattern = |name: &'static str, value: &'static str, help: &'static str| {
        Arg::new(name)
            .long(name)
            .value_name(value)
            .requires("pattern")
            .conflicts_with_all(["text", "file", "hex"])
            .help(help)
    };
    command
        .arg(block(
            "text",
            "TEXT",
            "Text to record, in UTF-8; this and the next two may stand more than once, each is a block with a leader",
        ))
        .arg(
            block("file", "FILE", "File with bytes to record; - is standard input")
                .value_parser(value_parser!(PathBuf))
                .value_hint(clap::ValueHint::FilePath),
        )
        .arg(block("hex", "BYTES", "Bytes to record in hexadecimal: 53 41 4C").value_parser(hex))
        .arg(
            Arg::new("pattern")
                .long("pattern")
                .value_name("NAME")
                .value_parser(PossibleValuesParser::new(Pattern::WORDS))
                .conflicts_with_all(["text", "file", "hex"])
                .help("Test pattern to record; the tones (the first three) stand alone, without leader and trailer"),
        )
        .arg(
            of_pattern("for", "TIME", "Length of the pattern: 30, 1500ms or 1:30; 10 s of a tone by default")
                .conflicts_with("count")
                .allow_hyphen_values(true)
                .value_parser(time::parse),
        )
        .arg(
            of_pattern("count", "N", "Bytes of the pattern, or bits of alternating tones; by default every byte once, or 256")
                .allow_hyphen_values(true)
                .value_parser(args::whole(Unit::One, 0..=u32::MAX)),
        )
        .arg(
            of_pattern("value", "BYTE", "Byte that the pattern 'run' repeats, in hexadecimal; 00 by default")
                .value_parser(byte),
        )
        .arg(
            of_pattern("seamless", "", "Make the steady tone one that repeats without a click: whole cycles in whole samples, up to a second longer")
                .action(ArgAction::SetTrue),
        )
        .group(
            ArgGroup::new("content")
                .args(["text", "file", "hex", "pattern"])
                .multiple(true)
                .required(true),
        )
}

/// The content that the arguments ask for.
pub(super) fn content(matches: &ArgMatches, tape: &TapeSettings) -> Result<Content, Failure> {
    match matches.get_one::<String>("pattern") {
        Some(word) => pattern(word, matches, tape),
        None => blocks(matches),
    }
}

/// The blocks in the order in which they were given.
fn blocks(matches: &ArgMatches) -> Result<Content, Failure> {
    let mut blocks: Vec<(usize, Vec<u8>)> = Vec::new();
    for (index, text) in given::<String>(matches, "text") {
        blocks.push((index, text.clone().into_bytes()));
    }
    let files = given::<PathBuf>(matches, "file");
    if files.filter(|f| input::is_standard(f.1)).count() > 1 {
        return Err(Failure::Usage(
            "Standard input can be read only once: give --file - only once.".into(),
        ));
    }
    for (index, path) in given::<PathBuf>(matches, "file") {
        blocks.push((index, input::bytes(path, MOST_MIB)?));
    }
    for (index, bytes) in given::<Vec<u8>>(matches, "hex") {
        blocks.push((index, bytes.clone()));
    }
    blocks.sort_by_key(|b| b.0);
    Ok(Content::Blocks(blocks.into_iter().map(|b| b.1).collect()))
}

/// The values of an argument, each with its place among all arguments.
fn given<'a, T: Clone + Send + Sync + 'static>(
    matches: &'a ArgMatches,
    id: &str,
) -> impl Iterator<Item = (usize, &'a T)> {
    let places = matches.indices_of(id).into_iter().flatten();
    places.zip(matches.get_many::<T>(id).into_iter().flatten())
}

fn pattern(word: &str, matches: &ArgMatches, tape: &TapeSettings) -> Result<Content, Failure> {
    let index = Pattern::WORDS.iter().position(|w| *w == word);
    let pattern = Pattern::from_index(index.unwrap_or(0));
    let steady = matches!(pattern.tone(), Some(Tone::Steady { .. }));
    let extent = match (
        matches.get_one::<f64>("for"),
        matches.get_one::<u32>("count"),
    ) {
        (Some(&length_s), _) => Extent::For(length_s),
        (_, Some(_)) if steady => {
            return Err(Failure::Usage(format!(
                "'{word}' is a steady tone: --for says how long it lasts, --count does not fit."
            )));
        }
        (_, Some(&count)) => Extent::Count(count as usize),
        _ => Extent::Usual,
    };
    let value = matches.get_one::<u8>("value");
    if value.is_some() && pattern != Pattern::Run {
        return Err(Failure::Usage(format!(
            "'{word}' takes no --value; 'run' repeats a byte."
        )));
    }
    let mut content = Content::pattern(pattern, extent, value.copied().unwrap_or(0), tape)?;
    if matches.get_flag("seamless") {
        match &mut content {
            Content::Tone {
                tone: Tone::Steady { loops, .. },
                ..
            } => *loops = true,
            _ => {
                return Err(Failure::Usage(format!(
                    "Only the steady tones 'mark' and 'space' are made --seamless, not '{word}'."
                )));
            }
        }
    }
    Ok(content)
}

fn hex(text: &str) -> Result<Vec<u8>, String> {
    hexadecimal(text).ok_or_else(|| {
        format!(
            "'{text}' is not a row of bytes; write two hexadecimal digits for each, like 53 41 4C"
        )
    })
}

fn byte(text: &str) -> Result<u8, String> {
    match hex(text)?[..] {
        [byte] => Ok(byte),
        _ => Err(format!(
            "'{text}' is not one byte; write two hexadecimal digits"
        )),
    }
}
