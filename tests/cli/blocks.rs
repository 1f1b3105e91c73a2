//! The blocks of a recording: their boundaries in the JSON, and a file for each.

use crate::desk::{Desk, LOG};
use serde_json::Value;
use std::fs;

/// Three blocks with leaders between them, and the truth beside.
fn three() -> Desk {
    let desk = Desk::new();
    let made = desk.run(&[
        "tape",
        "--text",
        "SALTMERE",
        "--text",
        LOG,
        "--hex",
        "00 FF 0A",
        "--tape-leader",
        "0.4",
        "--out",
        "tape.wav",
        "--truth",
        "tape.wav.json",
    ]);
    assert_eq!(made.code, 0, "{}", made.err);
    desk
}

#[test]
fn the_json_says_where_blocks_begin_and_end() {
    let desk = three();
    let json = desk.run(&["read", "tape.wav", "--json"]).json();
    let truth = fs::read_to_string(desk.path("tape.wav.json")).unwrap();
    let truth: Value = serde_json::from_str(&truth).unwrap();
    let blocks = json["blocks"].as_array().unwrap();
    let mut first = 0;
    for (block, count) in blocks.iter().zip([8, LOG.len(), 3]) {
        assert_eq!(block["first"], first);
        assert_eq!(block["characters"], count);
        let recorded_s = |i: usize| truth["characters"][i]["at_s"].as_f64().unwrap();
        let from_s = block["from_s"].as_f64().unwrap();
        let to_s = block["to_s"].as_f64().unwrap();
        assert!((from_s - recorded_s(first)).abs() < 30e-6);
        // The last character lasts 10 bits at least, of the 11 that were recorded.
        let last_s = to_s - recorded_s(first + count - 1);
        assert!((last_s - 10.5 / 300.0).abs() < 0.6 / 300.0, "{last_s}");
        first += count;
    }
    assert_eq!(blocks.len(), 3);
    let text = desk.run(&["read", "tape.wav"]);
    assert!(text.err.contains("in 3 blocks"), "{}", text.err);
}

#[test]
fn each_block_is_written_to_a_file() {
    let desk = three();
    let ran = desk.run(&["read", "tape.wav", "--blocks", "parts"]);
    assert!(ran.text().contains("SALTMERE") && ran.err.contains("parts"));
    let block = |name: &str| fs::read(desk.path("parts").join(name)).unwrap();
    assert_eq!(block("tape-01.bin"), b"SALTMERE");
    assert_eq!(block("tape-02.bin"), LOG.as_bytes());
    assert_eq!(block("tape-03.bin"), [0x00, 0xFF, 0x0A]);
    assert_eq!(fs::read_dir(desk.path("parts")).unwrap().count(), 3);
}

#[test]
fn blocks_write_over_nothing_unasked() {
    let desk = three();
    fs::create_dir(desk.path("parts")).unwrap();
    fs::write(desk.path("parts/tape-02.bin"), "old").unwrap();
    let args = ["read", "tape.wav", "--blocks", "parts"];
    let ran = desk.run(&args);
    assert_eq!(ran.code, 1);
    assert!(
        ran.err.contains("tape-02.bin") && ran.err.contains("--replace"),
        "{}",
        ran.err
    );
    // Not even those that would not be in the way.
    assert_eq!(fs::read_dir(desk.path("parts")).unwrap().count(), 1);
    assert_eq!(fs::read(desk.path("parts/tape-02.bin")).unwrap(), b"old");
    assert_eq!(desk.run(&[&args[..], &["--replace"]].concat()).code, 0);
    assert_eq!(
        fs::read(desk.path("parts/tape-02.bin")).unwrap(),
        LOG.as_bytes()
    );
}

#[test]
fn blocks_of_a_stretch_are_those_of_the_stretch() {
    let desk = three();
    let json = desk.run(&["read", "tape.wav", "--json"]).json();
    let from_s = json["blocks"][1]["from_s"].as_f64().unwrap() - 0.1;
    let from = from_s.to_string();
    let ran = desk.run(&[
        "read", "tape.wav", "--from", &from, "--span", "1", "--blocks", "parts",
    ]);
    assert_eq!(ran.code, 0, "{}", ran.err);
    let only = fs::read(desk.path("parts/tape-01.bin")).unwrap();
    assert_eq!(only, LOG.as_bytes());
    assert_eq!(fs::read_dir(desk.path("parts")).unwrap().count(), 1);
}

#[test]
fn blocks_need_a_folder() {
    let desk = three();
    fs::write(desk.path("notes"), "high water 06:40").unwrap();
    let ran = desk.run(&["read", "tape.wav", "--blocks", "notes"]);
    assert_eq!(ran.code, 1);
    assert!(ran.err.contains("notes"), "{}", ran.err);
    assert_eq!(fs::read(desk.path("notes")).unwrap(), b"high water 06:40");
}

#[test]
fn a_recording_without_characters_has_no_blocks() {
    let desk = Desk::new();
    desk.tape("mark.wav", b"", |_| {});
    let ran = desk.run(&["read", "mark.wav", "--blocks", "parts", "--json"]);
    assert_eq!(ran.json()["blocks"], serde_json::json!([]));
    assert_eq!(desk.files(), ["mark.wav"]);
}

/// The folder and a file of the same name cannot both be; what was begun is taken back.
#[test]
fn blocks_that_cannot_be_written_leave_no_folder() {
    let desk = three();
    let files = desk.files();
    for out in ["parts", "parts/tape-02.bin"] {
        let ran = desk.run(&["read", "tape.wav", "--bytes", out, "--blocks", "parts"]);
        assert_ne!(ran.code, 0, "{out}");
        assert!(ran.err.contains(out), "{}", ran.err);
        assert_eq!(desk.files(), files, "{out}");
    }
}
