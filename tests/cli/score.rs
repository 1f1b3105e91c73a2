//! `score`: a reading held against the truth that `tape` wrote.

use crate::desk::{Desk, LOG};
use pulsewright::units;
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
    let args = ["score", "worn.wav", "--truth", "worn.wav.json"];
    let score = desk.run(&args);
    assert!(
        score
            .text()
            .contains(&format!("All {} bytes are right", LOG.len()))
    );
    assert_eq!(score.err, "");
    let json = desk.run(&[&args[..], &["--json"]].concat()).json();
    let read = desk.run(&["read", "worn.wav", "--json"]).json();
    assert_eq!(json["right"], LOG.len());
    assert_eq!(json["right_with_faults"], 0);
    assert_eq!(json["summary"], read["summary"]);
    assert_eq!(json["stretch"], read["stretch"]);
    let least = json["summary"]["margin_percent"]["least"].as_f64().unwrap();
    let said = format!("smallest {}", units::percent(least));
    assert!(score.text().contains(&said), "{}", score.text());
}

/// Odd parity would make the bit after the data of these letters, of two ones each, a mark; even
/// parity makes it a space, where a receiver without parity expects the stop bit.
#[test]
fn right_bytes_with_faults_are_counted() {
    let desk = Desk::new();
    let made = desk.run(&[
        "tape",
        "--text",
        "ABDHABDHABDHABDHABDH",
        "--tape-parity",
        "even",
        "--wear-speed",
        "1%",
        "--out",
        "even.wav",
    ]);
    assert_eq!(made.code, 0, "{}", made.err);
    let args = ["score", "even.wav", "--truth", "even.wav.json"];
    let ran = desk.run(&args);
    for says in [
        "All 20 bytes are right, 20 with a fault",
        "20 framing errors",
    ] {
        assert!(ran.text().contains(says), "{}", ran.text());
    }
    let json = desk.run(&[&args[..], &["--json"]].concat()).json();
    assert_eq!(
        (&json["right"], &json["right_with_faults"]),
        (&20.into(), &20.into())
    );
    assert_eq!(json["summary"]["framing_errors"], 20);
    assert_eq!(
        json["summary"]["margin_percent"]["least"],
        serde_json::Value::Null
    );
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
    assert_eq!(
        ran.err,
        "pulsewright: 2 of 23 bytes are not right, and 1 too many.\n"
    );
    let out = String::from_utf8(ran.out).unwrap();
    let rows: Vec<Vec<_>> = out
        .lines()
        .map(|l| l.split_whitespace().collect())
        .collect();
    assert_eq!(rows[0], ["time", "expected", "seen"]);
    assert_eq!(rows[1][1..], ["58", "X", "53", "S"]);
    assert_eq!(rows[2][1..], ["-", "45", "E"]);
    assert_eq!(rows[3], ["1:40.000", "0A", "LF", "-"]);
    let counts = "21 of 23 bytes are right: 1 wrong, 1 missing, 1 extra (paired by time)";
    assert!(out.contains(counts), "{out}");

    let ran = desk.run(&[&args[..], &["--json"]].concat());
    assert_eq!(ran.code, 1);
    let json: serde_json::Value = serde_json::from_slice(&ran.out).unwrap();
    assert_eq!((&json["wrong"], &json["extra"]), (&1.into(), &1.into()));
    assert_eq!(json["misses"][1]["expected"], serde_json::Value::Null);
    // Each character that was read is right, wrong or extra.
    assert_eq!(json["summary"]["characters"], 23);
}

#[test]
fn a_plain_file_of_bytes_is_a_truth_too() {
    let desk = worn();
    let score = |bytes: &[u8], more: &[&str]| {
        fs::write(desk.path("log.txt"), bytes).unwrap();
        desk.run(&[&["score", "worn.wav", "--truth", "log.txt"], more].concat())
    };
    let all = score(LOG.as_bytes(), &[]);
    assert!(
        all.text()
            .contains("All 23 bytes are right (paired by order)")
    );
    // The first byte changed, the sixth left out, one more at the end.
    let other = format!("X{}{}\n", &LOG[1..5], &LOG[6..]);
    let ran = score(other.as_bytes(), &["--json"]);
    assert_eq!(ran.code, 1);
    let json: serde_json::Value = serde_json::from_slice(&ran.out).unwrap();
    let counts = ["right", "wrong", "missing", "extra"].map(|k| json[k].as_u64().unwrap());
    assert_eq!(counts, [21, 1, 1, 1]);
    assert_eq!(json["paired_by"], "order");
    let read = desk.run(&["read", "worn.wav", "--json"]).json();
    // The second miss is the byte that was left out: where it begins on the recording.
    assert_eq!(json["misses"][1]["at_s"], read["characters"][5]["at_s"]);
    let nothing = score(b"", &[]);
    assert!(
        nothing.err.contains("log.txt holds nothing"),
        "{}",
        nothing.err
    );
}

#[test]
fn a_plain_file_far_from_what_is_read_is_refused() {
    let desk = Desk::with_log();
    fs::write(desk.path("zeros.bin"), [0; 10_000]).unwrap();
    desk.run(&["score", "log.wav", "--truth", "zeros.bin"])
        .refused(1, "zeros.bin");
}

#[test]
fn a_stretch_is_scored_by_what_begins_in_it() {
    let desk = worn();
    let read = desk.run(&["read", "worn.wav", "--json"]).json();
    let at_s = |i: usize| read["characters"][i]["at_s"].as_f64().unwrap();
    // From the very sample at which one character begins, to where another does.
    let (from, span) = (at_s(4).to_string(), (at_s(9) - at_s(4)).to_string());
    let score = |truth: &str| {
        let args = ["score", "worn.wav", "--truth", truth, "--from", &from];
        desk.run(&[&args[..], &["--span", &span, "--json"]].concat())
    };
    let by_time = score("worn.wav.json").json();
    fs::write(desk.path("part.txt"), &LOG[4..9]).unwrap();
    let by_order = score("part.txt").json();
    // The truth of a tape that begins a minute later, so that times do not fit.
    let text = fs::read_to_string(desk.path("worn.wav.json")).unwrap();
    let mut truth: serde_json::Value = serde_json::from_str(&text).unwrap();
    for character in truth["characters"].as_array_mut().unwrap() {
        character["at_s"] = (character["at_s"].as_f64().unwrap() + 60.0).into();
    }
    fs::write(desk.path("later.json"), truth.to_string()).unwrap();
    let later = score("later.json").json();
    for (json, by) in [(by_time, "time"), (by_order, "order"), (later, "order")] {
        assert_eq!(json["paired_by"], by);
        assert_eq!(json["right"], 5);
        assert_eq!(json["misses"], serde_json::json!([]));
        assert_eq!(json["summary"]["characters"], 5);
    }
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
    let out = String::from_utf8(ran.out).unwrap();
    assert!(out.contains("bytes are right") && out.contains("wrong"));
    let misses = out.lines().filter(|l| l.starts_with("0:"));
    assert_eq!(misses.count(), 10, "{out}");
}

#[test]
fn what_is_no_truth_is_said() {
    let desk = worn();
    fs::write(desk.path("no.json"), "{}").unwrap();
    let score = |truth| desk.run(&["score", "worn.wav", "--truth", truth]);
    score("no.json").refused(1, "no.json is no truth about a tape");
    score("worn.wav").refused(2, "worn.wav is the recording itself");
    score("none.json").refused(1, "none.json cannot be read");
    desk.run(&["score", "worn.wav"]).refused(2, "--truth");
}
