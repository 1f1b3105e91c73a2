//! Several recordings in one call of `read`.

use crate::desk::{Desk, LOG};
use serde_json::Value;
use std::fs;

/// The log, and another one in a folder under the same name.
fn two() -> Desk {
    let desk = Desk::with_log();
    fs::create_dir(desk.path("b")).unwrap();
    desk.tape("b/log.wav", b"LOW WATER", |_| {});
    desk
}

#[test]
fn each_recording_is_listed_under_its_name() {
    let desk = two();
    let ran = desk.run(&["read", "log.wav", "b/log.wav"]);
    let alone = |name: &str| desk.run(&["read", name]);
    let wanted = format!(
        "log.wav:\n{}\nb/log.wav:\n{}",
        alone("log.wav").text(),
        alone("b/log.wav").text()
    );
    assert_eq!(ran.text(), wanted);
    assert_eq!(ran.err, alone("log.wav").err + &alone("b/log.wav").err);
}

#[test]
fn the_json_of_several_is_a_list_of_what_each_has_alone() {
    let desk = two();
    let alone = ["log.wav", "b/log.wav"].map(|f| desk.run(&["read", f, "--json"]).json());
    let both = desk.run(&["read", "log.wav", "b/log.wav", "--json"]).json();
    assert_eq!(both, Value::from(alone.to_vec()));
    assert_eq!(both[1]["recording"]["path"], "b/log.wav");
}

#[test]
fn one_that_cannot_be_read_does_not_keep_back_the_others() {
    let desk = two();
    let ran = desk.run(&["read", "none.wav", "b/log.wav"]);
    assert_eq!(ran.code, 1);
    assert!(String::from_utf8_lossy(&ran.out).contains("LOW WATER"));
    assert!(ran.err.contains("none.wav"), "{}", ran.err);
    let last = ran.err.lines().last().unwrap();
    assert!(last.contains("1 of 2 recordings"), "{last}");

    let ran = desk.run(&["read", "none.wav", "b/log.wav", "--json"]);
    assert_eq!(ran.code, 1);
    let json: Value = serde_json::from_slice(&ran.out).unwrap();
    assert_eq!(json[0]["recording"]["path"], "none.wav");
    assert!(json[0]["error"].as_str().unwrap().contains("none.wav"));
    assert_eq!(json[1]["summary"]["characters"], 9);
}

#[test]
fn results_that_hold_one_recording_want_one() {
    let desk = two();
    for args in [["--bytes", "out.bin"], ["--records", "out.hex"]] {
        let ran = desk.run(&[&["read", "log.wav", "b/log.wav"], &args[..]].concat());
        ran.refused(2, "one recording");
    }
    desk.run(&["read", "-", "-"]).refused(2, "only once");
    assert_eq!(desk.files(), ["b", "log.wav"]);
}

#[test]
fn blocks_of_several_recordings_carry_their_names() {
    let desk = two();
    // Both are called log.
    desk.run(&["read", "log.wav", "b/log.wav", "--blocks", "parts"])
        .refused(2, "log");
    assert_eq!(desk.files(), ["b", "log.wav"]);
    fs::rename(desk.path("b/log.wav"), desk.path("b/low.wav")).unwrap();
    let ran = desk.run(&["read", "log.wav", "b/low.wav", "--blocks", "parts"]);
    assert_eq!(ran.code, 0, "{}", ran.err);
    let block = |name: &str| fs::read(desk.path("parts").join(name)).unwrap();
    assert_eq!(block("log-01.bin"), LOG.as_bytes());
    assert_eq!(block("low-01.bin"), b"LOW WATER");
}
