//! `read`: the characters of a recording.

use super::bench::with_bench;
use super::decode::Decoded;
use super::{Failure, args, input, output};
use crate::export::{self, Reading, Summary};
use crate::settings::Knob;
use crate::study::Advice;
use crate::units::{self, Unit};
use clap::{Arg, ArgAction, ArgMatches, Command};
use std::path::PathBuf;

pub(super) fn command() -> Command {
    let command = Command::new("read")
        .about("List the characters of a recording")
        .arg(args::file().required(true))
        .arg(
            args::named("bytes", "OUT", "Write the bytes of all characters to a file, those with faults too; - is standard output, in place of the listing"),
        )
        .arg(
            args::named("records", "OUT", "Write the same bytes as text records: .hex for Intel hexadecimal, .s19 for S-records; - is .hex on standard output"),
        )
        .arg(
            Arg::new("load-address")
                .long("load-address")
                .value_name("ADDRESS")
                .requires("records")
                .value_parser(export::parse_address)
                .help("Address of the first byte in the text records, 0 by default: 0x0280, $0280 or 640"),
        )
        .arg(
            Arg::new("json")
                .long("json")
                .action(ArgAction::SetTrue)
                .help("Print everything as JSON, in place of listing and summary"),
        )
        .after_help(
            "Listing: the time at which a row begins, its characters in hexadecimal, and as text.\n\
             Behind a character stands ! for a framing error, ? for a parity error, _ for a break.\n\
             A row ends at sixteen characters or at a pause. The summary goes to standard error.\n\
             The exit code is 0 when the file was read, whatever faults its characters have.",
        );
    with_bench(command, Knob::shapes_a_reading)
}

pub(super) fn run(matches: &ArgMatches) -> Result<(), Failure> {
    let [bytes, records] = ["bytes", "records"].map(|id| matches.get_one::<PathBuf>(id));
    let json = matches.get_flag("json");
    let to_standard = [bytes, records].into_iter().flatten();
    let to_standard = to_standard.filter(|out| input::is_standard(out)).count();
    if usize::from(json) + to_standard > 1 {
        return Err(Failure::Usage(
            "Standard output takes only one of --json, --bytes - and --records -.".into(),
        ));
    }
    let records = match records {
        Some(out) => Some((out, output::kind(out, ["hex", "s19"])?)),
        None => None,
    };
    let decoded = Decoded::of(matches)?;
    let reading = decoded.reading();
    let values = reading.traces.bytes();
    if let Some((out, kind)) = records {
        let load_address = matches.get_one("load-address").copied().unwrap_or(0);
        let text = match kind {
            "hex" => export::intel_hex(&values, load_address)?,
            _ => export::s_records(&values, load_address)?,
        };
        output::deliver(out, text.as_bytes())?;
    }
    if let Some(out) = bytes {
        output::deliver(out, &values)?;
    }
    let advice = decoded.advice();
    if json {
        return output::print(export::json(&reading, &advice).as_bytes());
    }
    if to_standard == 0 {
        output::print(export::listing(&reading.traces.characters).as_bytes())?;
    }
    output::tell(&summary(&reading, &advice));
    Ok(())
}

/// What there is to say about a reading, for people.
fn summary(reading: &Reading<'_>, advice: &[Advice]) -> String {
    let (about, levels) = (reading.about, reading.levels);
    let volts = |v| units::show_digits(v, Unit::Volts, 3);
    let all = Summary::of(reading.traces);
    let mut lines = vec![
        format!(
            "{}: {}, {}, {}, {}",
            about.name,
            about.format,
            units::counted(about.channels as usize, "channel"),
            units::show(f64::from(about.rate_hz), Unit::Hertz),
            units::clock(about.duration_s())
        ),
        format!(
            "level: peak {}, rms {}, mean {}, {} clipped",
            volts(levels.peak_v),
            volts(levels.rms_v),
            volts(levels.mean_v),
            units::counted(levels.clipped, "sample")
        ),
        format!(
            "{}: {} (!), {} (?), {} (_), {}",
            units::counted(all.characters, "character"),
            units::counted(all.framing_errors, "framing error"),
            units::counted(all.parity_errors, "parity error"),
            units::counted(all.breaks, "break"),
            units::counted(all.false_starts, "false start")
        ),
    ];
    if let (Some(least), Some(median)) = (all.margin_percent.least, all.margin_percent.median) {
        lines.push(format!(
            "margin: smallest {}, typical {} of a bit",
            units::percent(least),
            units::percent(median)
        ));
    }
    lines.extend(advice.iter().map(|a| format!("hint: {}", a.says)));
    lines.extend(about.notes.iter().map(|note| format!("note: {note}")));
    lines.join("\n")
}
