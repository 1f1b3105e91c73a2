//! Inputs without an end. The memory of each run is held down, so that one that takes everything
//! before it looks fails for another reason than it says here.

use super::desk::{Desk, Ran};
use std::fs::File;
use std::process::{Command, Stdio};

/// Kibibytes of address space that a run may have.
const MEMORY_KIB: u32 = 2_000_000;

/// Runs the program with bytes of 0 without an end on standard input.
fn run(desk: &Desk, args: &[&str]) -> Ran {
    let program = desk.command(args);
    let script = format!("ulimit -v {MEMORY_KIB}; exec \"$0\" \"$@\"");
    let output = Command::new("sh")
        .args(["-c", &script])
        .arg(program.get_program())
        .args(program.get_args())
        .current_dir(program.get_current_dir().unwrap())
        .stdin(Stdio::from(File::open("/dev/zero").unwrap()))
        .output();
    Ran::of(output.unwrap())
}

#[test]
fn what_has_no_end_is_refused_with_a_sentence() {
    let desk = Desk::with_log();
    for (args, says) in [
        (&["read", "/dev/zero"][..], "not an audio file"),
        (&["read", "-"], "not an audio file"),
        (
            &["picture", "/dev/zero", "--out", "a.svg"],
            "not an audio file",
        ),
        (
            &["read", "log.wav", "--bench", "/dev/zero"],
            "holds more than",
        ),
        (
            &["score", "log.wav", "--truth", "/dev/zero"],
            "holds more than",
        ),
        (&["score", "log.wav", "--truth", "-"], "holds more than"),
        (
            &["tape", "--file", "/dev/zero", "--out", "z.wav"],
            "holds more than",
        ),
        (
            &["tape", "--file", "-", "--out", "z.wav"],
            "holds more than",
        ),
    ] {
        run(&desk, args).refused(1, says);
    }
    assert_eq!(desk.files(), ["log.wav"]);
}

/// A report that is a pipe is not waited for: it is one that nobody named.
#[test]
fn a_report_that_is_a_pipe_is_not_opened() {
    let desk = Desk::with_log();
    let pipe = desk.path("log.capture.json");
    assert!(Command::new("mkfifo").arg(pipe).status().unwrap().success());
    let ran = desk.run(&["read", "log.wav"]);
    assert!(ran.text().contains("SALTMERE"));
    assert!(ran.err.contains("log.capture.json"), "{}", ran.err);
}

/// What comes through a pipe with a name is read as often as is needed: first for the listing,
/// then again to try other settings.
#[test]
fn a_pipe_is_read_once_and_serves_as_often_as_needed() {
    let desk = Desk::with_log();
    let pipe = desk.path("pipe");
    let made = Command::new("mkfifo").arg(&pipe).status().unwrap();
    assert!(made.success());
    let log = std::fs::read(desk.path("log.wav")).unwrap();
    let writer = std::thread::spawn(move || std::fs::write(pipe, log));
    let ran = desk.run(&["read", "pipe", "--short-width", "300us"]);
    writer.join().unwrap().unwrap();
    assert_eq!(ran.code, 0, "{}", ran.err);
    assert!(ran.err.contains("hint:"), "{}", ran.err);
}
