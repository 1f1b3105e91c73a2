//! Plays a recording to an output device, to drive the real circuit.

use super::devices::Wanted;
use super::patience::{self, Held};
use super::ring::Signs;
use super::stream::Output;
use super::voice::{Voice, writer};
use crate::signal::Recording;
use std::sync::atomic::{AtomicBool, AtomicU64, Ordering};
use std::sync::mpsc::{self, Receiver, RecvTimeoutError, Sender};
use std::sync::{Arc, Mutex, OnceLock, PoisonError};
use std::time::{Duration, Instant};

/// What the sound system may still hold when it has been given everything, beside what it says.
const SLACK: Duration = Duration::from_millis(150);
/// Without a callback for so long, a stream is lost.
const LOST: Duration = Duration::from_secs(3);
/// How often that is looked at.
const LOOK: Duration = Duration::from_millis(20);
/// More between two looks does not count: the program itself stood.
const LONG_LOOK: Duration = Duration::from_millis(100);
/// How long a stop may take.
const STOP: Duration = Duration::from_secs(2);

/// What to play, and where.
#[derive(Clone, Debug)]
pub struct PlayRequest {
    /// On which device; its rate is that of the recording.
    pub wanted: Wanted,
    /// The recording.
    pub recording: Arc<Recording>,
    /// Voltage that the output gives at full scale.
    pub full_scale_v: f64,
    /// Peak level in volts; as recorded where none is given.
    pub level_v: Option<f64>,
    /// Whether to begin again at the end.
    pub repeat: bool,
}

/// How far playing has come.
#[derive(Clone, Debug, PartialEq)]
pub enum Playing {
    /// It plays.
    Going,
    /// Everything has been heard, or it was stopped.
    Done,
    /// The device was lost: a sentence.
    Lost(String),
}

/// A recording that is being played. Dropping it stops it at once.
pub struct Player {
    shared: Arc<Shared>,
    device: String,
    length_s: f64,
    rate_hz: u32,
    _alive: Sender<()>,
}

/// What the callback, the thread that looks after the stream and those who look at it share. Times
/// are nanoseconds since the beginning, 0 for never.
struct Shared {
    began: Instant,
    stop: AtomicBool,
    position: AtomicU64,
    rounds: AtomicU64,
    calls: AtomicU64,
    ended_ns: AtomicU64,
    wait_ns: AtomicU64,
    lost: OnceLock<String>,
    notes: Mutex<Vec<String>>,
}

impl Shared {
    /// Takes over what a callback did, of which the samples wait so long before they are heard.
    fn called(&self, voice: &Voice, wait_ns: u64) {
        self.position.store(voice.at as u64, Ordering::Relaxed);
        self.rounds.store(voice.rounds, Ordering::Relaxed);
        self.wait_ns.store(wait_ns, Ordering::Relaxed);
        self.calls.fetch_add(1, Ordering::Relaxed);
        if voice.is_over() && self.ended_ns.load(Ordering::Relaxed) == 0 {
            let now_ns = (self.began.elapsed().as_nanos() as u64).max(1);
            self.ended_ns.store(now_ns, Ordering::Relaxed);
        }
    }
}

/// Where playing is.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Progress {
    /// Place in the recording in seconds; what is heard lies up to a tenth of a second behind it.
    pub at_s: f64,
    /// Length of the recording, or of the part of it that is repeated, in seconds.
    pub length_s: f64,
    /// How often it has begun again.
    pub rounds: u64,
}

impl Player {
    /// Opens the device and begins to play. May take some seconds.
    ///
    /// # Errors
    /// A sentence.
    pub fn start(request: PlayRequest) -> Result<Self, String> {
        let rate_hz = request.recording.rate_hz();
        let voice = Voice::new(&request)?;
        let length_s = voice.end as f64 / f64::from(rate_hz);
        let wanted = Wanted {
            rate_hz: Some(rate_hz),
            ..request.wanted
        };
        let shared = Arc::new(Shared {
            began: Instant::now(),
            stop: AtomicBool::new(false),
            position: AtomicU64::new(0),
            rounds: AtomicU64::new(0),
            calls: AtomicU64::new(0),
            ended_ns: AtomicU64::new(0),
            wait_ns: AtomicU64::new(0),
            lost: OnceLock::new(),
            notes: Mutex::default(),
        });
        let sound = Sound::open(wanted, voice.clone(), &shared)?;
        let device = sound.device.clone();
        let (alive, dropped) = mpsc::channel();
        let minder = Minder {
            sound,
            voice,
            rate_hz,
            shared: Arc::clone(&shared),
        };
        std::thread::Builder::new()
            .name("play".into())
            .spawn(move || minder.run(&dropped))
            .map_err(|e| format!("The system gives no thread: {e}."))?;
        Ok(Self {
            shared,
            device,
            length_s,
            rate_hz,
            _alive: alive,
        })
    }

    /// Name of the device.
    pub fn device(&self) -> &str {
        &self.device
    }

    /// Where it is.
    pub fn progress(&self) -> Progress {
        let position = self.shared.position.load(Ordering::Relaxed);
        Progress {
            at_s: position as f64 / f64::from(self.rate_hz),
            length_s: self.length_s,
            rounds: self.shared.rounds.load(Ordering::Relaxed),
        }
    }

    /// Whether it still plays.
    pub fn state(&self) -> Playing {
        if let Some(why) = self.shared.lost.get() {
            return Playing::Lost(why.clone());
        }
        let time = |of: &AtomicU64| Duration::from_nanos(of.load(Ordering::Relaxed));
        let ended = time(&self.shared.ended_ns);
        let heard = ended + time(&self.shared.wait_ns) + SLACK;
        match !ended.is_zero() && self.shared.began.elapsed() >= heard {
            true => Playing::Done,
            false => Playing::Going,
        }
    }

    /// What has happened since the last call that does not end it: sentences.
    pub fn notes(&self) -> Vec<String> {
        let notes = &self.shared.notes;
        std::mem::take(&mut *notes.lock().unwrap_or_else(PoisonError::into_inner))
    }

    /// Asks for the end, which comes with a short fade.
    pub fn request_stop(&self) {
        self.shared.stop.store(true, Ordering::Relaxed);
    }

    /// Ends it, and waits until that has been heard, for two seconds at the most.
    pub fn stop(self) {
        self.request_stop();
        let by = Instant::now() + STOP;
        while self.state() == Playing::Going && Instant::now() < by {
            std::thread::sleep(Duration::from_millis(10));
        }
    }
}

impl Drop for Player {
    fn drop(&mut self) {
        // A stream that is just being opened again plays no more either.
        self.request_stop();
    }
}

/// A stream that plays.
struct Sound {
    signs: Arc<Signs>,
    device: String,
    /// The same device again.
    wanted: Wanted,
    _held: Held,
}

impl Sound {
    fn open(wanted: Wanted, mut voice: Voice, shared: &Arc<Shared>) -> Result<Self, String> {
        let (signs, shared) = (Arc::new(Signs::default()), Arc::clone(shared));
        let failed = Arc::clone(&signs);
        let _mute = wanted.mute();
        let open = move || {
            let output = Output::find(&wanted)?;
            let fill = writer(output.sample, usize::from(output.config.channels));
            let play = move |bytes: &mut [u8], wait_ns| {
                voice.stopping = shared.stop.load(Ordering::Relaxed);
                fill(&mut voice, bytes);
                shared.called(&voice, wait_ns);
            };
            let stream = output.start(play, failed)?;
            Ok((stream, (output.name.clone(), output.same(&wanted))))
        };
        let (held, (device, wanted)) = patience::hold(patience::OPEN, "opening the device", open)?;
        Ok(Self {
            signs,
            device,
            wanted,
            _held: held,
        })
    }
}

/// Looks after the stream: notices its end, and opens it again where it broke (see `line`).
struct Minder {
    sound: Sound,
    voice: Voice,
    rate_hz: u32,
    shared: Arc<Shared>,
}

impl Minder {
    fn run(mut self, dropped: &Receiver<()>) {
        let (mut calls, mut silent, mut looked) = (0, Duration::ZERO, Instant::now());
        let mut opened_at = 0;
        while dropped.recv_timeout(LOOK) == Err(RecvTimeoutError::Timeout) {
            let now = Instant::now();
            silent += now.duration_since(looked).min(LONG_LOOK);
            looked = now;
            let before = std::mem::replace(&mut calls, self.shared.calls.load(Ordering::Relaxed));
            if calls != before {
                silent = Duration::ZERO;
            }
            if self.shared.ended_ns.load(Ordering::Relaxed) != 0 {
                continue;
            }
            let over = self.sound.signs.over.get().cloned();
            let lost = match over {
                // One that took nothing is not tried again.
                Some(over) if over.is_broken && calls > opened_at => {
                    opened_at = calls;
                    silent = Duration::ZERO;
                    (!self.reopen()).then_some(over.why)
                }
                Some(over) => Some(over.why),
                None => (silent > LOST).then(|| self.stands()),
            };
            if let Some(why) = lost {
                let _ = self.shared.lost.set(why);
                return;
            }
        }
    }

    /// Goes on where the stream broke; false where that cannot be.
    fn reopen(&mut self) -> bool {
        self.voice.at = self.shared.position.load(Ordering::Relaxed) as usize;
        self.voice.rounds = self.shared.rounds.load(Ordering::Relaxed);
        let wanted = self.sound.wanted.clone();
        let Ok(sound) = Sound::open(wanted, self.voice.clone(), &self.shared) else {
            return false;
        };
        self.sound = sound;
        let at_s = self.voice.at as f64 / f64::from(self.rate_hz);
        let note = format!(
            "The connection to {} broke at {} of the tape, as it does where this program is \
             stopped and continued. It is there again, and playing goes on from that place; up to \
             a tenth of a second before it was not heard.",
            self.sound.device,
            crate::units::clock(at_s)
        );
        let notes = &self.shared.notes;
        notes
            .lock()
            .unwrap_or_else(PoisonError::into_inner)
            .push(note);
        true
    }

    fn stands(&self) -> String {
        format!(
            "{} has taken nothing for {} s: the device or the sound server has stopped. Check \
             them, and begin again.",
            self.sound.device,
            LOST.as_secs()
        )
    }
}
