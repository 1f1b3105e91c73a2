//! `score`: a reading held against what was recorded.

use super::bench::with_bench;
use super::decode::Decoded;
use super::outputs::Outputs;
use super::stretch::{self, Stretch};
use super::{Failure, args, input, output, summary, table::table};
use crate::export::{self, Summary};
use crate::picture::glyph;
use crate::settings::Knob;
use crate::signal::Traces;
use crate::study::{self, Found, Miss, Pairing, Score};
use crate::tape::TrueCharacter;
use crate::units;
use clap::{Arg, ArgAction, ArgMatches, Command};
use std::fs;
use std::path::Path;

/// How many misses are listed.
const LISTED: usize = 10;
/// Greatest size of a truth, in mebibytes: that of the longest tape has some tens.
const MOST_MIB: u64 = 256;

pub(super) fn command() -> Command {
    let command = Command::new("score")
        .about("Compare what is read with what was recorded")
        .arg(args::file().required(true))
        .arg(
            args::named("truth", "FILE", "What was recorded: the JSON that 'tape' wrote, or a plain file of bytes")
                .required(true),
        )
        .args(Stretch::args_of_reading())
        .arg(
            Arg::new("json")
                .long("json")
                .action(ArgAction::SetTrue)
                .help("Print the counts and every character that is not right as JSON"),
        )
        .after_help(format!(
            "Characters are paired by the time at which they begin, or by their order where the\n\
             times do not fit or none are known. The first ten that are not right are listed, then\n\
             the counts of bytes, of faults and the margins. The exit code is 0 when every byte is\n\
             right, with a fault or without, and 1 otherwise.\n\n\
             {}\n\
             A plain file of bytes is what this stretch is to hold.",
            stretch::HELP
        ));
    with_bench(command, Knob::shapes_a_reading)
}

pub(super) fn run(matches: &ArgMatches) -> Result<(), Failure> {
    let path = args::path(matches, "truth");
    Outputs::of(matches)?.reads(path, "the truth that is read")?;
    refuse_the_recording(args::path(matches, "file"), path)?;
    let truth = Truth::read(path)?;
    let stretch = Stretch::of(matches)?;
    let decoded = Decoded::of(matches)?;
    let part = stretch.cut(&decoded)?;
    let score = match truth {
        Truth::Timed(truth) => study::score(&truth, &decoded.traces.characters, stretch.range_s()),
        Truth::Bytes(bytes) => {
            let score = study::score_bytes(&bytes, &part.characters);
            score.ok_or_else(|| too_far(&decoded.about.name, path))?
        }
    };
    if matches.get_flag("json") {
        output::print(&export::score(&score, &part))?;
    } else {
        output::print(&text(&score, &part))?;
    }
    match score.is_perfect() {
        true => Ok(()),
        false => Err(Failure::Failed(failing(&score))),
    }
}

/// What was recorded.
enum Truth {
    Timed(Vec<TrueCharacter>),
    Bytes(Vec<u8>),
}

impl Truth {
    fn read(path: &Path) -> Result<Self, Failure> {
        let bytes = input::bytes(path, MOST_MIB)?;
        if bytes.is_empty() {
            return Err(Failure::Failed(format!(
                "{} holds nothing to compare with.",
                path.display()
            )));
        }
        let timed = match str::from_utf8(&bytes) {
            Ok(text) => export::read_truth(text),
            Err(_) => Err("it is no text".into()),
        };
        match timed {
            Ok(truth) => Ok(Self::Timed(truth)),
            Err(e)
                if path
                    .extension()
                    .is_some_and(|e| e.eq_ignore_ascii_case("json")) =>
            {
                Err(Failure::Failed(format!(
                    "{} is no truth about a tape: {e}.",
                    path.display()
                )))
            }
            Err(_) => Ok(Self::Bytes(bytes)),
        }
    }
}

fn refuse_the_recording(recording: &Path, truth: &Path) -> Result<(), Failure> {
    let [recording, same] = [recording, truth].map(fs::canonicalize);
    match recording.is_ok_and(|r| same.is_ok_and(|s| s == r)) {
        true => Err(Failure::Usage(format!(
            "{} is the recording itself; --truth names what was recorded on it.",
            truth.display()
        ))),
        false => Ok(()),
    }
}

fn too_far(recording: &str, truth: &Path) -> Failure {
    Failure::Failed(format!(
        "What is read of {recording} and {} have too little in common to be paired; --from and \
         --span choose the part of the recording that the file is about.",
        truth.display()
    ))
}

/// The first misses, the counts and the margins.
fn text(score: &Score, part: &Traces) -> String {
    let blocks = study::blocks(&part.characters).len();
    let counts = summary::counts(&Summary::of(part), blocks);
    format!(
        "{}{}\n{}\n",
        misses(score),
        verdict(score),
        counts.join("\n")
    )
}

/// How many bytes are right, and how many of those have a fault.
fn verdict(score: &Score) -> String {
    let by = match score.paired_by {
        Pairing::Time => "time",
        Pairing::Order => "order",
    };
    let recorded = score.recorded();
    let faults = match score.right_with_faults {
        0 => String::new(),
        n => format!(", {n} with a fault"),
    };
    if !score.is_perfect() {
        return format!(
            "{} of {} right{faults}: {} wrong, {} missing, {} extra (paired by {by}).",
            score.right,
            bytes_are(recorded),
            score.wrong(),
            score.missing(),
            score.extra()
        );
    }
    match recorded {
        0 => "Nothing was recorded here, and nothing is read.".into(),
        1 => format!("The one byte is right{faults} (paired by {by})."),
        n => format!("All {n} bytes are right{faults} (paired by {by})."),
    }
}

fn bytes_are(n: usize) -> String {
    let verb = if n == 1 { "is" } else { "are" };
    format!("{} {verb}", units::counted(n, "byte"))
}

/// Why the exit code is not 0.
fn failing(score: &Score) -> String {
    let (recorded, extra) = (score.recorded(), score.extra());
    match (recorded - score.right, extra) {
        (0, _) => format!("{} too many.", units::counted(extra, "byte")),
        (n, 0) => format!("{n} of {} not right.", bytes_are(recorded)),
        (n, _) => format!(
            "{n} of {} not right, and {extra} too many.",
            bytes_are(recorded)
        ),
    }
}

/// The first misses, and how many more there are.
fn misses(score: &Score) -> String {
    if score.is_perfect() {
        return String::new();
    }
    let head = ["time", "expected", "seen"].map(String::from);
    let rows = score.misses.iter().take(LISTED).map(row);
    let rows: Vec<_> = std::iter::once(head).chain(rows).collect();
    let mut text = table("", &rows);
    let more = score.misses.len().saturating_sub(LISTED);
    if more > 0 {
        text.push_str(&format!("... and {more} more\n"));
    }
    text
}

fn row(miss: &Miss) -> [String; 3] {
    let byte = |value: u8| {
        format!("{value:02X} {}", glyph(value))
            .trim_end()
            .to_owned()
    };
    let nothing = || String::from("-");
    let [expected, seen] = match miss.found {
        Found::Wrong { expected, seen } => [byte(expected), byte(seen)],
        Found::Missing { expected } => [byte(expected), nothing()],
        Found::Extra { seen } => [nothing(), byte(seen)],
    };
    let time = miss.at_s.map_or_else(nothing, units::clock);
    [time, expected, seen]
}
