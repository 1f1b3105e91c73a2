//! Files are written as a whole or not at all.

use crate::desk::Desk;
use std::fs;

#[test]
fn a_finished_file_replaces_the_old_one_and_nothing_else_is_left() {
    let desk = Desk::with_log();
    fs::write(desk.path("t.csv"), "old").unwrap();
    assert_eq!(desk.run(&["traces", "log.wav", "--out", "t.csv"]).code, 0);
    assert!(
        fs::read_to_string(desk.path("t.csv"))
            .unwrap()
            .starts_with("time_s,")
    );
    assert_eq!(desk.files(), ["log.wav", "t.csv"]);
}

#[test]
fn a_failure_leaves_the_old_file() {
    let desk = Desk::new();
    fs::write(desk.path("t.csv"), "old").unwrap();
    fs::write(desk.path("bad.wav"), "not audio").unwrap();
    desk.run(&["traces", "bad.wav", "--out", "t.csv"])
        .refused(1, "bad.wav");
    assert_eq!(fs::read_to_string(desk.path("t.csv")).unwrap(), "old");
    assert_eq!(desk.files(), ["bad.wav", "t.csv"]);
}

#[test]
fn what_cannot_be_written_is_named() {
    let desk = Desk::with_log();
    let trace = |out| desk.run(&["traces", "log.wav", "--out", out]);
    trace("no/t.csv").refused(1, "no/t.csv cannot be written: there is no such folder.");
    fs::create_dir(desk.path("full.csv")).unwrap();
    trace("full.csv").refused(1, "full.csv cannot be written");
    trace("t.txt").refused(2, "let it end with .csv or .vcd.");
    trace("csv").refused(2, "let it end with");
    desk.run(&["traces", "log.wav"]).refused(2, "--out");
    assert_eq!(desk.files(), ["full.csv", "log.wav"]);
}

/// By whatever name it goes: the recording would be lost.
#[test]
fn the_file_that_is_read_is_never_written_over() {
    let desk = Desk::with_log();
    let before = fs::read(desk.path("log.wav")).unwrap();
    for out in ["log.wav", "./log.wav"] {
        desk.run(&["read", "log.wav", "--bytes", out])
            .refused(2, "log.wav is the file that is read; write to another one.");
        desk.run(&["tape", "--file", "log.wav", "--out", out])
            .refused(2, "log.wav is the file that is read");
    }
    assert_eq!(fs::read(desk.path("log.wav")).unwrap(), before);
    assert_eq!(desk.files(), ["log.wav"]);
}

#[test]
fn a_file_that_is_protected_against_writing_stays() {
    let desk = Desk::with_log();
    fs::write(desk.path("t.csv"), "old").unwrap();
    let mut permissions = fs::metadata(desk.path("t.csv")).unwrap().permissions();
    permissions.set_readonly(true);
    fs::set_permissions(desk.path("t.csv"), permissions).unwrap();
    desk.run(&["traces", "log.wav", "--out", "t.csv"])
        .refused(1, "t.csv cannot be written: permission denied.");
    assert_eq!(fs::read_to_string(desk.path("t.csv")).unwrap(), "old");
}

#[cfg(unix)]
mod unix {
    use super::*;
    use crate::desk::Ran;
    use std::os::unix::fs::{PermissionsExt, symlink};
    use std::process::Command;

    fn mode(desk: &Desk, name: &str) -> u32 {
        fs::metadata(desk.path(name)).unwrap().permissions().mode() & 0o777
    }

    #[test]
    fn a_new_file_has_the_permissions_that_the_umask_leaves() {
        let desk = Desk::with_log();
        let script = "umask 027; exec \"$0\" traces log.wav --out t.csv";
        let status = Command::new("sh")
            .args(["-c", script, env!("CARGO_BIN_EXE_pulsewright")])
            .current_dir(desk.path("."))
            .status();
        assert!(status.unwrap().success());
        assert_eq!(mode(&desk, "t.csv"), 0o640);
    }

    /// POSIX: past the limit of `ulimit -f` (in blocks of 512 bytes) a write fails where the signal
    /// XFSZ is ignored.
    #[test]
    fn a_file_that_does_not_fit_on_the_disk_leaves_the_old_one() {
        let desk = Desk::with_log();
        fs::write(desk.path("t.csv"), "old").unwrap();
        let script = "ulimit -f 8; trap '' XFSZ; exec \"$0\" traces log.wav --out t.csv";
        let output = Command::new("sh")
            .args(["-c", script, env!("CARGO_BIN_EXE_pulsewright")])
            .current_dir(desk.path("."))
            .output();
        Ran::of(output.unwrap()).refused(1, "t.csv cannot be written: File too large.");
        assert_eq!(fs::read_to_string(desk.path("t.csv")).unwrap(), "old");
        assert_eq!(desk.files(), ["log.wav", "t.csv"]);
    }

    #[test]
    fn an_old_file_keeps_its_permissions_and_a_link_its_target() {
        let desk = Desk::with_log();
        fs::write(desk.path("t.csv"), "old").unwrap();
        fs::set_permissions(desk.path("t.csv"), PermissionsExt::from_mode(0o600)).unwrap();
        symlink("t.csv", desk.path("link.csv")).unwrap();
        assert_eq!(
            desk.run(&["traces", "log.wav", "--out", "link.csv"]).code,
            0
        );
        assert!(
            fs::read_to_string(desk.path("t.csv"))
                .unwrap()
                .starts_with("time_s,")
        );
        assert!(
            fs::symlink_metadata(desk.path("link.csv"))
                .unwrap()
                .is_symlink()
        );
        assert_eq!(mode(&desk, "t.csv"), 0o600);
    }

    /// `/dev/full` (Linux) takes no byte; `/dev/null` takes all and must stay what it is.
    #[test]
    #[cfg(target_os = "linux")]
    fn a_device_is_written_to_and_not_replaced() {
        let desk = Desk::with_log();
        symlink("/dev/null", desk.path("null.csv")).unwrap();
        symlink("/dev/full", desk.path("full.csv")).unwrap();
        assert_eq!(
            desk.run(&["traces", "log.wav", "--out", "null.csv"]).code,
            0
        );
        assert!(!fs::metadata("/dev/null").unwrap().is_file());
        desk.run(&["traces", "log.wav", "--out", "full.csv"])
            .refused(1, "full.csv cannot be written");
        let full = fs::File::options().write(true).open("/dev/full").unwrap();
        let ran = desk.command(&["read", "log.wav"]).stdout(full).output();
        Ran::of(ran.unwrap()).refused(1, "Standard output cannot be written");
    }
}
