//! A folder with recordings in it, and the program run there.

use pulsewright::settings::TapeSettings;
use pulsewright::{export, tape};
use std::fs;
use std::io::Write;
use std::path::PathBuf;
use std::process::{Command, Output, Stdio};
use tempfile::TempDir;

/// Where the first character of a tape of [`Desk::tape`] begins.
pub const LEADER_S: f64 = 0.25;
/// A line of the log of the invented Saltmere harbour station.
pub const LOG: &str = "SALTMERE 06:40  3.2 M\r\n";

/// An empty folder.
pub struct Desk(TempDir);

/// What a run of the program left behind.
pub struct Ran {
    pub code: i32,
    pub out: Vec<u8>,
    pub err: String,
}

impl Desk {
    pub fn new() -> Self {
        Self(TempDir::new().unwrap())
    }

    /// A folder with a tape of [`LOG`] at 300 Bd in `log.wav`.
    pub fn with_log() -> Self {
        let desk = Self::new();
        desk.tape("log.wav", LOG.as_bytes(), |_| {});
        desk
    }

    pub fn path(&self, name: &str) -> PathBuf {
        self.0.path().join(name)
    }

    /// The names of all files in the folder.
    pub fn files(&self) -> Vec<String> {
        let names = fs::read_dir(self.0.path()).unwrap();
        let mut names: Vec<_> = names
            .map(|f| f.unwrap().file_name().into_string().unwrap())
            .collect();
        names.sort();
        names
    }

    /// Records bytes with a short leader.
    pub fn tape(&self, name: &str, bytes: &[u8], change: fn(&mut TapeSettings)) {
        let mut settings = TapeSettings {
            leader_s: LEADER_S,
            trailer_s: 0.1,
            ..Default::default()
        };
        change(&mut settings);
        let wav = export::wav(&tape::record(bytes, &settings), 1.0).unwrap();
        fs::write(self.path(name), wav).unwrap();
    }

    /// The program, to be started in the folder.
    pub fn command(&self, args: &[&str]) -> Command {
        let mut command = Command::new(env!("CARGO_BIN_EXE_pulsewright"));
        command.current_dir(self.0.path()).args(args);
        command
            .env_remove("DISPLAY")
            .env_remove("WAYLAND_DISPLAY")
            .env_remove("WAYLAND_SOCKET");
        command
    }

    pub fn run(&self, args: &[&str]) -> Ran {
        Ran::of(self.command(args).stdin(Stdio::null()).output().unwrap())
    }

    /// Runs the program with these bytes on standard input.
    pub fn pipe(&self, args: &[&str], input: &[u8]) -> Ran {
        let mut child = self
            .command(args)
            .stdin(Stdio::piped())
            .stdout(Stdio::piped())
            .stderr(Stdio::piped())
            .spawn()
            .unwrap();
        child.stdin.take().unwrap().write_all(input).unwrap();
        Ran::of(child.wait_with_output().unwrap())
    }
}

impl Ran {
    pub fn of(output: Output) -> Self {
        Self {
            code: output.status.code().expect("the program ended by itself"),
            out: output.stdout,
            err: String::from_utf8(output.stderr).unwrap(),
        }
    }

    /// Standard output of a run that succeeded.
    pub fn text(&self) -> &str {
        assert_eq!(self.code, 0, "{}", self.err);
        std::str::from_utf8(&self.out).unwrap()
    }

    /// The JSON on standard output of a run that succeeded.
    pub fn json(&self) -> serde_json::Value {
        serde_json::from_str(self.text()).unwrap()
    }

    /// Checks that the run failed with this code and one sentence that holds `says`.
    pub fn refused(&self, code: i32, says: &str) {
        assert_eq!(self.code, code, "{}", self.err);
        assert!(self.out.is_empty());
        assert!(self.err.starts_with("pulsewright: "), "{}", self.err);
        assert!(self.err.contains(says), "{} lacks {says}", self.err);
        if code == 1 {
            assert!(self.err.ends_with(".\n"), "{}", self.err);
            assert_eq!(self.err.lines().count(), 1, "{}", self.err);
        }
    }
}
