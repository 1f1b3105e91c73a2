//! The examples that users are given work as they stand, one after the other, in an empty folder.

#![cfg(unix)]

use crate::desk::{Desk, Ran};
use std::fs;
use std::os::unix::fs::symlink;
use std::process::Stdio;

/// An empty folder but for the program and the sample recordings, where the README says they are.
fn desk() -> Desk {
    let desk = Desk::new();
    let program = env!("CARGO_BIN_EXE_pulsewright");
    fs::create_dir_all(desk.path("target/release")).unwrap();
    symlink(program, desk.path("target/release/pulsewright")).unwrap();
    let samples = concat!(env!("CARGO_MANIFEST_DIR"), "/sample-audio");
    symlink(samples, desk.path("sample-audio")).unwrap();
    desk
}

/// Has a shell run a line in the folder, where `pulsewright` is found by that name.
fn follow(desk: &Desk, line: &str) -> Ran {
    let path = format!(
        "{}:{}",
        desk.path("target/release").display(),
        std::env::var("PATH").unwrap()
    );
    let mut shell = std::process::Command::new("sh");
    let shell = shell.args(["-c", line]).current_dir(desk.path("."));
    for display in ["DISPLAY", "WAYLAND_DISPLAY", "WAYLAND_SOCKET"] {
        shell.env_remove(display);
    }
    let output = shell.env("PATH", path).stdin(Stdio::null()).output();
    Ran::of(output.unwrap())
}

/// The lines in the blocks of shell commands.
fn commands(readme: &str) -> Vec<&str> {
    let mut inside = false;
    let lines = readme.lines().map(str::trim).filter(|line| {
        let fence = line.starts_with("```");
        inside = if fence { *line == "```sh" } else { inside };
        inside && !fence && !line.is_empty()
    });
    lines.collect()
}

/// Whether a command needs a sound card, a window, or to build the program.
fn needs_more(command: &str) -> bool {
    let mut words = command.split(' ');
    match (words.next(), words.next()) {
        (Some("make"), _) | (_, Some("listen" | "play" | "view")) => true,
        (Some("pulsewright"), Some(word)) => word.ends_with(".wav"),
        _ => false,
    }
}

fn all_work(desk: &Desk, commands: &[&str]) -> usize {
    let here: Vec<_> = commands.iter().filter(|c| !needs_more(c)).collect();
    for command in &here {
        let ran = follow(desk, command);
        assert_eq!(ran.code, 0, "{command}\n{}", ran.err);
    }
    here.len()
}

#[test]
fn the_examples_of_the_readme_work_one_after_the_other() {
    let readme = concat!(env!("CARGO_MANIFEST_DIR"), "/README.md");
    let readme = fs::read_to_string(readme).unwrap();
    let desk = desk();
    let followed = all_work(&desk, &commands(&readme));
    assert!(followed >= 25, "only {followed} were found");
    for written in [
        "late.png",
        "tape.svg",
        "tape.vcd",
        "worn.wav.json",
        "my.toml",
    ] {
        assert!(desk.path(written).is_file(), "{written}");
    }
}

#[test]
fn the_examples_of_the_help_work_one_after_the_other() {
    let desk = desk();
    for name in ["saltmere-300.wav", "saltmere-1200.wav"] {
        let sample = desk.path("sample-audio").join(name);
        symlink(sample, desk.path(name)).unwrap();
    }
    let help = desk.run(&["--help"]);
    // What a command does stands in a column of its own.
    let lines = help.text().lines().skip_while(|line| *line != "Examples:");
    let lines = lines.map(str::trim);
    let examples = lines.filter(|line| line.starts_with("pulsewright "));
    let examples: Vec<_> = examples
        .map(|line| line.split("   ").next().unwrap_or(line))
        .map(|line| line.split("  ... ").next().unwrap_or(line))
        .collect();
    let followed = all_work(&desk, &examples);
    assert!(followed >= 9, "only {followed} were found");
}
