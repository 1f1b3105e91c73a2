//! The shell scripts, whatever the user's shell has set.
#![cfg(unix)]

use std::process::Command;

/// `cd` looks first into the folders of CDPATH, and prints where it went (POSIX.1-2017, cd).
#[test]
fn scripts_find_their_folder_whatever_cdpath_says() {
    let elsewhere = tempfile::tempdir().unwrap();
    for folder in ["scripts", ".ci"] {
        std::fs::create_dir(elsewhere.path().join(folder)).unwrap();
    }
    let mut shell = Command::new("bash");
    shell.current_dir(env!("CARGO_MANIFEST_DIR"));
    shell.env("CDPATH", elsewhere.path());
    // Without a group it goes to its folder, and installs nothing.
    let ran = shell.arg("scripts/need.sh").output().unwrap();
    assert!(ran.status.success() && ran.stdout.is_empty(), "{ran:?}");
    // The other one runs all tests: what it does first is tried by itself.
    let script = std::fs::read_to_string(".ci/run").unwrap();
    let (first, _) = script.split_once("make test").unwrap();
    let mut shell = Command::new("bash");
    shell.current_dir(env!("CARGO_MANIFEST_DIR"));
    shell.env("CDPATH", elsewhere.path());
    let ran = shell
        .args(["-c", &format!("{first}\npwd -P"), ".ci/run"])
        .output();
    let ran = ran.unwrap();
    let here = std::fs::canonicalize(env!("CARGO_MANIFEST_DIR")).unwrap();
    assert_eq!(
        String::from_utf8(ran.stdout).unwrap().trim_end(),
        here.to_str().unwrap()
    );
}
