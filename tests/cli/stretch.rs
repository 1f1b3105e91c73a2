//! `--from` and `--span`: a part of a recording, read in the context of the whole.

use crate::desk::{Desk, LEADER_S, LOG};
use serde_json::Value;
use std::fs;

/// A character of start, 8 data and 2 stop bits at 300 Bd (BYTE, February 1976).
const CHARACTER_S: f64 = 11.0 / 300.0;

/// When the character of this number begins on the tape of the log, or a part of it later.
fn begins_s(number: f64) -> String {
    (LEADER_S + number * CHARACTER_S).to_string()
}

fn span_s(characters: f64) -> String {
    (characters * CHARACTER_S).to_string()
}

#[test]
fn a_stretch_holds_the_characters_that_begin_in_it() {
    let desk = Desk::with_log();
    // The times are those of the tape maker; half a character on either side is no near thing.
    for (from, span, wanted) in [
        (2.5, 4.0, &LOG[3..7]),
        (-3.0, 3.5, &LOG[..1]),
        (20.5, 1e4, &LOG[21..]),
        (4.4, 0.2, ""),
    ] {
        let stretch = ["--from", &begins_s(from), "--span", &span_s(span)];
        let ran = desk.run(&[&["read", "log.wav", "--bytes", "-"], &stretch[..]].concat());
        assert_eq!(ran.text(), wanted, "{stretch:?}");
    }
    let to_the_end = desk.run(&["read", "log.wav", "--bytes", "-", "--from", &begins_s(9.5)]);
    assert_eq!(to_the_end.text(), &LOG[10..]);
    let from_the_start = desk.run(&["read", "log.wav", "--bytes", "-", "--span", &begins_s(1.5)]);
    assert_eq!(from_the_start.text(), &LOG[..2]);
}

#[test]
fn a_stretch_is_read_as_in_the_whole() {
    let desk = Desk::new();
    // Noise, so that each character has a margin of its own.
    let made = desk.run(&[
        "tape",
        "--text",
        LOG,
        "--wear-white-noise",
        "18",
        "--tape-leader",
        "0.3",
        "--out",
        "worn.wav",
    ]);
    assert_eq!(made.code, 0, "{}", made.err);
    let read = |stretch: &[&str]| {
        let json = desk.run(&[&["read", "worn.wav", "--json"], stretch].concat());
        json.json()
    };
    let whole = read(&[]);
    for (from_s, span_s) in [(0.0, 0.31), (0.317, 0.2), (0.4, 0.0371), (0.5, 9.0)] {
        let part = read(&["--from", &from_s.to_string(), "--span", &span_s.to_string()]);
        let within = |c: &&Value| {
            let at_s = c["at_s"].as_f64().unwrap();
            (from_s..from_s + span_s).contains(&at_s)
        };
        let all = whole["characters"].as_array().unwrap().iter();
        let wanted: Vec<_> = all.filter(within).cloned().collect();
        assert_eq!(part["characters"], Value::from(wanted.clone()));
        assert_eq!(part["summary"]["characters"], wanted.len());
        assert_eq!(part["stretch"]["from_s"], from_s);
        let end_s = whole["stretch"]["to_s"].as_f64().unwrap();
        let to_s = part["stretch"]["to_s"].as_f64().unwrap();
        assert!((to_s - (from_s + span_s).min(end_s)).abs() < 1e-9);
        assert_eq!(part["recording"], whole["recording"]);
    }
}

/// Rows of the table of `traces` but for its head.
fn rows(desk: &Desk, stretch: &[&str]) -> Vec<(f64, String)> {
    let ran = desk.run(&[&["traces", "log.wav", "--out", "-"], stretch].concat());
    let rows = ran.text().lines().skip(1).map(|row| {
        let (time_s, rest) = row.split_once(',').unwrap();
        (time_s.parse().unwrap(), rest.to_owned())
    });
    rows.collect()
}

#[test]
fn the_traces_of_a_stretch_are_those_of_the_whole() {
    let desk = Desk::with_log();
    let (from_s, to_s) = (0.301, 0.402);
    let whole = rows(&desk, &[]);
    let part = rows(&desk, &["--from", "0.301", "--span", "101ms"]);
    // First the level of each trace: that of its last row before.
    for (row, trace) in part
        .iter()
        .zip(["squarer", "short_one_shot", "long_one_shot"])
    {
        let before = whole.iter().rev();
        let mut before = before.filter(|r| r.0 <= from_s && r.1.starts_with(trace));
        assert_eq!((row.0, &row.1), (from_s, &before.next().unwrap().1));
    }
    let is_edge = |row: &&(f64, String)| !row.1.starts_with("character");
    let edges: Vec<_> = part[3..].iter().filter(is_edge).collect();
    let within = |row: &&(f64, String)| row.0 > from_s && row.0 <= to_s;
    let wanted: Vec<_> = whole.iter().filter(is_edge).filter(within).collect();
    assert!(edges.len() > 100);
    assert_eq!(edges, wanted);
    let characters = part.iter().filter(|row| !is_edge(row));
    let at_s = |row: &(f64, String)| row.1.rsplit(',').next().unwrap().parse::<f64>().unwrap();
    let within = |row: &&(f64, String)| !is_edge(row) && (from_s..to_s).contains(&at_s(row));
    assert!(characters.eq(whole.iter().filter(within)));
}

#[test]
fn a_dump_of_a_stretch_begins_where_the_stretch_does() {
    let desk = Desk::with_log();
    let args = ["traces", "log.wav", "--out", "t.vcd", "--from", "0.301"];
    assert_eq!(desk.run(&args).code, 0);
    let dump = fs::read_to_string(desk.path("t.vcd")).unwrap();
    let times = dump.lines().filter_map(|l| l.strip_prefix('#'));
    let times: Vec<u64> = times.filter_map(|t| t.parse().ok()).collect();
    assert_eq!(times[0], 301_000_000);
    assert!(times.is_sorted_by(|a, b| a < b));
}

#[test]
fn a_stretch_that_holds_nothing_is_refused() {
    let desk = Desk::with_log();
    fs::write(desk.path("log.txt"), LOG).unwrap();
    for verb in [
        &["read", "log.wav"][..],
        &["traces", "log.wav", "--out", "t.csv"],
        &["score", "log.wav", "--truth", "log.txt"],
    ] {
        let run = |stretch: [&str; 2]| desk.run(&[verb, &stretch].concat());
        run(["--from", "1:00"]).refused(1, "log.wav ends at 0:01.193");
        run(["--span", "0"]).refused(2, "at least 1 µs");
        run(["--from", "-1"]).refused(2, "not negative");
    }
    assert_eq!(desk.files(), ["log.txt", "log.wav"]);
}

/// What the level and a hint are about is said where it is not the stretch.
#[test]
fn what_is_measured_on_the_whole_is_said_to_be() {
    let desk = Desk::with_log();
    let args = ["read", "log.wav", "--long-width", "3ms", "--from", "0.5"];
    let err = desk.run(&args).err;
    for line in ["level", "hint"] {
        let line = err.lines().find(|l| l.starts_with(line)).unwrap();
        assert!(line.contains("whole recording"), "{line}");
    }
}
