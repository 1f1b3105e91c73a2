//! Files opened on a thread, their beginning first.

use crate::picture::Peaks;
use crate::settings::{Channel, SourceSettings};
use crate::signal::{Levels, Recording};
use crate::source::{self, About, Progress, SourceError};
use crate::units;
use crate::worker::Outbox;
use std::ops::ControlFlow;
use std::path::PathBuf;
use std::sync::Arc;
use std::sync::atomic::{AtomicU32, Ordering};
use std::time::{Duration, Instant};

/// After this time of reading, the beginning of a file is shown.
const FIRST_AFTER: Duration = Duration::from_millis(250);
/// How much of a file is shown then, in seconds, at the most.
const FIRST_S: f64 = 60.0;

/// An open recording.
#[derive(Clone, Debug)]
pub struct Document {
    /// Where it came from; empty for one that came from nowhere.
    pub path: PathBuf,
    /// What is known of the file.
    pub about: About,
    /// The samples.
    pub recording: Arc<Recording>,
    /// Their peaks.
    pub peaks: Arc<Peaks>,
    /// How strong it is.
    pub levels: Levels,
    /// The settings with which it was opened.
    pub source: SourceSettings,
    /// Why another channel is read than the one that was asked for, where that is so.
    pub channel_note: Option<String>,
    /// Whether this is all of it; the beginning of a long file is shown before the rest is read.
    pub whole: bool,
}

/// What is asked of the thread that opens files.
#[derive(Clone)]
pub(super) struct OpenRequest {
    pub path: PathBuf,
    pub source: SourceSettings,
    /// Whether the first channel is to be read where the one asked for is not there.
    pub any_channel: bool,
    /// Per cent that have been read.
    pub part: Arc<AtomicU32>,
}

pub(super) type OpenAnswer = Result<Document, String>;

/// Opens a file; where that takes long, its beginning comes first.
pub(super) fn open(request: &OpenRequest, outbox: &Outbox<'_, OpenAnswer>) {
    let Err(why) = open_channel(request, None, outbox) else {
        return;
    };
    let there = why.other_channels().filter(|_| request.any_channel);
    let Some(channels) = there else {
        outbox.send(Err(why.to_string()));
        return;
    };
    let mut first = request.clone();
    first.source.channel = Channel::One(1);
    let note = format!(
        "Channel 1 is read: the source channel was set to {}, and this file has {}.",
        channel_words(request.source.channel),
        units::counted(channels as usize, "channel")
    );
    if let Err(why) = open_channel(&first, Some(note), outbox) {
        outbox.send(Err(why.to_string()));
    }
}

/// A choice of channel as the knob shows it.
fn channel_words(channel: Channel) -> String {
    match channel {
        Channel::One(n) => n.to_string(),
        Channel::Sum => "sum".into(),
        Channel::Difference => "difference".into(),
    }
}

/// Opens a file with the channel that is asked for; a `note` says why that is another one than the
/// knob's.
fn open_channel(
    request: &OpenRequest,
    note: Option<String>,
    outbox: &Outbox<'_, OpenAnswer>,
) -> Result<(), SourceError> {
    let begun = Instant::now();
    let mut shown = false;
    let mut watch = |now: Progress<'_>| {
        if outbox.is_overtaken() {
            return ControlFlow::Break(());
        }
        if let Some(part) = now.part {
            request.part.store((part * 100.0) as u32, Ordering::Relaxed);
        }
        if !shown && begun.elapsed() > FIRST_AFTER {
            shown = true;
            let beginning = beginning(request, now);
            outbox.send(Ok(beginning.noting(note.clone())));
        }
        ControlFlow::Continue(())
    };
    let opened = source::open(&request.path, &request.source, &mut watch);
    if outbox.is_overtaken() {
        return Ok(());
    }
    let opened = opened?;
    let document = document(request, opened.recording, opened.about, true);
    outbox.send(Ok(document.noting(note)));
    Ok(())
}

/// What there is of a file that is still being read.
fn beginning(request: &OpenRequest, now: Progress<'_>) -> Document {
    let most = (FIRST_S * f64::from(now.rate_hz)) as usize;
    let samples = now.samples.range(0..most).into_owned();
    let name = request.path.file_name().unwrap_or_default();
    let about = About {
        name: name.to_string_lossy().into_owned(),
        format: "its beginning".into(),
        channels: 0,
        rate_hz: now.rate_hz,
        frames: samples.len() as u64,
        clip_v: Levels::clip_v(request.source.full_scale_v),
        gaps: Default::default(),
        notes: Vec::new(),
    };
    document(request, Recording::new(samples, now.rate_hz), about, false)
}

fn document(request: &OpenRequest, recording: Recording, about: About, whole: bool) -> Document {
    Document::new(
        request.path.clone(),
        recording,
        about,
        request.source,
        whole,
    )
}

impl Document {
    /// A document, measured.
    pub fn new(
        path: PathBuf,
        recording: Recording,
        about: About,
        source: SourceSettings,
        whole: bool,
    ) -> Self {
        Self {
            path,
            peaks: Arc::new(Peaks::of(recording.kept().1)),
            levels: Levels::of_recording(&recording, about.clip_v),
            about,
            recording: Arc::new(recording),
            source,
            channel_note: None,
            whole,
        }
    }

    /// The same with a note on the channel.
    fn noting(mut self, note: Option<String>) -> Self {
        self.about.notes.extend(note.clone());
        self.channel_note = note;
        self
    }
}
