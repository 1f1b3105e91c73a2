//! `parts`: timing resistor and capacitor for a width, and the other way round.

use super::{Failure, output, table::table};
use crate::timing::{PART_TYPES, PartType};
use crate::units::{self, Unit, preferred};
use clap::{Arg, ArgMatches, Command};

/// Timing capacitors and widths end well below these.
const MOST_FARADS: f64 = 0.1;
const MOST_SECONDS: f64 = 1000.0;

pub(super) fn command() -> Command {
    let quantity = |name: &'static str, unit: Unit, help: &'static str| {
        Arg::new(name)
            .long(name)
            .value_name("VALUE")
            .value_parser(move |text: &str| positive(text, unit))
            .help(help)
    };
    Command::new("parts")
        .about("Find the timing parts of a one-shot, for every part type")
        .arg(
            quantity("width", Unit::Seconds, "Width to reach: 589us")
                .conflicts_with("resistor")
                .requires("capacitor"),
        )
        .arg(quantity("resistor", Unit::Ohms, "Timing resistor: 22k").requires("capacitor"))
        .arg(quantity(
            "capacitor",
            Unit::Farads,
            "Timing capacitor: 100n",
        ))
        .after_help(
            "With --width and --capacitor: the timing resistor, the nearest of E24 (IEC 60063), and\n\
             the width that it gives. With --resistor and --capacitor: the width. With neither: the\n\
             timing formulas and where they stand.",
        )
}

fn positive(text: &str, unit: Unit) -> Result<f64, String> {
    let value = units::parse(text, unit).map_err(|e| e.to_string())?;
    let most = match unit {
        Unit::Farads => MOST_FARADS,
        Unit::Seconds => MOST_SECONDS,
        _ => f64::INFINITY,
    };
    if value <= 0.0 {
        Err("it must be more than nothing".into())
    } else if value > most {
        Err(format!(
            "{} is far beyond any one-shot's; write the prefix too, as in 100n or 589us",
            units::show(value, unit)
        ))
    } else {
        Ok(value)
    }
}

pub(super) fn run(matches: &ArgMatches) -> Result<(), Failure> {
    let value = |name: &str| matches.get_one::<f64>(name).copied();
    let text = match (value("width"), value("resistor"), value("capacitor")) {
        (Some(width_s), _, Some(c_farad)) => resistors(width_s, c_farad),
        (_, Some(r_ohm), Some(c_farad)) => widths(r_ohm, c_farad),
        (_, _, None) => formulas(),
        (None, None, Some(_)) => {
            return Err(Failure::Usage(
                "A capacitor alone gives no width: add --resistor, or --width for the resistor."
                    .into(),
            ));
        }
    };
    output::print(&text)
}

/// A table under a heading, a row a part type.
fn by_part<const N: usize>(heading: [&str; N], row: impl Fn(&PartType) -> [String; N]) -> String {
    let rows: Vec<_> = std::iter::once(heading.map(str::to_owned))
        .chain(PART_TYPES.iter().map(row))
        .collect();
    table("", &rows)
}

fn resistors(width_s: f64, c_farad: f64) -> String {
    let heading = ["part", "resistor", "E24", "width", "off by", "remarks"];
    by_part(heading, |part| {
        let exact = part.resistor_ohm(width_s, c_farad);
        let e24 = exact.and_then(|r| preferred::nearest(&preferred::E24, r));
        let Some((exact, e24)) = exact.zip(e24) else {
            let none = String::new;
            return [
                part.name.into(),
                "none".into(),
                none(),
                none(),
                none(),
                part.about.into(),
            ];
        };
        let reached_s = part.width_s(e24, c_farad);
        [
            part.name.into(),
            units::show_digits(exact, Unit::Ohms, 3),
            units::show(e24, Unit::Ohms),
            units::show_digits(reached_s, Unit::Seconds, 4),
            format!("{:+.1}%", (reached_s / width_s - 1.0) * 100.0),
            part.about.into(),
        ]
    })
}

fn widths(r_ohm: f64, c_farad: f64) -> String {
    by_part(["part", "width", "remarks"], |part| {
        [
            part.name.into(),
            units::show_digits(part.width_s(r_ohm, c_farad), Unit::Seconds, 5),
            part.about.into(),
        ]
    })
}

fn formulas() -> String {
    by_part(["part", "width", "remarks", "source"], |part| {
        let series = if part.series_ohm > 0.0 {
            format!(" (1 + {}/R)", units::show(part.series_ohm, Unit::Ohms))
        } else {
            String::new()
        };
        [
            part.name.into(),
            format!("{:.3} R C{series}", part.factor),
            part.about.into(),
            part.source.into(),
        ]
    })
}
