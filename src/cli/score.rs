//! `score`: a reading held against the truth about a tape.

use super::bench::with_bench;
use super::decode::Decoded;
use super::{Failure, args, input, output, table::table};
use crate::export;
use crate::picture::glyph;
use crate::settings::Knob;
use crate::study::{self, Found, Miss, Pairing, Score};
use crate::units;
use clap::{Arg, ArgAction, ArgMatches, Command};

/// How many misses are listed.
const LISTED: usize = 10;

pub(super) fn command() -> Command {
    let command = Command::new("score")
        .about("Compare what is read with what was recorded")
        .arg(args::file().required(true))
        .arg(args::named("truth", "JSON", "What was recorded, as 'tape' wrote it").required(true))
        .arg(
            Arg::new("json")
                .long("json")
                .action(ArgAction::SetTrue)
                .help("Print the counts and every character that is not right as JSON"),
        )
        .after_help(
            "Characters are paired by the time at which they begin, or by their order where the\n\
             times do not fit. The exit code is 0 when every byte is right and 1 otherwise; the\n\
             first ten that are not right are listed.",
        );
    with_bench(command, Knob::shapes_a_reading)
}

pub(super) fn run(matches: &ArgMatches) -> Result<(), Failure> {
    let path = args::path(matches, "truth");
    let no_truth = |e: String| format!("{} is no truth about a tape: {e}.", path.display());
    let text = String::from_utf8(input::bytes(path)?).map_err(|e| no_truth(e.to_string()))?;
    let truth = export::read_truth(&text).map_err(no_truth)?;
    let decoded = Decoded::of(matches)?;
    let score = study::score(&truth, &decoded.traces.characters);
    if matches.get_flag("json") {
        output::print(export::score(&score).as_bytes())?;
    } else {
        output::print(listing(&score).as_bytes())?;
    }
    if score.is_perfect() {
        output::tell(&format!("All {} bytes are right.", score.right));
        return Ok(());
    }
    let by = match score.paired_by {
        Pairing::Time => "time",
        Pairing::Order => "order",
    };
    Err(Failure::Failed(format!(
        "{} of {} bytes are right: {} wrong, {} missing, {} extra (paired by {by}).",
        score.right,
        truth.len(),
        score.wrong(),
        score.missing(),
        score.extra()
    )))
}

/// The first misses, and how many more there are.
fn listing(score: &Score) -> String {
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
    [units::clock(miss.at_s), expected, seen]
}
