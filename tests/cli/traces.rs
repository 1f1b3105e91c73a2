//! `traces`: the value change dump is read by a parser that this project did not write (the crate
//! `vcd`) and holds the same edges and characters as the table.

use crate::desk::{Desk, LOG};
use std::collections::HashMap;
use std::fs::File;
use std::io::BufReader;
use vcd::{Command, SimulationCommand, TimescaleUnit, Value};

const TRACES: [&str; 3] = ["squarer", "short_one_shot", "long_one_shot"];

/// Times in seconds and levels of each trace; times and values of the characters.
#[derive(Default)]
struct Table {
    edges: HashMap<String, Vec<(f64, bool)>>,
    characters: Vec<(f64, u8)>,
}

fn read_csv(text: &str) -> Table {
    let mut lines = text.lines();
    assert_eq!(
        lines.next(),
        Some("time_s,trace,level,value,faults,margin_percent,at_s")
    );
    let mut table = Table::default();
    let mut last_s = 0.0;
    for line in lines {
        let [time_s, trace, level, value, faults, margin, at_s] =
            line.split(',').collect::<Vec<_>>().try_into().unwrap();
        let time_s: f64 = time_s.parse().unwrap();
        assert!(time_s >= last_s, "{line}");
        last_s = time_s;
        if trace == "character" {
            assert_eq!((level, faults), ("", ""));
            let (margin, at_s): (f64, f64) = (margin.parse().unwrap(), at_s.parse().unwrap());
            assert!((0.0..=50.0).contains(&margin) && at_s < time_s, "{line}");
            table.characters.push((time_s, value.parse().unwrap()));
        } else {
            assert!(TRACES.contains(&trace) && line.ends_with(",,,,"), "{line}");
            let edges = table.edges.entry(trace.into()).or_default();
            edges.push((time_s, level == "1"));
        }
    }
    table
}

fn read_vcd(desk: &Desk, name: &str) -> Table {
    let file = BufReader::new(File::open(desk.path(name)).unwrap());
    let mut parser = vcd::Parser::new(file);
    let header = parser.parse_header().unwrap();
    assert_eq!(header.timescale, Some((1, TimescaleUnit::NS)));
    let code = |name: &str| header.find_var(&["pulsewright", name]).unwrap().code;
    let names: HashMap<_, _> = TRACES.map(|name| (code(name), name)).into();
    let (character, start, fault) = (code("character"), code("start"), code("fault"));
    let mut table = Table::default();
    let (mut now_ns, mut seen, mut value, mut dumped) = (0, false, None, false);
    for command in parser {
        match command.unwrap() {
            Command::Timestamp(ns) => {
                assert!(!seen || ns > now_ns, "times must increase: {ns}");
                (now_ns, seen) = (ns, true);
            }
            Command::Begin(SimulationCommand::Dumpvars) => dumped = now_ns == 0,
            Command::ChangeScalar(id, _) if id == start => {
                table
                    .characters
                    .push((now_ns as f64 * 1e-9, value.unwrap()));
            }
            Command::ChangeScalar(id, level) if id == fault => assert_eq!(level, Value::V0),
            Command::ChangeScalar(id, level) => {
                let edges = table.edges.entry(names[&id].into()).or_default();
                edges.push((now_ns as f64 * 1e-9, level == Value::V1));
            }
            Command::ChangeVector(id, bits) if id == character => {
                let bit = |all: Option<u8>, bit| match bit {
                    Value::V0 => all.map(|all| all << 1),
                    Value::V1 => all.map(|all| all << 1 | 1),
                    _ => None,
                };
                value = bits.iter().fold(Some(0), bit);
            }
            _ => {}
        }
    }
    assert!(
        dumped,
        "the levels at the beginning stand in $dumpvars at time 0"
    );
    assert_eq!(value, None, "after the last character the value is unknown");
    table
}

#[test]
fn dump_and_table_agree() {
    let desk = Desk::with_log();
    for out in ["t.vcd", "t.csv"] {
        assert_eq!(desk.run(&["traces", "log.wav", "--out", out]).code, 0);
    }
    let csv = read_csv(&std::fs::read_to_string(desk.path("t.csv")).unwrap());
    let vcd = read_vcd(&desk, "t.vcd");
    for trace in TRACES {
        let (csv, vcd) = (&csv.edges[trace], &vcd.edges[trace]);
        assert_eq!(csv.len(), vcd.len());
        assert!(csv.len() > 100);
        for (i, (a, b)) in csv.iter().zip(vcd).enumerate() {
            assert_eq!(a.1, b.1);
            assert!((a.0 - b.0).abs() <= 1e-9, "{a:?} {b:?}");
            assert!(i == 0 || csv[i - 1].1 != a.1, "levels alternate");
        }
    }
    let values = |t: &Table| t.characters.iter().map(|c| c.1).collect::<Vec<_>>();
    assert_eq!(values(&csv), LOG.as_bytes());
    assert_eq!(values(&vcd), LOG.as_bytes());
    for (a, b) in csv.characters.iter().zip(&vcd.characters) {
        assert!((a.0 - b.0).abs() <= 1e-9);
    }
}

#[test]
fn the_table_counts_the_cycles_of_the_tape() {
    let desk = Desk::new();
    desk.tape("u.wav", b"U", |_| {});
    let csv = read_csv(desk.run(&["traces", "u.wav", "--out", "-"]).text());
    // 0.25 s leader and 0.1 s trailer of 2400 Hz; start bit, four ones, four zeros, two stop bits:
    // 6 bits of 8 cycles and 5 of 4 cycles (BYTE, February 1976).
    let rises = csv.edges["squarer"].iter().filter(|e| e.1).count();
    assert_eq!(rises, 600 + 240 + 6 * 8 + 5 * 4);
    assert_eq!(csv.characters.len(), 1);
}
