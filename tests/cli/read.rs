//! `read`: listing, summary, bytes, JSON.

use crate::desk::{Desk, LEADER_S, LOG, Ran};
use serde_json::Value;
use std::fs;

fn keys(value: &Value) -> Vec<&str> {
    let mut keys: Vec<_> = value
        .as_object()
        .unwrap()
        .keys()
        .map(String::as_str)
        .collect();
    keys.sort_unstable();
    keys
}

#[test]
fn the_listing_goes_to_standard_output_and_the_summary_to_standard_error() {
    let ran = Desk::with_log().run(&["read", "log.wav"]);
    let rows: Vec<_> = ran.text().lines().collect();
    assert_eq!(
        rows[0],
        "0:00.250  53 41 4C 54 4D 45 52 45 20 30 36 3A 34 30 20 20   SALTMERE 06:40  "
    );
    assert!(rows[1].contains("33 2E 32 20 4D 0D 0A") && rows[1].ends_with("  3.2 M··"));
    assert_eq!(rows.len(), 2);
    for says in [
        "log.wav: WAV, 16-bit integer, 1 channel, 48 kHz, ",
        "peak 500 mV",
        "23 characters in 1 block: 0 framing errors (!), 0 parity errors (?), 0 breaks (_), 0 false starts",
        "margin: smallest ",
    ] {
        assert!(ran.err.contains(says), "{}", ran.err);
    }
}

#[test]
fn a_pause_begins_a_row() {
    let desk = Desk::new();
    desk.tape("slow.wav", b"ABC", |s| s.gap_s = 0.1);
    assert_eq!(desk.run(&["read", "slow.wav"]).text().lines().count(), 3);
}

#[test]
fn the_json_holds_everything() {
    let json = Desk::with_log().run(&["read", "log.wav", "--json"]).json();
    assert_eq!(
        keys(&json),
        [
            "advice",
            "blocks",
            "characters",
            "recording",
            "settings",
            "stretch",
            "summary"
        ]
    );
    let characters = json["characters"].as_array().unwrap();
    let values: Vec<u8> = characters
        .iter()
        .map(|c| c["value"].as_u64().unwrap() as u8)
        .collect();
    assert_eq!(values, LOG.as_bytes());
    for (i, character) in characters.iter().enumerate() {
        assert_eq!(
            keys(character),
            ["at_s", "faults", "margin_percent", "value"]
        );
        assert_eq!(character["faults"].as_array().unwrap().len(), 0);
        // A character of start, 8 data and 2 stop bits lasts 11/300 s (BYTE, February 1976); one
        // sample at 48 kHz is 21 us, the hysteresis adds a little.
        let at_s = LEADER_S + i as f64 * 11.0 / 300.0;
        assert!((character["at_s"].as_f64().unwrap() - at_s).abs() < 30e-6);
    }
    let recording = &json["recording"];
    assert_eq!(
        keys(recording),
        [
            "channels",
            "clipped",
            "duration_s",
            "format",
            "frames",
            "gaps",
            "mean_v",
            "name",
            "notes",
            "path",
            "peak_v",
            "rate_hz",
            "rms_v"
        ]
    );
    assert_eq!(recording["name"], "log.wav");
    assert_eq!(recording["rate_hz"], 48_000);
    // A sine of peak 0.5 V has an rms of 0.5 V / sqrt 2.
    assert!((recording["peak_v"].as_f64().unwrap() - 0.5).abs() < 1e-4);
    assert!((recording["rms_v"].as_f64().unwrap() - 0.5 / 2f64.sqrt()).abs() < 1e-3);
    let summary = &json["summary"];
    assert_eq!(
        keys(summary),
        [
            "breaks",
            "characters",
            "false_starts",
            "framing_errors",
            "margin_percent",
            "parity_errors"
        ]
    );
    assert_eq!(summary["characters"], 23);
    let margins = |c: &Value| c["margin_percent"].as_f64().unwrap();
    let mut all: Vec<f64> = characters.iter().map(margins).collect();
    all.sort_by(f64::total_cmp);
    assert_eq!(summary["margin_percent"]["least"], all[0]);
    assert_eq!(summary["margin_percent"]["median"], all[11]);
}

/// Whatever line of the summary is not made of figures alone: hints and notes.
#[test]
fn the_json_says_what_the_summary_says() {
    let desk = Desk::with_log();
    let wav = fs::read(desk.path("log.wav")).unwrap();
    fs::write(desk.path("cut.wav"), &wav[..wav.len() - 3001]).unwrap();
    let args = ["read", "cut.wav", "--long-width", "3ms"];
    let text = desk.run(&args).err;
    let json = desk.run(&[&args[..], &["--json"]].concat()).json();
    let lines = |head: &str| -> Vec<Value> {
        let lines = text.lines().filter_map(|l| l.strip_prefix(head));
        lines.map(Value::from).collect()
    };
    let (hints, notes) = (lines("hint: "), lines("note: "));
    assert!(!hints.is_empty() && !notes.is_empty(), "{text}");
    let advice = json["advice"].as_array().unwrap().iter();
    assert!(advice.map(|a| &a["says"]).eq(&hints));
    assert_eq!(json["recording"]["notes"], Value::from(notes));
}

#[test]
fn faults_are_marked_counted_and_put_in_words() {
    let desk = Desk::new();
    // 'A' and 'B' have two ones, 'C' has three: with odd parity only its parity bit is 0.
    desk.tape("odd.wav", b"ABC", |s| {
        s.parity = pulsewright::settings::Parity::Odd;
    });
    let read = |parity, more: &[&str]| {
        let args = ["read", "odd.wav", "--framer-parity", parity];
        desk.run(&[&args, more].concat())
    };
    assert!(read("odd", &[]).text().contains("41 42 43 "));
    let space = read("space", &[]);
    assert!(space.text().contains("41?42?43 "));
    assert!(space.err.contains("2 parity errors (?)"), "{}", space.err);
    let json = read("space", &["--json"]).json();
    assert_eq!(json["characters"][0]["faults"][0], "parity error");
    assert_eq!(json["summary"]["parity_errors"], 2);
}

#[test]
fn bytes_go_to_a_file_or_to_standard_output() {
    let desk = Desk::with_log();
    let ran = desk.run(&["read", "log.wav", "--bytes", "log.bin"]);
    assert!(ran.text().contains("SALTMERE"));
    assert_eq!(fs::read(desk.path("log.bin")).unwrap(), LOG.as_bytes());
    let ran = desk.run(&["read", "log.wav", "--bytes", "-"]);
    assert_eq!(ran.text(), LOG);
    assert!(ran.err.contains("23 characters"));
    desk.run(&["read", "log.wav", "--bytes", "-", "--json"])
        .refused(2, "only one of");
}

#[test]
fn a_hyphen_is_standard_input() {
    let desk = Desk::with_log();
    let wav = fs::read(desk.path("log.wav")).unwrap();
    let piped = desk.pipe(&["read", "-"], &wav);
    assert_eq!(piped.text(), desk.run(&["read", "log.wav"]).text());
    assert!(piped.err.contains("standard input"), "{}", piped.err);
    desk.pipe(&["read", "-"], b"").refused(1, "standard input");
}

#[test]
fn silence_has_no_characters_and_no_margin() {
    let desk = Desk::new();
    desk.tape("mark.wav", b"", |_| {});
    let ran = desk.run(&["read", "mark.wav"]);
    assert_eq!(ran.text(), "");
    assert!(ran.err.contains("0 characters") && !ran.err.contains("margin"));
    let json = desk.run(&["read", "mark.wav", "--json"]).json();
    assert_eq!(json["summary"]["margin_percent"]["least"], Value::Null);
}

#[test]
fn what_is_no_recording_is_refused() {
    let desk = Desk::new();
    fs::write(desk.path("notes.txt"), "high water 06:40").unwrap();
    desk.run(&["read", "no.wav"]).refused(1, "no.wav");
    desk.run(&["read", "notes.txt"]).refused(1, "notes.txt");
    desk.run(&["read", "."]).refused(1, "");
    desk.run(&["read"]).refused(2, "FILE");
}

#[test]
fn a_closed_pipe_is_no_failure() {
    let desk = Desk::with_log();
    for args in [
        &["read", "log.wav"][..],
        &["read", "log.wav", "--json"],
        &["traces", "log.wav", "--out", "-"],
        &["--help"],
        &["knobs"],
    ] {
        let (reader, writer) = std::io::pipe().unwrap();
        drop(reader);
        let ran = Ran::of(desk.command(args).stdout(writer).output().unwrap());
        assert_eq!(ran.code, 0, "{args:?}: {}", ran.err);
        assert!(!ran.err.contains("pulsewright:"), "{}", ran.err);
    }
}
