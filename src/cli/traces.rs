//! `traces`: the edges and characters for other tools.

use super::bench::with_bench;
use super::decode::Decoded;
use super::outputs::{self, Outputs};
use super::stretch::{self, Stretch};
use super::{Failure, args, output};
use crate::export;
use crate::settings::Knob;
use clap::{ArgMatches, Command};

pub(super) fn command() -> Command {
    let command = Command::new("traces")
        .about("Write the traces of all stages as value change dump or table")
        .arg(args::file().required(true))
        .arg(args::out(
            "OUT",
            "File to write, .vcd or .csv; - is CSV on standard output",
        ))
        .args(Stretch::args_of_reading())
        .arg(outputs::replace())
        .after_help(format!(
            "{}\n\
             The edges are those in the stretch, after the level of each trace at its beginning.\n\n\
             VCD (IEEE 1364-2005, timescale 1 ns): squarer, short_one_shot, long_one_shot;\n\
             character [7:0], unknown between characters; start, an event at each start bit;\n\
             fault, high through a character that has one.\n\
             CSV: time_s,trace,level,value,faults,margin_percent,at_s in the order of time.\n\
             Rows of squarer, short_one_shot and long_one_shot have a level, from time_s on; rows\n\
             of character have the rest: time_s is where the line falls for the start bit, at_s\n\
             where that bit begins in the recording.\n\n\
             The VCD stops at the end of the stretch, with that time as its last line. The CSV\n\
             stops with the last edge or character, and so says nothing of what follows it: the\n\
             traces keep their levels from there to the end of the stretch.",
            stretch::HELP
        ));
    with_bench(command, Knob::shapes_a_reading)
}

pub(super) fn run(matches: &ArgMatches) -> Result<(), Failure> {
    let out = args::path(matches, "out");
    let kind = output::kind(out, ["csv", "vcd"])?;
    let stretch = Stretch::of(matches)?;
    let mut outputs = Outputs::of(matches)?;
    outputs.writes("out", out)?;
    let decoded = Decoded::of(matches)?;
    let traces = stretch.cut(&decoded)?;
    let bytes = match kind {
        "csv" => export::csv(&traces),
        _ => export::vcd(&traces),
    };
    outputs.save(&[(out, &bytes)])
}
