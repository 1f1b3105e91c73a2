//! Presets, bench files and knob flags.

use crate::desk::{Desk, LOG};
use pulsewright::settings::{KNOBS, read_bench};
use std::fs;

#[test]
fn a_flag_goes_over_the_bench_file_and_that_over_the_preset() {
    let desk = Desk::new();
    fs::write(
        desk.path("mine.toml"),
        "[framer]\nrate = 600\nparity = \"even\"\n",
    )
    .unwrap();
    let bench = |args: &[&str]| read_bench(desk.run(&[&["bench"], args].concat()).text()).unwrap();
    let preset = bench(&["--preset", "1200bd"]);
    assert_eq!(
        (preset.framer.rate_bd, preset.long.width_s),
        (1200.0, 920e-6)
    );
    let both = bench(&["--bench", "mine.toml", "--preset", "1200BD"]);
    assert_eq!((both.framer.rate_bd, both.long.width_s), (600.0, 920e-6));
    let all = [
        "--framer-rate",
        "110",
        "--bench",
        "mine.toml",
        "--preset",
        "1200bd",
    ];
    assert_eq!(bench(&all).framer.rate_bd, 110.0);
    assert_eq!(bench(&all).framer.parity, both.framer.parity);
}

#[test]
fn a_printed_bench_reads_as_well_as_its_flags() {
    let desk = Desk::new();
    desk.tape("log.wav", LOG.as_bytes(), |s| s.rate_bd = 1200.0);
    let printed = desk.run(&["bench", "--preset", "1200bd"]);
    fs::write(desk.path("mine.toml"), printed.text()).unwrap();
    let read = |args: &[&str]| desk.run(&[&["read", "log.wav"], args].concat()).out;
    let listing = read(&["--preset", "1200bd"]);
    assert_eq!(read(&["--bench", "mine.toml"]), listing);
    assert!(
        String::from_utf8(listing.clone())
            .unwrap()
            .contains("SALTMERE 06:40")
    );
    assert_ne!(read(&[]), listing);
}

#[test]
fn a_bench_goes_to_a_file() {
    let desk = Desk::new();
    let args = ["bench", "--long-width", "920us"];
    let printed = desk.run(&args).out;
    let to_file = [&args[..], &["--out", "mine.toml"]].concat();
    let ran = desk.run(&to_file);
    assert_eq!(ran.text(), "");
    assert_eq!(fs::read(desk.path("mine.toml")).unwrap(), printed);
    let to_standard = [&args[..], &["--out", "-"]].concat();
    assert_eq!(desk.run(&to_standard).out, printed);

    fs::write(desk.path("mine.toml"), "").unwrap();
    desk.run(&to_file).refused(1, "--replace");
    assert_eq!(fs::read(desk.path("mine.toml")).unwrap(), b"");
    assert_eq!(desk.run(&[&to_file[..], &["--replace"]].concat()).code, 0);
    assert_eq!(fs::read(desk.path("mine.toml")).unwrap(), printed);

    // Not over the bench that it begins with, by whatever name and whatever is asked for.
    let over = [
        "bench",
        "--bench",
        "mine.toml",
        "--out",
        "./mine.toml",
        "--replace",
    ];
    desk.run(&over).refused(2, "the bench that is read");
    assert_eq!(fs::read(desk.path("mine.toml")).unwrap(), printed);
}

#[test]
fn every_knob_is_a_flag_and_stands_in_the_table() {
    let desk = Desk::new();
    let table = desk.run(&["knobs"]);
    for knob in KNOBS {
        let flag = format!("--{}", knob.id());
        let row = table
            .text()
            .lines()
            .position(|l| l.trim_start().starts_with(&format!("{flag} ")));
        let rest: Vec<_> = table.text().lines().skip(row.unwrap()).take(2).collect();
        assert!(rest[0].contains(&knob.takes()) && rest[1].trim() == knob.help);
        let value = knob.show(knob.default());
        assert_eq!(
            desk.run(&["bench", &flag, &value]).code,
            0,
            "{flag} {value}"
        );
    }
}

#[test]
fn values_are_taken_as_people_write_them() {
    let desk = Desk::with_log();
    let settings = |args: &[&str]| {
        let run = desk.run(&[&["read", "log.wav", "--json"], args].concat());
        run.json()["settings"].clone()
    };
    let given = settings(&[
        "--short-width",
        "0.6ms",
        "--squarer-reference",
        "-20mV",
        "--input-high-pass=16Hz",
        "--framer-stop-bits",
        "2",
        "--source-channel",
        "sum",
    ]);
    assert_eq!(given["short"]["width"], 0.6e-3);
    assert_eq!(given["squarer"]["reference"], -0.02);
    assert_eq!(given["input"]["high-pass"], 16.0);
    assert_eq!(given["framer"]["stop-bits"], "2");
    assert_eq!(given["framer"]["data-bits"], 8);
    assert_eq!(given["source"]["channel"], "sum");
    assert_eq!(settings(&[])["input"]["high-pass"], "off");
    let stages: Vec<_> = given.as_object().unwrap().keys().cloned().collect();
    assert_eq!(stages.len(), 6);
}

#[test]
fn a_value_that_does_not_fit_is_wrong_usage() {
    let desk = Desk::with_log();
    for (flag, value, says) in [
        (
            "--short-width",
            "wide",
            "short-width: 'wide' is not a value in s; write it like 589us or 1.1ms.\n",
        ),
        (
            "--short-width",
            "2s",
            "short-width: '2s' is out of range; it takes 1 µs to 100 ms.\n",
        ),
        (
            "--framer-parity",
            "perhaps",
            "framer-parity: 'perhaps' is not one of none, even, odd, mark or space.\n",
        ),
        ("--preset", "2400bd", "2400bd"),
        ("--shrt-width", "1ms", "--short-width"),
        ("--tape-rate", "300", "--tape-rate"),
    ] {
        desk.run(&["read", "log.wav", flag, value]).refused(2, says);
    }
}

#[test]
fn a_bench_file_that_does_not_fit_is_refused() {
    let desk = Desk::with_log();
    fs::write(desk.path("bad.toml"), "[short]\nwidth = \"wide\"\n").unwrap();
    fs::write(desk.path("torn.toml"), "[short\n").unwrap();
    fs::write(desk.path("raw.toml"), [0xFF, 0xFE, 0x00]).unwrap();
    for (name, says) in [
        ("bad.toml", "bad.toml does not fit: short-width"),
        ("torn.toml", "Line 1"),
        ("raw.toml", "raw.toml"),
        (
            "none.toml",
            "none.toml cannot be read: No such file or directory.",
        ),
    ] {
        desk.run(&["read", "log.wav", "--bench", name])
            .refused(1, says);
    }
}
