//! `tape`: bytes to a recording.

use super::bench::{bench, with_bench};
use super::{Failure, args, input, output};
use crate::settings::TapeSettings;
use crate::{export, tape, units};
use clap::{Arg, ArgGroup, ArgMatches, Command, value_parser};
use std::path::PathBuf;

/// The most samples of a generated tape, over three hours at 48 kHz: they are held in memory.
const MOST_SAMPLES: f64 = 6e8;

pub(super) fn command() -> Command {
    let command = Command::new("tape")
        .about("Record bytes as two-tone audio")
        .arg(
            Arg::new("text")
                .long("text")
                .value_name("TEXT")
                .allow_hyphen_values(true)
                .help("Text to record, in UTF-8"),
        )
        .arg(
            Arg::new("file")
                .long("file")
                .value_name("FILE")
                .value_parser(value_parser!(PathBuf))
                .value_hint(clap::ValueHint::FilePath)
                .help("File with the bytes to record; - is standard input"),
        )
        .group(ArgGroup::new("bytes").args(["text", "file"]).required(true))
        .arg(args::out(
            "OUT",
            "WAV file to write, 16 bits; - is standard output",
        ));
    with_bench(command, |knob| {
        knob.stage == "tape" || knob.id() == "source-full-scale"
    })
}

pub(super) fn run(matches: &ArgMatches) -> Result<(), Failure> {
    let bench = bench(matches)?;
    let bytes = bytes(matches)?;
    refuse_endless(&bytes, &bench.tape)?;
    let recording = tape::record(&bytes, &bench.tape);
    let wav = export::wav(&recording, bench.source.full_scale_v)?;
    output::deliver(args::path(matches, "out"), &wav)
}

fn bytes(matches: &ArgMatches) -> Result<Vec<u8>, Failure> {
    match matches.get_one::<String>("text") {
        Some(text) => Ok(text.clone().into_bytes()),
        None => input::bytes(args::path(matches, "file")),
    }
}

fn refuse_endless(bytes: &[u8], settings: &TapeSettings) -> Result<(), Failure> {
    let length_s: f64 = tape::layout(bytes, settings).map(|s| s.length_s).sum();
    let most_s = MOST_SAMPLES / f64::from(settings.sample_rate_hz);
    if length_s > most_s {
        return Err(Failure::Failed(format!(
            "A tape of {} is too long, at this sample rate it may last {}: record the bytes in parts.",
            units::clock(length_s),
            units::clock(most_s)
        )));
    }
    Ok(())
}
