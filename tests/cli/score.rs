//! `score`: a reading held against the truth that `tape` wrote.

use crate::desk::{Desk, LOG};
use std::fs;

/// A worn tape of the log with its truth beside it.
fn worn() -> Desk {
    let desk = Desk::new();
    let ran = desk.run(&[
        "tape",
        "--text",
        LOG,
        "--out",
        "worn.wav",
        "--tape-leader",
        "0.3",
        "--wear-speed",
        "2%",
        "--wear-white-noise",
        "30",
        "--wear-drop-outs",
        "60",
        "--wear-drop-out-depth",
        "6",
    ]);
    assert_eq!(ran.code, 0, "{}", ran.err);
    assert!(
        ran.err.contains("2 drop-outs") && ran.err.contains("Eb/N0"),
        "{}",
        ran.err
    );
    assert_eq!(desk.files(), ["worn.wav", "worn.wav.json"]);
    desk
}

#[test]
fn the_truth_holds_the_bytes_and_what_was_applied() {
    let desk = worn();
    let text = fs::read_to_string(desk.path("worn.wav.json")).unwrap();
    let truth: serde_json::Value = serde_json::from_str(&text).unwrap();
    let bytes: Vec<_> = truth["bytes"].as_array().unwrap().iter().collect();
    assert!(
        bytes
            .iter()
            .map(|b| b.as_u64().unwrap() as u8)
            .eq(LOG.bytes())
    );
    assert_eq!(truth["wear"]["speed"], 2.0);
    assert_eq!(truth["applied"]["drop_outs"]["count"], 2);
    let read = desk.run(&["read", "worn.wav", "--json"]).json();
    for (i, character) in truth["characters"].as_array().unwrap().iter().enumerate() {
        let seen_s = read["characters"][i]["at_s"].as_f64().unwrap();
        // The leader plays 2 % faster, and so does everything behind it.
        let wanted_s = (0.3 + i as f64 * 11.0 / 300.0) / 1.02;
        assert!((character["at_s"].as_f64().unwrap() - wanted_s).abs() < 1e-9);
        assert!((seen_s - wanted_s).abs() < 1e-4);
    }
}

#[test]
fn a_reading_without_a_miss_is_a_success() {
    let desk = worn();
    let score = desk.run(&["score", "worn.wav", "--truth", "worn.wav.json"]);
    assert_eq!(score.text(), "");
    assert_eq!(score.err, format!("All {} bytes are right.\n", LOG.len()));
    let json = desk.run(&["score", "worn.wav", "--truth", "worn.wav.json", "--json"]);
    assert_eq!(json.json()["right"], LOG.len());
}

#[test]
fn misses_are_counted_and_listed() {
    let desk = worn();
    // The truth of another log: one byte changed, one more, one less.
    let text = fs::read_to_string(desk.path("worn.wav.json")).unwrap();
    let mut truth: serde_json::Value = serde_json::from_str(&text).unwrap();
    let characters = truth["characters"].as_array_mut().unwrap();
    characters[0]["value"] = 0x58.into();
    characters.remove(5);
    characters.push(serde_json::json!({"at_s": 100.0, "value": 10}));
    fs::write(desk.path("other.json"), truth.to_string()).unwrap();

    let args = ["score", "worn.wav", "--truth", "other.json"];
    let ran = desk.run(&args);
    assert_eq!(ran.code, 1);
    let counts = "21 of 23 bytes are right: 1 wrong, 1 missing, 1 extra (paired by time).";
    assert_eq!(ran.err, format!("pulsewright: {counts}\n"));
    let out = String::from_utf8(ran.out).unwrap();
    let rows: Vec<Vec<_>> = out
        .lines()
        .map(|l| l.split_whitespace().collect())
        .collect();
    assert_eq!(rows[0], ["time", "expected", "seen"]);
    assert_eq!(rows[1][1..], ["58", "X", "53", "S"]);
    assert_eq!(rows[2][1..], ["-", "45", "E"]);
    assert_eq!(rows[3], ["1:40.000", "0A", "LF", "-"]);

    let ran = desk.run(&[&args[..], &["--json"]].concat());
    assert_eq!(ran.code, 1);
    let json: serde_json::Value = serde_json::from_slice(&ran.out).unwrap();
    assert_eq!((&json["wrong"], &json["extra"]), (&1.into(), &1.into()));
    assert_eq!(json["misses"][1]["expected"], serde_json::Value::Null);
}

#[test]
fn settings_that_do_not_fit_cost_bytes() {
    let desk = worn();
    let args = [
        "score",
        "worn.wav",
        "--truth",
        "worn.wav.json",
        "--long-width",
        "3ms",
    ];
    let ran = desk.run(&args);
    assert_eq!(ran.code, 1);
    assert!(ran.err.contains("bytes are right") && ran.err.contains("wrong"));
    let rows = String::from_utf8(ran.out).unwrap();
    assert!(rows.lines().count() <= 12, "{rows}");
}

#[test]
fn what_is_no_truth_is_said() {
    let desk = worn();
    fs::write(desk.path("no.json"), "{}").unwrap();
    let score = |truth| desk.run(&["score", "worn.wav", "--truth", truth]);
    score("no.json").refused(1, "no.json is no truth about a tape");
    score("worn.wav").refused(1, "worn.wav is no truth about a tape");
    score("none.json").refused(1, "none.json cannot be read");
    desk.run(&["score", "worn.wav"]).refused(2, "--truth");
}
