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
        .arg(quantity("width", Unit::Seconds, "Width to reach: 589us"))
        .arg(quantity("resistor", Unit::Ohms, "Timing resistor: 22k"))
        .arg(quantity(
            "capacitor",
            Unit::Farads,
            "Timing capacitor: 100n",
        ))
        .after_help(
            "Two of the three give the third: the timing resistor, the nearest of E24, or the timing\n\
             capacitor, the nearest of E12 (IEC 60063), and the width that it gives. With none of\n\
             them: the timing formulas and where they stand. A capacitor below the least for which\n\
             a type's formula is stated is said to be so.",
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
        (Some(width_s), None, Some(c_farad)) => resistors(width_s, c_farad),
        (Some(width_s), Some(r_ohm), None) => capacitors(width_s, r_ohm),
        (None, Some(r_ohm), Some(c_farad)) => widths(r_ohm, c_farad),
        (None, None, None) => formulas(),
        (Some(_), Some(_), Some(_)) => {
            return Err(Failure::Usage(
                "Two of --width, --resistor and --capacitor give the third: leave one out.".into(),
            ));
        }
        _ => {
            return Err(Failure::Usage(
                "One part gives nothing by itself: add a second of --width, --resistor and \
                 --capacitor."
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

/// What there is to say about a part type with a timing capacitor.
fn remarks(part: &PartType, c_farad: f64) -> String {
    match part.is_stated_for(c_farad) {
        true => part.about.into(),
        false => format!(
            "beyond its range: {} is less than the {} that its formula is stated from; {}",
            units::show_digits(c_farad, Unit::Farads, 3),
            units::show(part.least_farad, Unit::Farads),
            part.about
        ),
    }
}

fn off_by(reached_s: f64, width_s: f64) -> String {
    format!("{:+.1}%", (reached_s / width_s - 1.0) * 100.0)
}

fn resistors(width_s: f64, c_farad: f64) -> String {
    let heading = ["part", "resistor", "E24", "width", "off by", "remarks"];
    by_part(heading, |part| {
        let exact = part.resistor_ohm(width_s, c_farad);
        let e24 = exact.and_then(|r| preferred::nearest(&preferred::E24, r));
        let found = exact.zip(e24).map(|(exact, e24)| {
            let reached_s = part.width_s(e24, c_farad);
            [
                units::show_digits(exact, Unit::Ohms, 3),
                units::show(e24, Unit::Ohms),
                units::show_digits(reached_s, Unit::Seconds, 4),
                off_by(reached_s, width_s),
            ]
        });
        let none = || ["none", "", "", ""].map(String::from);
        let [exact, e24, reached, off] = found.unwrap_or_else(none);
        let remarks = remarks(part, c_farad);
        [part.name.into(), exact, e24, reached, off, remarks]
    })
}

fn capacitors(width_s: f64, r_ohm: f64) -> String {
    let heading = ["part", "capacitor", "E12", "width", "off by", "remarks"];
    by_part(heading, |part| {
        let exact = part.capacitor_farad(width_s, r_ohm);
        // It lies above 0 and is finite, as the values that give it.
        let e12 = preferred::nearest(&preferred::E12, exact).unwrap_or(exact);
        let reached_s = part.width_s(r_ohm, e12);
        [
            part.name.into(),
            units::show_digits(exact, Unit::Farads, 3),
            units::show_digits(e12, Unit::Farads, 3),
            units::show_digits(reached_s, Unit::Seconds, 4),
            off_by(reached_s, width_s),
            remarks(part, e12),
        ]
    })
}

fn widths(r_ohm: f64, c_farad: f64) -> String {
    by_part(["part", "width", "remarks"], |part| {
        [
            part.name.into(),
            units::show_digits(part.width_s(r_ohm, c_farad), Unit::Seconds, 5),
            remarks(part, c_farad),
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
