//! Pages of help: the words, the JSON, where the exports stop.

use crate::desk::{Desk, LOG};
use serde_json::Value;
use std::collections::BTreeSet;
use std::fs;

/// The names of all fields in a document, but for those of settings, which the knobs have.
fn fields(value: &Value, found: &mut BTreeSet<String>) {
    match value {
        Value::Object(map) => {
            for (name, inner) in map {
                found.insert(name.clone());
                if !["settings", "tape", "wear", "changes"].contains(&name.as_str()) {
                    fields(inner, found);
                }
            }
        }
        Value::Array(list) => list.iter().for_each(|inner| fields(inner, found)),
        _ => {}
    }
}

#[test]
fn the_page_on_json_names_every_field_that_is_written() {
    let desk = Desk::new();
    let made = desk.run(&[
        "tape",
        "--pattern",
        "all-bytes",
        "--wear-speed",
        "2%",
        "--wear-white-noise",
        "6dB",
        "--wear-clicks",
        "60",
        "--wear-drop-outs",
        "60",
        "--out",
        "worn.wav",
    ]);
    assert_eq!(made.code, 0, "{}", made.err);
    // The causes of a gap are those that a capture writes.
    let report =
        r#"{"files": ["worn.wav"], "gaps": [{"at_s": 0.1, "length_s": 0.02, "cause": "system"}]}"#;
    fs::write(desk.path("worn.capture.json"), report).unwrap();
    // A wrong rate: there are faults, misses and, of the clean tape, advice.
    let settings = ["--framer-rate", "600"];
    let mut found = BTreeSet::new();
    let read = desk.run(&[&["read", "worn.wav", "--json"][..], &settings].concat());
    fields(&read.json(), &mut found);
    desk.tape("log.wav", LOG.as_bytes(), |_| {});
    let read = desk.run(&[&["read", "log.wav", "--json"][..], &settings].concat());
    let read = read.json();
    assert!(!read["advice"].as_array().unwrap().is_empty());
    fields(&read, &mut found);
    let truth = ["score", "worn.wav", "--truth", "worn.wav.json", "--json"];
    let score = desk.run(&[&truth[..], &settings].concat());
    fields(&serde_json::from_slice(&score.out).unwrap(), &mut found);
    let truth = fs::read_to_string(desk.path("worn.wav.json")).unwrap();
    fields(&serde_json::from_str(&truth).unwrap(), &mut found);
    let list = desk.run(&["read", "worn.wav", "none.wav", "--json"]);
    fields(&serde_json::from_slice(&list.out).unwrap(), &mut found);
    assert!(found.len() > 50, "{found:?}");
    let page = desk.run(&["help", "json"]);
    let words: BTreeSet<&str> = page
        .text()
        .split(|c: char| !c.is_alphanumeric() && c != '_')
        .collect();
    let missing: Vec<_> = found
        .iter()
        .filter(|f| !words.contains(f.as_str()))
        .collect();
    assert!(missing.is_empty(), "{missing:?}");
}

#[test]
fn the_words_that_a_reading_uses_are_explained() {
    let page = Desk::new().run(&["help", "words"]);
    for word in [
        "margin",
        "false start",
        "hint",
        "Eb/N0",
        "framing error",
        "bench",
    ] {
        assert!(page.text().lines().any(|line| line == word), "{word}");
    }
    assert!(page.text().lines().all(|line| line.chars().count() <= 90));
}

#[test]
fn help_is_found_under_every_command() {
    let desk = Desk::new();
    for command in ["read", "tape", "parts", "help"] {
        let by_flag = desk.run(&[command, "--help"]);
        assert_eq!(desk.run(&["help", command]).text(), by_flag.text());
    }
    assert_eq!(desk.run(&["help"]).text(), desk.run(&["--help"]).text());
    desk.run(&["help", "jsn"]).refused(2, "did you mean json?");
    desk.run(&["help", "colours"])
        .refused(2, "no help on 'colours'");
}

/// What the help on `traces` says of where the files stop.
#[test]
fn the_dump_stops_at_the_end_and_the_table_at_the_last_event() {
    let desk = Desk::with_log();
    let help = desk.run(&["traces", "--help"]);
    assert!(help.text().contains("VCD stops") && help.text().contains("CSV"));
    let end_s = desk.run(&["read", "log.wav", "--json"]).json()["recording"]["duration_s"].clone();
    let end_s = end_s.as_f64().unwrap();
    assert_eq!(desk.run(&["traces", "log.wav", "-o", "log.vcd"]).code, 0);
    let dump = fs::read_to_string(desk.path("log.vcd")).unwrap();
    let last = dump.lines().last().unwrap().strip_prefix('#').unwrap();
    assert_eq!(last, format!("{:.0}", end_s * 1e9));
    let table = desk.run(&["traces", "log.wav", "-o", "-"]);
    let last = table
        .text()
        .lines()
        .last()
        .unwrap()
        .split(',')
        .next()
        .unwrap();
    assert!(last.parse::<f64>().unwrap() < end_s);
}
