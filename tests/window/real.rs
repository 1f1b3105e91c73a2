//! A real window on a screen without a display: Xvfb shows it, openbox manages it, xdotool is the
//! hand. What it keeps must be, byte for byte, what the command line writes.

use crate::desk::{Desk, folder, size, tide_log};
use egui::{Pos2, Rect, vec2};
use pulsewright::picture::Span;
use pulsewright::settings::{Bench, read_bench};
use std::fs;
use std::io::{BufRead, BufReader};
use std::os::unix::fs::PermissionsExt;
use std::path::{Path, PathBuf};
use std::process::{Child, Command, Stdio};
use std::thread::sleep;
use std::time::{Duration, Instant};
use tempfile::TempDir;

/// How long anything is waited for, at the most.
const PATIENCE: Duration = Duration::from_secs(180);
const PAUSE: Duration = Duration::from_millis(150);
/// Width and height of the window.
const SIZE: [f32; 2] = [1440.0, 900.0];
/// How often the whole recording is halved for the picture.
const HALVED: usize = 3;

#[test]
fn what_a_window_keeps_is_what_the_command_line_writes() {
    // A window of the same size that needs no screen tells where things are.
    let plan = Desk::with(folder(), Some(tide_log()), size(SIZE[0], SIZE[1]));
    let [slider, lanes, overview] =
        ["long width slider", "Lanes", "Overview"].map(|label| plan.control(label).rect());
    let end_s = plan.app().whole().end_s;
    drop(plan);

    let mut screen = Screen::start();
    screen.open(&tide_log());

    let before = screen.keep("ctrl+shift+e", "before.svg");
    let before = String::from_utf8(before).unwrap();
    assert!(before.contains("All settings at their defaults."));
    assert!(before.contains("(100 ms)"), "the first look");

    screen.drag(
        slider.center(),
        slider.center() + vec2(slider.width() / 4.0, 0.0),
    );
    screen.wheel(lanes.center(), 3);
    let nearer = screen.keep("ctrl+shift+e", "nearer.svg");
    let nearer = String::from_utf8(nearer).unwrap();
    assert!(nearer.contains("Settings: long-width "));
    assert!(!nearer.contains("(100 ms)"), "the wheel changes the span");

    // Keys alone give a span that is known to the last bit. The pointer is where it holds none.
    screen.move_to(above(overview));
    screen.press("0");
    let mut span = Span::new(0.0, end_s).kept_within(end_s);
    for _ in 0..HALVED {
        screen.press("plus");
        span = span.zoomed(0.5, span.middle_s()).kept_within(end_s);
    }
    let kept = screen.keep("ctrl+e", "kept.png");
    let settings = screen.close();

    let bench = read_bench(&fs::read_to_string(&settings).unwrap()).unwrap();
    assert!(bench.long.width_s > Bench::default().long.width_s);
    assert_eq!(span.from_s + span.length_s(), span.to_s);
    let written = screen.picture(&settings, span);
    assert!(kept.starts_with(b"\x89PNG"));
    assert!(
        kept == written,
        "the window's picture is not the command line's"
    );
}

/// A place between the cards and what is below them.
fn above(overview: Rect) -> Pos2 {
    overview.center_top() - vec2(0.0, 4.0)
}

/// A screen that nobody sees, with a window on it. Ends what it has started when it is dropped.
struct Screen {
    folder: TempDir,
    display: String,
    started: Vec<Child>,
    /// The window's number.
    window: String,
}

impl Screen {
    fn start() -> Self {
        let mut server = Command::new("Xvfb");
        server.args(["-displayfd", "1", "-nolisten", "tcp"]);
        server.args(["-screen", "0", "1600x1000x24"]);
        let mut server = started(server.stdout(Stdio::piped()));
        let mut number = String::new();
        let out = server.stdout.take().unwrap();
        BufReader::new(out).read_line(&mut number).unwrap();
        let mut screen = Self {
            folder: folder(),
            display: format!(":{}", number.trim()),
            started: vec![server],
            window: String::new(),
        };
        assert!(!number.trim().is_empty(), "Xvfb names its display");
        let manager = started(screen.command("openbox").stdout(Stdio::null()));
        screen.started.push(manager);
        screen
    }

    fn path(&self, name: &str) -> PathBuf {
        self.folder.path().join(name)
    }

    /// A program on this screen, with a folder of its own for settings, and no desktop's services.
    fn command(&self, program: impl AsRef<std::ffi::OsStr>) -> Command {
        let mut command = Command::new(program);
        command
            .current_dir(self.folder.path())
            .env("DISPLAY", &self.display)
            .env("WINIT_X11_SCALE_FACTOR", "1")
            .env("XDG_CONFIG_HOME", self.path("config"))
            .env("DBUS_SESSION_BUS_ADDRESS", "unix:path=/nonexistent")
            .env_remove("WAYLAND_DISPLAY")
            .env_remove("WAYLAND_SOCKET")
            .stdin(Stdio::null())
            .stderr(Stdio::null());
        command
    }

    /// Opens a window on a file and waits until it has read it.
    fn open(&mut self, file: &Path) {
        let config = self.path("config/pulsewright");
        fs::create_dir_all(&config).unwrap();
        fs::write(config.join("window.toml"), format!("size = {SIZE:?}\n")).unwrap();
        // Where a dialog would ask, this answers.
        let bin = self.path("bin");
        fs::create_dir(&bin).unwrap();
        let zenity = bin.join("zenity");
        fs::write(&zenity, "#!/bin/sh\ncat \"${0%/*}/answer\"\n").unwrap();
        fs::set_permissions(&zenity, fs::Permissions::from_mode(0o755)).unwrap();
        let others = std::env::var("PATH").unwrap_or_default();
        let mut program = self.command(env!("CARGO_BIN_EXE_pulsewright"));
        program
            .arg(file)
            .env("PATH", format!("{}:{others}", bin.display()));
        let program = started(&mut program);
        let id = program.id().to_string();
        self.started.push(program);
        let search = [
            "search",
            "--onlyvisible",
            "--pid",
            &id,
            "--name",
            "Pulsewright",
        ];
        self.window = wait_for("the window comes", || {
            let found = self.command("xdotool").args(search).output().unwrap();
            let found = String::from_utf8_lossy(&found.stdout).trim().to_string();
            (!found.is_empty()).then_some(found)
        });
        self.stand_still();
    }

    /// Waits until the window shows something and the same for a while: a spinner turns in it for
    /// as long as it works.
    fn stand_still(&self) {
        let mut last = Vec::new();
        let mut same = 0;
        wait_for("the window comes to rest", || {
            let mut import = self.command("import");
            import.args(["-window", &self.window, "-depth", "8", "rgb:-"]);
            let seen = output(&mut import);
            let blank = seen.windows(2).all(|pair| pair[0] == pair[1]);
            same = if seen == last && !blank { same + 1 } else { 0 };
            last = seen;
            (same >= 3).then_some(())
        });
    }

    fn hand(&self, words: &[&str]) {
        output(self.command("xdotool").args(words));
        sleep(PAUSE);
    }

    fn move_to(&self, at: Pos2) {
        let [x, y] = [at.x, at.y].map(|v| v.round().to_string());
        self.hand(&["mousemove", "--window", &self.window, &x, &y]);
    }

    fn drag(&self, from: Pos2, to: Pos2) {
        self.move_to(from);
        self.hand(&["mousedown", "1"]);
        for part in [0.3, 0.7, 1.0] {
            self.move_to(from.lerp(to, part));
        }
        self.hand(&["mouseup", "1"]);
        self.stand_still();
    }

    fn wheel(&self, at: Pos2, steps: usize) {
        self.move_to(at);
        for _ in 0..steps {
            self.hand(&["click", "4"]);
        }
        self.stand_still();
    }

    fn press(&self, key: &str) {
        self.hand(&["key", key]);
        self.stand_still();
    }

    /// Presses a key that keeps something, answers with a file of this name, and gives what is in
    /// it then.
    fn keep(&self, key: &str, name: &str) -> Vec<u8> {
        let path = self.path(name);
        fs::write(self.path("bin/answer"), path.to_str().unwrap()).unwrap();
        self.press(key);
        wait_for("the file is written", || fs::read(&path).ok())
    }

    /// Closes the window by the manager's key for it; gives the settings that it leaves.
    fn close(&mut self) -> PathBuf {
        self.hand(&["key", "alt+F4"]);
        let mut program = self.started.pop().unwrap();
        let status = wait_for("the window closes", || program.try_wait().unwrap());
        assert!(status.success(), "{status}");
        self.path("config/pulsewright/last.toml")
    }

    /// What `picture` writes of the same span with the same settings.
    fn picture(&self, settings: &Path, span: Span) -> Vec<u8> {
        let out = self.path("written.png");
        let mut program = self.command(env!("CARGO_BIN_EXE_pulsewright"));
        program.arg("picture").arg(tide_log());
        program.arg("--bench").arg(settings).arg("--out").arg(&out);
        program.args(["--size", "1600x1000", "--scale", "2"]);
        program.args(["--from", &span.from_s.to_string()]);
        program.args(["--span", &span.length_s().to_string()]);
        output(&mut program);
        fs::read(out).unwrap()
    }
}

impl Drop for Screen {
    fn drop(&mut self) {
        // The window first, the screen last.
        for child in self.started.iter_mut().rev() {
            let _ = child.kill();
            let _ = child.wait();
        }
    }
}

/// Asks again and again until there is an answer.
fn wait_for<T>(what: &str, mut answer: impl FnMut() -> Option<T>) -> T {
    let begun = Instant::now();
    loop {
        if let Some(answer) = answer() {
            return answer;
        }
        assert!(begun.elapsed() < PATIENCE, "it never comes that {what}");
        sleep(PAUSE);
    }
}

fn started(command: &mut Command) -> Child {
    let name = command.get_program().to_string_lossy().into_owned();
    let child = command.stderr(Stdio::null()).spawn();
    child.unwrap_or_else(|e| panic!("{name} does not start ({e}); `make test` installs it"))
}

/// What a program writes, when it has ended well.
fn output(command: &mut Command) -> Vec<u8> {
    let name = command.get_program().to_string_lossy().into_owned();
    let output = command.output();
    let output =
        output.unwrap_or_else(|e| panic!("{name} does not start ({e}); `make test` installs it"));
    assert!(output.status.success(), "{name}: {}", output.status);
    output.stdout
}
