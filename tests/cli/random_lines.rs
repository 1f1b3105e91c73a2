//! Random command lines end by themselves, and in a sentence where they fail.

use std::process::Command;

/// What a line is made of and what it must not do stands in the script, which runs any number of
/// them and knows limits of time and memory too.
#[test]
fn random_command_lines_end_in_a_sentence() {
    let script = concat!(env!("CARGO_MANIFEST_DIR"), "/benches/command_lines.py");
    let program = env!("CARGO_BIN_EXE_pulsewright");
    let mut python = Command::new("python3");
    let ran = python.args([script, program, "--lines", "300", "--seed", "7"]);
    let ran = ran.output().expect("python3 runs: `make test` installs it");
    let said = String::from_utf8_lossy(&ran.stdout);
    assert!(
        said.contains("300 command lines and 30 absurd tapes"),
        "{ran:?}"
    );
    assert!(ran.status.success(), "{said}");
}
