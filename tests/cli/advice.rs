//! The advice of `read`, given back to it as flags.

use crate::desk::{Desk, LOG};
use std::fs;
use std::process::Command;

/// The log on the second of two channels, put there by sox.
fn second_channel(desk: &Desk) {
    let (log, both) = (desk.path("log.wav"), desk.path("both.wav"));
    let made = Command::new("sox")
        .arg("-D")
        .arg(log)
        .arg(both)
        .args(["remix", "0", "1"])
        .status();
    assert!(made.expect("sox is installed").success());
}

/// Reads a file as JSON; then again with the first advice as flags.
fn read_twice(desk: &Desk, args: &[&str]) -> [Vec<u8>; 2] {
    let mut args: Vec<String> = args.iter().map(|a| (*a).to_owned()).collect();
    args.push("--json".into());
    let read = |args: &[String]| {
        let args: Vec<&str> = args.iter().map(String::as_str).collect();
        desk.run(&args).json()
    };
    let bytes = |json: &serde_json::Value| -> Vec<u8> {
        let all = json["characters"].as_array().unwrap();
        all.iter()
            .map(|c| c["value"].as_u64().unwrap() as u8)
            .collect()
    };
    let first = read(&args);
    for (knob, value) in first["advice"][0]["changes"].as_object().unwrap() {
        let flag = format!("--{knob}=");
        args.retain(|a| !a.starts_with(&flag));
        args.push(flag + value.as_str().unwrap());
    }
    let second = read(&args);
    assert_eq!(
        first["advice"][0]["after"]["without_fault"],
        second["characters"].as_array().unwrap().len()
    );
    [bytes(&first), bytes(&second)]
}

#[test]
fn the_other_channel_is_found() {
    let desk = Desk::with_log();
    second_channel(&desk);
    let [before, after] = read_twice(&desk, &["read", "both.wav"]);
    assert_eq!((before.len(), after.as_slice()), (0, LOG.as_bytes()));
}

#[test]
fn a_width_that_is_far_too_long_is_mended() {
    let desk = Desk::with_log();
    let [before, after] = read_twice(&desk, &["read", "log.wav", "--long-width=3ms"]);
    assert_ne!(before, LOG.as_bytes());
    assert_eq!(after, LOG.as_bytes());
}

#[test]
fn a_hint_is_said_where_it_helps_and_only_there() {
    let desk = Desk::with_log();
    assert!(!desk.run(&["read", "log.wav"]).err.contains("hint:"));
    let bytes = fs::read(desk.path("log.wav")).unwrap();
    let piped = desk.pipe(&["read", "-", "--framer-parity=even"], &bytes);
    let hint = piped.err.lines().find(|line| line.starts_with("hint:"));
    let hint = hint.expect("half of the bytes have another parity");
    assert!(
        hint.contains("parity") && hint.contains(&format!("{0} of {0}", LOG.len())),
        "{hint}"
    );
}
