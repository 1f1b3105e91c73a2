//! `picture`: the lanes as PNG or SVG.

use super::bench::{bench, with_bench};
use super::excerpt::Excerpt;
use super::outputs::{self, Outputs};
use super::stretch::Stretch;
use super::{Failure, args, input, output, time};
use crate::date::today;
use crate::export;
use crate::picture::{Lane, LaneChoice, PageSpec, Theme, page};
use crate::settings::Knob;
use crate::units::Unit;
use clap::{Arg, ArgAction, ArgMatches, Command};

/// Bits that a picture shows where no span is given: the lead, and three characters with two stop
/// bits each.
const DEFAULT_BITS: f64 = 36.0;
/// Bits of what precedes the first character that a picture shows where no start is given.
const LEAD_BITS: f64 = 2.0;
const SIDE_LIMITS: std::ops::RangeInclusive<u32> = 100..=16_000;

pub(super) fn command() -> Command {
    let flag = |name: &'static str, other: &'static str, help: &'static str| {
        Arg::new(name)
            .long(name)
            .action(ArgAction::SetTrue)
            .conflicts_with(other)
            .help(help)
    };
    let mark = |name: &'static str, help: &'static str| {
        Arg::new(name)
            .long(name)
            .value_name("TIME")
            .value_parser(time::parse)
            .help(help)
    };
    let command = Command::new("picture")
        .about("Draw the traces of all stages and the characters")
        .arg(args::file().required(true))
        .arg(args::out(
            "OUT",
            "Picture to write, .png or .svg; - is SVG on standard output",
        ))
        .args(Stretch::args(
            "Where it begins: 1.5, 1500ms or 1:02.500 [default: the first character]",
            "How much it shows [default: three characters, 120ms at 300 Bd]",
        ))
        .arg(outputs::replace())
        .arg(
            Arg::new("size")
                .long("size")
                .value_name("WxH")
                .value_parser(size)
                .default_value("1600x1000")
                .help("Width and height in points"),
        )
        .arg(
            Arg::new("scale")
                .long("scale")
                .value_name("N")
                .value_parser(args::whole(Unit::One, 1..=8))
                .default_value("1")
                .help("Pixels of a PNG to a point; 2 is fine enough for print"),
        )
        .arg(
            Arg::new("lanes")
                .long("lanes")
                .value_name("LANES")
                .value_parser(LaneChoice::parse)
                .help(format!(
                    "Lanes to draw, of {}; with =N behind one it gets that share of the height \
                     [default: {}]",
                    Lane::ALL.map(Lane::word).join(","),
                    Lane::ALL
                        .map(|l| format!("{}={}", l.word(), l.share()))
                        .join(",")
                )),
        )
        .arg(
            Arg::new("volts")
                .long("volts")
                .value_name("VOLTS")
                .value_parser(LaneChoice::parse_volts)
                .help("Voltage at the top of the source lane [default: one that suits]"),
        )
        .arg(mark("mark-a", "Instant of mark A"))
        .arg(mark("mark-b", "Instant of mark B"))
        .arg(flag("light", "dark", "Draw on light paper [default]"))
        .arg(flag("dark", "light", "Draw on a dark page"));
    with_bench(command, Knob::shapes_a_reading)
}

pub(super) fn run(matches: &ArgMatches) -> Result<(), Failure> {
    let out = args::path(matches, "out");
    let kind = output::kind(out, ["svg", "png"])?;
    let stretch = Stretch::of(matches)?;
    let mut outputs = Outputs::of(matches)?;
    outputs.writes("out", out)?;
    let (file, bench) = (args::path(matches, "file"), bench(matches)?);
    let bits = [DEFAULT_BITS, LEAD_BITS].map(|bits| bits / bench.framer.rate_bd);
    let excerpt = Excerpt::read(&input::origin(file)?, &bench, &stretch, bits)?;
    let (width, height) = *matches
        .get_one::<(u32, u32)>("size")
        .expect("the size has a default");
    let scale = *matches
        .get_one::<u32>("scale")
        .expect("the scale has a default");
    let mut lanes: LaneChoice = matches.get_one("lanes").copied().unwrap_or_default();
    lanes.scale_v = matches.get_one("volts").copied();
    let list = page(&PageSpec {
        name: &excerpt.about.name,
        recording: &excerpt.recording,
        peaks: &excerpt.peaks,
        shaped: excerpt.shaped.as_ref(),
        traces: &excerpt.traces,
        bench: &bench,
        span: excerpt.span,
        lanes,
        marks: ["mark-a", "mark-b"].map(|name| matches.get_one(name).copied()),
        date: &today(),
        width: width as f32,
        height: height as f32,
    });
    let theme = if matches.get_flag("dark") {
        Theme::Dark
    } else {
        Theme::Light
    };
    let picture = match kind {
        "svg" => export::svg(&list, theme).into_bytes(),
        _ => export::png(&list, theme, scale as f32)?,
    };
    outputs.save(&[(out, &picture)])
}

/// Reads `WxH`. The error is a sentence.
fn size(text: &str) -> Result<(u32, u32), String> {
    let sides = text.split_once(['x', 'X', '×']).and_then(|(w, h)| {
        let side = |t: &str| t.trim().parse::<u32>().ok();
        side(w).zip(side(h))
    });
    match sides {
        Some((w, h)) if SIDE_LIMITS.contains(&w) && SIDE_LIMITS.contains(&h) => Ok((w, h)),
        Some(_) => Err(format!(
            "each side takes {} to {} points",
            SIDE_LIMITS.start(),
            SIDE_LIMITS.end()
        )),
        None => Err("write it like 1600x1000".into()),
    }
}
