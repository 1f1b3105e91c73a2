//! The virtual sound card, and the program run on it.

use std::fs;
use std::io::{BufRead, BufReader, Read};
use std::path::{Path, PathBuf};
use std::process::{Child, Command, Stdio};
use std::sync::mpsc::{Receiver, channel};
use std::sync::{Mutex, MutexGuard, PoisonError};
use std::thread::sleep;
use std::time::{Duration, Instant};
use tempfile::TempDir;

/// No wait in these tests is longer.
pub const PATIENCE: Duration = Duration::from_secs(30);

/// A sound server in a folder of its own. Inputs: `deck` (the default) hears what is played to
/// `tape`; `spk.monitor` hears the default output `spk`.
pub struct Card {
    folder: TempDir,
    server: Child,
    _turn: MutexGuard<'static, ()>,
}

/// Sound runs by the clock: its tests take the machine one behind the other.
static TURN: Mutex<()> = Mutex::new(());

impl Card {
    pub fn start() -> Self {
        let turn = TURN.lock().unwrap_or_else(PoisonError::into_inner);
        let folder = TempDir::new().unwrap();
        let at = folder.path();
        for name in ["home", "state", "pulse"] {
            fs::create_dir(at.join(name)).unwrap();
        }
        // Without rewinds: they would take back the start of a tone.
        let sink = "module-null-sink norewinds=1 rate=48000 channels=2 format=s16le sink_name";
        let script = format!(
            "load-module module-native-protocol-unix socket={}/pulse/native auth-anonymous=1\n\
             load-module {sink}=tape\n\
             load-module {sink}=spk\n\
             load-module module-remap-source source_name=deck master=tape.monitor\n\
             set-default-sink spk\n\
             set-default-source deck\n",
            at.display()
        );
        fs::write(at.join("card.pa"), script).unwrap();
        let mut command = Command::new("pulseaudio");
        surround(&mut command, at);
        let server = command
            .env("HOME", at.join("home"))
            .arg("-n")
            .arg("-F")
            .arg(at.join("card.pa"))
            .args(["--daemonize=no", "--exit-idle-time=-1", "--disable-shm=yes"])
            .args(["--use-pid-file=no", "--high-priority=no", "--realtime=no"])
            .stderr(fs::File::create(at.join("server.log")).unwrap())
            .spawn()
            .expect("pulseaudio is needed: run 'make test'");
        let card = Self {
            folder,
            server,
            _turn: turn,
        };
        let by = Instant::now() + PATIENCE;
        while !card.control(&["info"]) {
            assert!(Instant::now() < by, "the sound server does not start");
            sleep(Duration::from_millis(30));
        }
        card
    }

    pub fn path(&self, name: &str) -> PathBuf {
        self.folder.path().join(name)
    }

    fn control(&self, args: &[&str]) -> bool {
        let mut command = self.command("pactl", args);
        command.stdout(Stdio::null()).stderr(Stdio::null());
        command.status().unwrap().success()
    }

    fn command(&self, program: &str, args: &[&str]) -> Command {
        let mut command = Command::new(program);
        surround(&mut command, self.folder.path());
        command.current_dir(self.folder.path()).args(args);
        command.stdin(Stdio::null());
        command
    }

    /// Plays a file of the folder to its end.
    pub fn play(&self, name: &str) {
        let args = ["--device=tape", name];
        assert!(self.command("paplay", &args).status().unwrap().success());
    }

    /// Begins to play a file of the folder.
    pub fn player(&self, name: &str) -> Child {
        let mut command = self.command("paplay", &["--device=tape", name]);
        command.stderr(Stdio::null()).spawn().unwrap()
    }

    pub fn unload(&self, module: &str) {
        assert!(self.control(&["unload-module", module]));
    }

    /// Suspends a source, or lets it go on.
    pub fn suspend(&self, source: &str, suspended: bool) {
        let suspended = if suspended { "1" } else { "0" };
        assert!(self.control(&["suspend-source", source, suspended]));
    }

    /// Sends the server a signal.
    pub fn signal(&self, signal: &str) {
        send(&self.server, signal);
    }

    /// Starts the program.
    pub fn program(&self, args: &[&str]) -> Program {
        Program::start(self.command(env!("CARGO_BIN_EXE_pulsewright"), args))
    }

    /// Starts the program in a shell, behind some words.
    pub fn shell(&self, before: &str, args: &str) -> Program {
        let line = format!("{before} exec {} {args}", env!("CARGO_BIN_EXE_pulsewright"));
        Program::start(self.command("bash", &["-c", &line]))
    }
}

impl Drop for Card {
    fn drop(&mut self) {
        let _ = self.server.kill();
        let _ = self.server.wait();
    }
}

fn surround(command: &mut Command, at: &Path) {
    command
        .env("XDG_RUNTIME_DIR", at)
        .env("PULSE_RUNTIME_PATH", at.join("pulse"))
        .env("PULSE_STATE_PATH", at.join("state"))
        .env(
            "PULSE_SERVER",
            format!("unix:{}/pulse/native", at.display()),
        )
        .env("PULSE_COOKIE", at.join("cookie"))
        .env_remove("DBUS_SESSION_BUS_ADDRESS");
}

fn send(child: &Child, signal: &str) {
    let id = child.id().to_string();
    let sent = Command::new("kill")
        .args([&format!("-{signal}"), &id])
        .status();
    assert!(sent.unwrap().success());
}

/// The program while it runs.
pub struct Program {
    child: Child,
    lines: Receiver<String>,
    said: String,
}

/// What it left behind.
pub struct Ran {
    pub code: Option<i32>,
    pub out: String,
    pub err: String,
}

impl Program {
    fn start(mut command: Command) -> Self {
        let piped = command.stdout(Stdio::piped()).stderr(Stdio::piped());
        let mut child = piped.spawn().unwrap();
        let err = BufReader::new(child.stderr.take().unwrap());
        let (tell, lines) = channel();
        std::thread::spawn(move || {
            let lines = err.lines().map_while(Result::ok);
            lines.take_while(|l| tell.send(l.clone()).is_ok()).count()
        });
        Self {
            child,
            lines,
            said: String::new(),
        }
    }

    /// Waits for a line on standard error that begins with these words.
    pub fn until(&mut self, words: &str) {
        let by = Instant::now() + PATIENCE;
        loop {
            let left = by.saturating_duration_since(Instant::now());
            let line = self.lines.recv_timeout(left);
            let line = line.unwrap_or_else(|e| panic!("no '{words}': {e}; it said: {}", self.said));
            self.said.push_str(&line);
            self.said.push('\n');
            if line.starts_with(words) {
                return;
            }
        }
    }

    pub fn signal(&self, signal: &str) {
        send(&self.child, signal);
    }

    /// Ends as Ctrl-C does.
    pub fn interrupt(self) -> Ran {
        self.signal("INT");
        self.wait()
    }

    /// Waits for its end, and ends it where that takes too long.
    pub fn wait(mut self) -> Ran {
        let by = Instant::now() + PATIENCE;
        let code = loop {
            if let Some(status) = self.child.try_wait().unwrap() {
                break status.code();
            }
            if Instant::now() > by {
                let _ = self.child.kill();
                panic!("it hangs; it said: {}", self.said);
            }
            sleep(Duration::from_millis(10));
        };
        let mut out = String::new();
        let mut from = self.child.stdout.take().unwrap();
        from.read_to_string(&mut out).unwrap();
        let mut err = std::mem::take(&mut self.said);
        for line in &self.lines {
            err.push_str(&line);
            err.push('\n');
        }
        Ran { code, out, err }
    }
}

impl Drop for Program {
    fn drop(&mut self) {
        let _ = self.child.kill();
        let _ = self.child.wait();
    }
}
