//! Files opened on a thread, their beginning first.

use crate::picture::Peaks;
use crate::settings::SourceSettings;
use crate::signal::{Levels, Recording};
use crate::source::{self, About, Progress};
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
    /// Whether this is all of it; the beginning of a long file is shown before the rest is read.
    pub whole: bool,
}

/// What is asked of the thread that opens files.
pub(super) struct OpenRequest {
    pub path: PathBuf,
    pub source: SourceSettings,
    /// Per cent that have been read.
    pub part: Arc<AtomicU32>,
}

pub(super) type OpenAnswer = Result<Document, String>;

/// Opens a file; where that takes long, its beginning comes first.
pub(super) fn open(request: &OpenRequest, outbox: &Outbox<'_, OpenAnswer>) {
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
            outbox.send(Ok(beginning(request, now)));
        }
        ControlFlow::Continue(())
    };
    let opened = source::open(&request.path, &request.source, &mut watch);
    if outbox.is_overtaken() {
        return;
    }
    outbox.send(opened.map_err(|e| e.to_string()).map(|opened| {
        let whole = true;
        document(request, opened.recording, opened.about, whole)
    }));
}

/// What there is of a file that is still being read.
fn beginning(request: &OpenRequest, now: Progress<'_>) -> Document {
    let most = (FIRST_S * f64::from(now.rate_hz)) as usize;
    let samples = &now.samples[..now.samples.len().min(most)];
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
    document(
        request,
        Recording::new(samples.to_vec(), now.rate_hz),
        about,
        false,
    )
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
            peaks: Arc::new(Peaks::of(recording.samples())),
            levels: Levels::of(recording.samples(), recording.rate_hz(), about.clip_v),
            about,
            recording: Arc::new(recording),
            source,
            whole,
        }
    }
}
