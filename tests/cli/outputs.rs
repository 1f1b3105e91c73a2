//! Files are written as a whole or not at all.

use crate::desk::Desk;
use std::fs;

#[test]
fn a_finished_file_replaces_the_old_one_and_nothing_else_is_left() {
    let desk = Desk::with_log();
    fs::write(desk.path("t.csv"), "old").unwrap();
    let args = ["traces", "log.wav", "--out", "t.csv", "--replace"];
    assert_eq!(desk.run(&args).code, 0);
    assert!(
        fs::read_to_string(desk.path("t.csv"))
            .unwrap()
            .starts_with("time_s,")
    );
    assert_eq!(desk.files(), ["log.wav", "t.csv"]);
}

/// What a command writes, each file by the arguments that name it or lead to it.
const WRITING: [(&[&str], &str); 8] = [
    (&["read", "log.wav", "--bytes", "x.bin"], "x.bin"),
    (&["read", "log.wav", "--records", "x.hex"], "x.hex"),
    (&["picture", "log.wav", "--out", "x.svg"], "x.svg"),
    (&["picture", "log.wav", "--out", "x.png"], "x.png"),
    (&["traces", "log.wav", "--out", "x.vcd"], "x.vcd"),
    (&["tape", "--text", "A", "--out", "x.wav"], "x.wav"),
    (
        &["tape", "--text", "A", "--out", "y.wav", "--truth", "x.json"],
        "x.json",
    ),
    (
        &["tape", "--text", "A", "--out", "y.wav", "--wear-hum", "1mV"],
        "y.wav.json",
    ),
];

#[test]
fn a_file_that_is_there_is_written_over_only_when_that_is_asked_for() {
    for (args, name) in WRITING {
        let desk = Desk::with_log();
        fs::write(desk.path(name), "precious").unwrap();
        let files = desk.files();
        desk.run(args)
            .refused(1, &format!("{name} is there already"));
        assert_eq!(fs::read(desk.path(name)).unwrap(), b"precious");
        assert_eq!(desk.files(), files);
        let ran = desk.run(&[args, &["--replace"]].concat());
        assert_eq!(ran.code, 0, "{args:?}: {}", ran.err);
        assert_ne!(fs::read(desk.path(name)).unwrap(), b"precious");
    }
}

/// The refusal comes before the work: the recording is not even there.
#[test]
fn what_cannot_be_written_is_refused_before_the_work() {
    let desk = Desk::new();
    fs::write(desk.path("x.csv"), "precious").unwrap();
    let trace = |out| desk.run(&["traces", "no.wav", "--out", out]);
    trace("x.csv").refused(1, "x.csv is there already");
    trace("no/x.csv").refused(1, "there is no such folder");
    fs::create_dir(desk.path("f.csv")).unwrap();
    trace("f.csv").refused(1, "it is a folder");
    desk.run(&["read", "no.wav", "--bytes", "./r.hex", "--records", "r.hex"])
        .refused(2, "one file");
}

#[test]
fn two_results_never_go_to_one_file() {
    let desk = Desk::with_log();
    let files = desk.files();
    let read = |bytes, records| {
        let args = ["read", "log.wav", "--bytes", bytes, "--records", records];
        desk.run(&[&args[..], &["--replace"]].concat())
    };
    read("r.hex", "r.hex").refused(2, "two results");
    read("./r.hex", "r.hex").refused(2, "one file");
    let tape = |args: &[&str]| {
        desk.run(&[&["tape", "--text", "A", "--replace", "--out", "a"], args].concat())
    };
    tape(&["--truth", "a"]).refused(2, "two results");
    tape(&["--truth", "./a"]).refused(2, "one file");
    assert_eq!(desk.files(), files);
    fs::write(desk.path("r.hex"), "old").unwrap();
    fs::hard_link(desk.path("r.hex"), desk.path("s.hex")).unwrap();
    read("r.hex", "s.hex").refused(2, "one file");
    assert_eq!(fs::read(desk.path("s.hex")).unwrap(), b"old");
}

/// A recording, settings, a capture's report: whatever is read stays.
#[test]
fn what_is_read_is_never_written_over() {
    let desk = Desk::with_log();
    desk.tape("tide-2.wav", b"TIDE", |_| {});
    fs::write(desk.path("b.toml"), "").unwrap();
    fs::write(desk.path("c.bin"), "bytes").unwrap();
    fs::hard_link(desk.path("log.wav"), desk.path("other.wav")).unwrap();
    let files = desk.files();
    let bench = ["--bench", "b.toml"];
    for (args, says) in [
        (&["read", "log.wav", "--bytes", "other.wav"][..], "the file"),
        (&["read", "log.wav", "--bytes", "b.toml"], "the bench"),
        (&["traces", "log.wav", "--out", "log.capture.json"], ".csv"),
        (
            &["read", "log.wav", "--bytes", "log.capture.json"],
            "report",
        ),
        (
            &["read", "tide-2.wav", "--bytes", "tide.capture.json"],
            "report",
        ),
        (&["tape", "--file", "c.bin", "--out", "c.bin"], "the file"),
        (
            &["tape", "--text", "A", "--out", "a", "--truth", "b.toml"],
            "the bench",
        ),
    ] {
        desk.run(&[args, &bench, &["--replace"]].concat())
            .refused(2, says);
    }
    assert_eq!(desk.files(), files);
    assert_eq!(fs::read(desk.path("b.toml")).unwrap(), b"");
    assert_eq!(fs::read(desk.path("c.bin")).unwrap(), b"bytes");
}

#[test]
fn a_failure_leaves_the_old_file() {
    let desk = Desk::new();
    fs::write(desk.path("t.csv"), "old").unwrap();
    fs::write(desk.path("bad.wav"), "not audio").unwrap();
    desk.run(&["traces", "bad.wav", "--out", "t.csv", "--replace"])
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
        let script = "ulimit -f 8; trap '' XFSZ; exec \"$0\" traces log.wav --out t.csv --replace";
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
        let args = ["traces", "log.wav", "--out", "link.csv", "--replace"];
        assert_eq!(desk.run(&args).code, 0);
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

    #[test]
    fn links_are_seen_through() {
        let desk = Desk::with_log();
        fs::create_dir(desk.path("deep")).unwrap();
        symlink(desk.path("deep"), desk.path("shortcut")).unwrap();
        symlink("deep/r.hex", desk.path("dangling.hex")).unwrap();
        symlink("log.wav", desk.path("link.wav")).unwrap();
        let files = desk.files();
        let read = |bytes, records| {
            let args = ["read", "log.wav", "--bytes", bytes, "--records", records];
            desk.run(&[&args[..], &["--replace"]].concat())
        };
        read("deep/r.hex", "shortcut/r.hex").refused(2, "one file");
        read("dangling.hex", "deep/r.hex").refused(2, "one file");
        read("link.wav", "deep/r.hex").refused(2, "the file that is read");
        assert_eq!(desk.files(), files);
        assert!(!desk.path("deep/r.hex").exists());
    }

    /// The shell's own redirections name files, too.
    #[test]
    fn what_the_shell_reads_and_writes_counts() {
        let desk = Desk::with_log();
        let before = fs::read(desk.path("log.wav")).unwrap();
        let shell = |script: &str| {
            let script = format!("p() {{ \"$0\" \"$@\"; }}\n{script}");
            let mut shell = Command::new("sh");
            shell
                .args(["-c", &script, env!("CARGO_BIN_EXE_pulsewright")])
                .current_dir(desk.path("."));
            Ran::of(shell.output().unwrap())
        };
        shell("p read - --bytes log.wav --replace < log.wav").refused(2, "the file that is read");
        assert_eq!(fs::read(desk.path("log.wav")).unwrap(), before);
        for script in [
            "p read log.wav >> log.wav",
            "p read - < log.wav >> log.wav",
            "p score other.wav --truth log.wav >> log.wav",
        ] {
            shell(script).refused(2, "standard output goes to the same file");
        }
        assert_eq!(fs::read(desk.path("log.wav")).unwrap(), before);
        // The shell has emptied the file by then: that is said, and no defaults are written there.
        fs::write(desk.path("b.toml"), "").unwrap();
        shell("p bench --bench b.toml > b.toml").refused(2, "the bench that is read");
        shell("p read log.wav --bytes t --replace > t").refused(2, "standard output");
        shell("p read log.wav --bytes t > t").refused(2, "standard output");
        let ran = shell("p read log.wav --bytes t --replace 2> t");
        assert_eq!(ran.code, 2);
    }

    /// A link to what is not there yet: what it leads to is made, and the link stays.
    #[test]
    fn a_link_to_nothing_is_followed_and_not_replaced() {
        let desk = Desk::with_log();
        fs::create_dir(desk.path("deep")).unwrap();
        symlink("deep/t.csv", desk.path("t.csv")).unwrap();
        symlink("no/t.csv", desk.path("lost.csv")).unwrap();
        symlink("ring.csv", desk.path("ring.csv")).unwrap();
        let trace = |out| desk.run(&["traces", "log.wav", "--out", out]);
        assert_eq!(trace("t.csv").code, 0);
        assert!(desk.path("t.csv").is_symlink());
        assert!(!desk.path("deep/t.csv").is_symlink());
        trace("lost.csv").refused(1, "lost.csv cannot be written: there is no such folder.");
        trace("ring.csv").refused(1, "ring.csv cannot be written");
        assert!(desk.path("lost.csv").is_symlink());
        assert!(desk.path("ring.csv").is_symlink());
    }

    fn pipe(desk: &Desk, name: &str) {
        let made = Command::new("mkfifo").arg(desk.path(name)).status();
        assert!(made.unwrap().success());
    }

    /// POSIX mkfifo: opened for writing, a pipe waits for a reader, by default for ever.
    #[test]
    fn a_pipe_is_written_to_where_something_reads_it_and_given_up_where_not() {
        let desk = Desk::with_log();
        pipe(&desk, "t.csv");
        let trace = || desk.run(&["traces", "log.wav", "--out", "t.csv"]);
        trace().refused(1, "t.csv cannot be written: nothing reads from it.");
        let args = ["read", "log.wav", "--bytes", "t.csv", "--records", "t.hex"];
        symlink("t.csv", desk.path("t.hex")).unwrap();
        desk.run(&args).refused(2, "one file");
        let path = desk.path("t.csv");
        let reader = std::thread::spawn(move || fs::read_to_string(path).unwrap());
        assert_eq!(trace().code, 0);
        assert!(reader.join().unwrap().starts_with("time_s,"));
        assert!(!fs::metadata(desk.path("t.csv")).unwrap().is_file());
    }

    /// POSIX: a write of more than a pipe holds waits for the reader.
    #[test]
    fn a_slow_reader_of_a_pipe_gets_everything() {
        let desk = Desk::with_log();
        pipe(&desk, "p.csv");
        let args = ["traces", "log.wav", "--out"];
        let trace = |out| desk.run(&[&args[..], &[out]].concat());
        let path = desk.path("p.csv");
        let reader = std::thread::spawn(move || {
            let mut pipe = fs::File::open(path).unwrap();
            std::thread::sleep(std::time::Duration::from_millis(100));
            let mut bytes = Vec::new();
            std::io::Read::read_to_end(&mut pipe, &mut bytes).unwrap();
            bytes
        });
        assert_eq!(trace("p.csv").code, 0);
        assert_eq!(trace("q.csv").code, 0);
        let read = reader.join().unwrap();
        assert!(read.len() > 65_536);
        assert!(read == fs::read(desk.path("q.csv")).unwrap());
    }

    /// A recording and its truth are one thing: on a disk that is too small for the new ones, the
    /// old ones stay as they were. The limit stands for the disk, as above; the truth fits in it.
    #[test]
    fn a_pair_that_does_not_fit_leaves_the_old_pair() {
        let desk = Desk::new();
        let script = |limit: &str, text: &str| {
            let args = format!("tape --text {text} --out a.wav --truth a.json --replace");
            let script = format!("ulimit -f {limit}; trap '' XFSZ; exec \"$0\" {args}");
            let output = Command::new("sh")
                .args(["-c", &script, env!("CARGO_BIN_EXE_pulsewright")])
                .current_dir(desk.path("."))
                .output();
            Ran::of(output.unwrap())
        };
        let pair = || ["a.wav", "a.json"].map(|name| fs::read(desk.path(name)).unwrap());
        assert_eq!(script("unlimited", "OLD").code, 0);
        let old = pair();
        script("16", "NEW").refused(1, "a.wav cannot be written: File too large.");
        assert!(pair() == old);
        assert_eq!(desk.files(), ["a.json", "a.wav"]);
        assert_eq!(script("unlimited", "NEW").code, 0);
        assert!(pair() != old);
    }

    /// The same on a disk that is full (tmpfs, 1 MiB), where this user may mount one.
    #[test]
    #[cfg(target_os = "linux")]
    fn a_pair_on_a_full_disk_leaves_the_old_pair() {
        let desk = Desk::new();
        let script = "mount -t tmpfs -o size=1m tmpfs . && cd \"$PWD\" || exit 77
            \"$0\" tape --text OLD --tape-leader 1 --out a.wav --truth a.json || exit 78
            old=$(cat a.wav a.json | cksum)
            \"$0\" tape --pattern random --out a.wav --truth a.json --replace
            code=$?
            [ \"$(ls -A)\" = \"$(printf 'a.json\\na.wav')\" ] || exit 79
            [ \"$(cat a.wav a.json | cksum)\" = \"$old\" ] || exit 80
            exit $code";
        let output = Command::new("unshare")
            .args(["-rm", "sh", "-c", script, env!("CARGO_BIN_EXE_pulsewright")])
            .current_dir(desk.path("."))
            .output();
        let output = output.unwrap();
        let says = String::from_utf8_lossy(&output.stderr);
        match output.status.code() {
            Some(77) => eprintln!("not tried: no disk can be mounted here ({says})"),
            // unshare itself, where it may not.
            _ if says.starts_with("unshare:") => eprintln!("not tried: {says}"),
            code => {
                assert_eq!(code, Some(1), "{says}");
                assert!(says.contains("No space left on device"), "{says}");
            }
        }
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
