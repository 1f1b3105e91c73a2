//! The thread that takes the samples of a capture: keeps them, finds what is missing, reads them.

use super::capture::{Event, Request, Shared, State};
use super::gaps::GapFinder;
use super::keep::Keeper;
use super::line::{Line, Reopened};
use super::reserve::Reserve;
use super::ring::{Intake, Over};
use super::{End, Format, Meter, Report};
use crate::settings::Bench;
use crate::signal::{Chain, Drained, Recording};
use crate::source::{Interleaved, reason};
use std::sync::atomic::Ordering;
use std::sync::{Arc, PoisonError};
use std::thread;
use std::time::{Duration, Instant};

/// What is taken out of the ring at a time, in bytes.
const BLOCK_BYTES: usize = 1 << 16;
/// How often the ring is looked into.
const LOOK: Duration = Duration::from_millis(4);
/// Without samples for so long, a stream has stalled.
const STALLED: Duration = Duration::from_millis(500);
/// Without samples for so long, it is given up.
const LOST: Duration = Duration::from_secs(10);
/// More between two looks does not count as time in which nothing came: the program itself stood.
const LONG_LOOK: Duration = Duration::from_millis(100);
/// How long the reason for an end is waited for.
const REASON: Duration = Duration::from_millis(100);
/// What the chain remembers behind the last sample, in seconds: many characters.
const REMEMBER_S: f64 = 10.0;

/// What must succeed before a capture begins.
pub(super) struct Begun {
    frames: Interleaved,
    keeper: Keeper,
    meter: Meter,
    reserve: Reserve,
    report: Report,
    format: Format,
}

impl Begun {
    /// What the samples are made of.
    pub fn format(&self) -> Format {
        self.format
    }

    /// A meter for them.
    pub fn meter(&self) -> Meter {
        self.meter
    }

    /// What is known so far.
    pub fn report(&self) -> Report {
        self.report.clone()
    }
}

/// Checks the channel and creates the file.
pub(super) fn begin(
    request: &Request,
    host: Option<String>,
    device: &str,
    format: Format,
) -> Result<Begun, String> {
    let source = &request.bench.source;
    let frames = Interleaved::new(format.sample, format.channels, source, device);
    let frames = frames.map_err(|e| e.to_string())?;
    let report = Report::new(host, device, format, vec![request.out.clone()]);
    let reserve = Reserve::beside(&request.out).map_err(|e| {
        format!(
            "{} cannot be written: {}. Make room there, or name a file on another disk.",
            request.out.display(),
            reason(&e)
        )
    })?;
    let keeper = Keeper::create(&request.out, format, &report, request.replace)?;
    Ok(Begun {
        meter: Meter::new(source.full_scale_v, frames.clip_v()),
        frames,
        keeper,
        reserve,
        report,
        format,
    })
}

/// Takes samples until the capture ends.
pub(super) struct Consumer<Tell> {
    intake: Intake,
    /// Where the intake leads to; none where the samples come from elsewhere.
    line: Option<Line>,
    /// What streams before this one missed on the way, in frames, and their overruns.
    missed_before: u64,
    overruns_before: u64,
    frames: Interleaved,
    keeper: Keeper,
    /// Until the end.
    reserve: Option<Reserve>,
    chain: Chain,
    gaps: GapFinder,
    meter: Meter,
    bench: Bench,
    device: String,
    format: Format,
    length_frames: Option<u64>,
    taken_frames: u64,
    /// Frames that had come when the stream was last opened again.
    reopened_frames: u64,
    /// For how long nothing has come, and when that was looked at.
    silent: Duration,
    looked: Instant,
    state: State,
    /// Whether the report has changed since it was written.
    unsaved: bool,
    shared: Arc<Shared>,
    tell: Tell,
}

impl<Tell: Fn(Event)> Consumer<Tell> {
    pub fn new(
        request: Request,
        begun: Begun,
        (intake, line): (Intake, Option<Line>),
        shared: Arc<Shared>,
        tell: Tell,
    ) -> Self {
        let format = begun.format;
        let in_frames = |s: f64| (s * f64::from(format.rate_hz)).round() as u64;
        Self {
            intake,
            line,
            missed_before: 0,
            overruns_before: 0,
            frames: begun.frames,
            keeper: begun.keeper,
            reserve: Some(begun.reserve),
            chain: Chain::new(&request.bench, format.rate_hz),
            gaps: GapFinder::new(format.rate_hz),
            meter: begun.meter,
            bench: request.bench.of_a_reading(),
            device: begun.report.device,
            format,
            length_frames: request.length_s.map(in_frames),
            taken_frames: 0,
            reopened_frames: 0,
            silent: Duration::ZERO,
            looked: Instant::now(),
            state: State::Waiting,
            unsaved: false,
            shared,
            tell,
        }
    }

    /// Takes samples to the end, and then lets go of the stream.
    pub fn run(mut self) {
        let mut block = Vec::new();
        let end = loop {
            if let Some(end) = self.look(&mut block) {
                break end;
            }
            thread::sleep(LOOK);
        };
        drop(self.line.take());
        self.finish(end);
    }

    /// Takes what has come; gives the end where it has come to that.
    fn look(&mut self, block: &mut Vec<u8>) -> Option<End> {
        self.change_bench();
        // Read before the ring is, so that nothing that came before it is left there.
        let stop = self.shared.stop.load(Ordering::Relaxed);
        let over = self.intake.over().cloned();
        let abandoned = self.intake.is_abandoned();
        // What comes meanwhile is left for the next look: it may come faster than it is taken.
        let mut waiting = self.intake.waiting();
        while waiting > 0 {
            let taken = self.gather(block, waiting);
            waiting = if taken > 0 { waiting - taken } else { 0 };
            if let Some(end) = self.take(block) {
                return Some(end);
            }
        }
        if std::mem::take(&mut self.unsaved) {
            self.save();
        }
        if self.shared.settle.swap(false, Ordering::Relaxed) {
            if let Err(why) = self.keeper.finish() {
                return Some(End::NotKept(why));
            }
            self.heed_keeper();
            (self.tell)(Event::Settled);
        }
        if stop {
            return Some(End::Stopped);
        }
        if let Some(reopened) = self.line.as_mut().and_then(|l| l.reopened(self.format)) {
            return self.reopened(reopened);
        }
        match over {
            Some(over) => self.ended(over),
            None if abandoned => {
                let over = self.reason();
                self.ended(over)
            }
            None => self.watch(),
        }
    }

    /// Why a stream is over that has gone without a word.
    fn reason(&self) -> Over {
        // It may come just behind the end.
        thread::sleep(REASON);
        self.intake.over().cloned().unwrap_or_else(|| Over {
            why: format!(
                "{} gives no more samples: the device or the sound server has gone. Check them, \
                 and begin again.",
                self.device
            ),
            is_broken: true,
        })
    }

    /// The stream is over: it is opened again, or that is the end.
    fn ended(&mut self, Over { why, is_broken }: Over) -> Option<End> {
        // One that gave nothing is not tried again.
        let has_come = self.taken_frames > self.reopened_frames;
        let line = self.line.as_mut().filter(|_| is_broken && has_come);
        match line.is_some_and(|line| line.reopen(why.clone())) {
            true => None,
            false => Some(End::Lost(why)),
        }
    }

    fn reopened(&mut self, reopened: Reopened) -> Option<End> {
        let intake = match reopened {
            Reopened::NotYet => return None,
            Reopened::Failed(why) => return Some(End::Lost(why)),
            Reopened::Open(intake) => intake,
        };
        self.missed_before = self.gaps.missed();
        self.overruns_before += self.intake.overruns();
        self.intake = intake;
        self.reopened_frames = self.taken_frames;
        self.silent = Duration::ZERO;
        self.gaps.reopened();
        (self.tell)(Event::Note(format!(
            "The connection to {} broke at {}, as it does where this program is stopped and \
             continued. It is there again; what was played meanwhile is lost.",
            self.device,
            crate::units::clock(self.captured_s())
        )));
        None
    }

    /// Puts what some callbacks brought into `block`, `most` of them at the most; gives of how many.
    fn gather(&mut self, block: &mut Vec<u8>, most: usize) -> usize {
        block.clear();
        let known = (self.gaps.count(), self.gaps.gaps().last().copied());
        let mut found = Vec::new();
        let mut count = 0;
        while block.len() < BLOCK_BYTES && count < most {
            let from = block.len();
            let Some(stamp) = self.intake.next(block) else {
                break;
            };
            count += 1;
            let frames = (block.len() - from) / self.format.frame_bytes();
            let missed = self.missed_before + stamp.missed_frames;
            let arrival_s = stamp.arrival_ns as f64 * 1e-9;
            found.extend(self.gaps.arrived(frames as u64, missed, arrival_s));
        }
        // What was taken for a loss may also have come late.
        if (self.gaps.count(), self.gaps.gaps().last().copied()) != known {
            self.unsaved = true;
            self.update();
        }
        // Who hears of one finds it in the report.
        found
            .into_iter()
            .for_each(|gap| (self.tell)(Event::Gap(gap)));
        count
    }

    fn take(&mut self, block: &[u8]) -> Option<End> {
        self.silent = Duration::ZERO;
        let rate_hz = self.format.rate_hz;
        let came = (block.len() / self.format.frame_bytes()) as u64;
        let left = self.length_frames.map(|l| l - self.taken_frames);
        let frames = left.map_or(came, |left| came.min(left));
        let block = &block[..frames as usize * self.format.frame_bytes()];
        let kept = self.keeper.write(block);

        let mut volts = Vec::with_capacity(frames as usize);
        self.frames.append(block, &mut volts);
        let part = Recording::new(volts, rate_hz);
        self.chain.push(&part.samples());
        let before_s = self.format.seconds(self.taken_frames) - REMEMBER_S;
        let drained = self.chain.drain(before_s);
        self.taken_frames += frames;
        self.meter.take(&part.samples(), rate_hz);

        let stalled = self.state == State::Stalled;
        self.state = State::Listening;
        self.show(&part, &drained);

        if stalled {
            (self.tell)(Event::Resumed(self.captured_s()));
        }
        if !drained.characters.is_empty() {
            (self.tell)(Event::Characters(drained.characters));
        }
        match kept {
            Err(why) => return Some(End::NotKept(why)),
            Ok(true) => {
                self.save();
                let path = self.keeper.paths().last().cloned();
                path.into_iter()
                    .for_each(|p| (self.tell)(Event::NextFile(p)));
            }
            Ok(false) => self.heed_keeper(),
        }
        (left == Some(frames)).then_some(End::Complete)
    }

    /// Passes on what the keeper has to tell.
    fn heed_keeper(&mut self) {
        if let Some(note) = self.keeper.take_note() {
            self.save();
            (self.tell)(Event::Note(note));
        }
    }

    /// Notices that nothing comes.
    fn watch(&mut self) -> Option<End> {
        let looked = std::mem::replace(&mut self.looked, Instant::now());
        self.silent += (self.looked - looked).min(LONG_LOOK);
        let silent = self.silent;
        if silent >= LOST {
            return Some(End::Lost(format!(
                "Nothing has come from {} for {} s: the device or the sound server has stopped. \
                 Check them, and begin again.",
                self.device,
                LOST.as_secs()
            )));
        }
        if silent >= STALLED && self.state != State::Stalled {
            self.state = State::Stalled;
            let at_s = self.captured_s();
            let mut live = self.shared.live();
            live.status.state = State::Stalled;
            live.report.stalls_at_s.push(at_s);
            drop(live);
            (self.tell)(Event::Stalled(at_s));
            self.save();
        }
        None
    }

    fn change_bench(&mut self) {
        let next = &self.shared.next_bench;
        let next = next.lock().unwrap_or_else(PoisonError::into_inner).take();
        // The knobs of the tape maker stand beside those of the stages, and begin nothing anew.
        let next = next.map(|bench| bench.of_a_reading());
        let Some(bench) = next.filter(|b| *b != self.bench) else {
            return;
        };
        let Format {
            sample, channels, ..
        } = self.format;
        match Interleaved::new(sample, channels, &bench.source, &self.device) {
            Ok(frames) => self.frames = frames,
            Err(why) => (self.tell)(Event::Note(why.to_string())),
        }
        if bench.source != self.bench.source {
            self.meter = Meter::new(bench.source.full_scale_v, self.frames.clip_v());
        }
        self.chain = Chain::beginning_at(self.taken_frames, &bench, self.format.rate_hz);
        self.bench = bench;
    }

    fn captured_s(&self) -> f64 {
        self.format.seconds(self.taken_frames)
    }

    /// Brings what others see up to date.
    fn show(&self, part: &Recording, read: &Drained) {
        let hint = self.meter.hint(&self.bench);
        let mut live = self.shared.live();
        let samples = part.samples();
        live.recent.push(&samples);
        live.outline.push(&samples);
        let status = &mut live.status;
        status.state = self.state;
        status.captured_s = self.captured_s();
        status.meter = self.meter;
        status.hint = hint;
        status.gaps = self.gaps.count();
        status.characters += read.characters.len() as u64;
        status.false_starts += read.false_starts_s.len() as u64;
        status.faulty += read.characters.iter().filter(|c| c.faults.any()).count() as u64;
        if let Some(path) = self.keeper.paths().last()
            && *path != status.file
        {
            status.file.clone_from(path);
            status.file_begins_at_s = self.keeper.begins_at_s().last().copied().unwrap_or(0.0);
        }
    }

    /// Brings the report up to date in memory.
    fn update(&self) -> Report {
        let mut live = self.shared.live();
        let report = &mut live.report;
        report.captured_s = self.captured_s();
        report.files = self.keeper.paths().to_vec();
        report.file_begins_at_s = self.keeper.begins_at_s();
        report.gaps = self.gaps.gaps().to_vec();
        report.gap_count = self.gaps.count();
        report.overruns = self.overruns_before + self.intake.overruns();
        report.clone()
    }

    /// Brings the report up to date, in memory and on disk.
    fn save(&self) {
        if let Err(why) = self.update().save() {
            (self.tell)(Event::Note(why));
        }
    }

    fn finish(mut self, end: End) {
        self.reserve = None;
        let end = match (self.keeper.finish(), end) {
            (Err(why), End::Stopped | End::Complete | End::Lost(_)) => End::NotKept(why),
            (_, end) => end,
        };
        self.heed_keeper();
        // What came and could not be kept is no part of it.
        self.taken_frames = self.taken_frames.min(self.keeper.frames());
        let rate_hz = self.format.rate_hz;
        let at_rest = Chain::new(&self.bench, rate_hz);
        let traces = std::mem::replace(&mut self.chain, at_rest).finish();
        let last = Drained {
            characters: traces.characters,
            false_starts_s: traces.false_starts_s,
        };
        self.show(&Recording::new(Vec::new(), rate_hz), &last);
        if !last.characters.is_empty() {
            (self.tell)(Event::Characters(last.characters));
        }
        let gap = self.gaps.ended();
        self.shared.live().report.end = Some(end);
        self.save();
        gap.into_iter().for_each(|gap| (self.tell)(Event::Gap(gap)));
        let mut live = self.shared.live();
        live.status.state = State::Ended;
        let report = live.report.clone();
        drop(live);
        (self.tell)(Event::Ended(Box::new(report)));
    }
}
