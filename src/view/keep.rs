//! What can be kept: pictures, bytes, traces, written on threads so that the window never waits.

use super::reading::Frozen;
use super::tape_desk::{as_files, clipped};
use crate::date;
use crate::export::{self, Batch, save, truth_beside};
use crate::picture::{LaneChoice, Marks, PageSpec, Peaks, Span, Theme, page};
use crate::settings::Bench;
use crate::signal::Traces;
use crate::source::reason;
use crate::tape::Tape;
use std::panic::{AssertUnwindSafe, catch_unwind};
use std::path::PathBuf;
use std::sync::Arc;
use std::sync::mpsc::{Receiver, Sender, channel};
use std::thread;

/// A kind of file.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Kept {
    /// The view as pixels.
    Png,
    /// The view as a drawing.
    Svg,
    /// The bytes.
    Bytes,
    /// Time, hexadecimal and text.
    Listing,
    /// All traces by IEEE 1364.
    Vcd,
    /// All edges and characters as a table.
    Csv,
    /// The bytes as Intel hex records.
    IntelHex,
    /// The bytes as S-records.
    SRecords,
}

impl Kept {
    /// What the dialog is called.
    pub fn title(self) -> &'static str {
        match self {
            Kept::Png | Kept::Svg => "Keep a picture of the view",
            Kept::Bytes => "Keep the bytes",
            Kept::Listing => "Keep the listing",
            Kept::Vcd | Kept::Csv => "Keep the traces",
            Kept::IntelHex | Kept::SRecords => "Keep the bytes as records",
        }
    }

    /// The ending of its files.
    pub fn ending(self) -> &'static str {
        match self {
            Kept::Png => "png",
            Kept::Svg => "svg",
            Kept::Bytes => "bin",
            Kept::Listing => "txt",
            Kept::Vcd => "vcd",
            Kept::Csv => "csv",
            Kept::IntelHex => "hex",
            Kept::SRecords => "s19",
        }
    }
}

/// Width and height in points of a picture for the notes.
pub const PAGE: [f32; 2] = [1600.0, 1000.0];
/// Pixels a point of a picture for the notes: about 300 to the inch on a page 27 cm wide.
pub const SCALE: f32 = 2.0;

/// What the window showed when it was asked to keep something.
#[derive(Clone)]
pub struct View {
    /// The name of the recording.
    pub name: String,
    /// The recording with the settings and traces that belong to it.
    pub frozen: Frozen,
    /// All characters that were captured, where the recording is the last stretch of a capture.
    pub captured: Option<Arc<Traces>>,
    /// The stretch in view.
    pub span: Span,
    /// The lanes.
    pub lanes: LaneChoice,
    /// The marks.
    pub marks: Marks,
    /// Address of the first byte in records.
    pub load_address: u32,
}

impl View {
    /// The page for the notes.
    fn page(&self, traces: &Traces) -> crate::picture::DisplayList {
        page(&PageSpec {
            name: &self.name,
            recording: &self.frozen.recording,
            peaks: &Peaks::default(),
            shaped: None,
            traces,
            bench: &self.frozen.bench,
            span: self.span,
            lanes: self.lanes,
            marks: self.marks,
            date: &date::today(),
            width: PAGE[0],
            height: PAGE[1],
        })
    }

    /// The content of a file.
    fn content(&self, kept: Kept) -> Result<Vec<u8>, String> {
        let light = Theme::Light;
        let traces = self.frozen.traces();
        let all = self.captured.as_ref().unwrap_or(&traces);
        Ok(match kept {
            Kept::Png => export::png(&self.page(&traces), light, SCALE)?,
            Kept::Svg => export::svg(&self.page(&traces), light).into_bytes(),
            Kept::Bytes => all.bytes(),
            Kept::Listing => export::listing(&all.characters).into_bytes(),
            Kept::Vcd => export::vcd(&traces),
            Kept::Csv => export::csv(&traces),
            Kept::IntelHex => export::intel_hex(&all.bytes(), self.load_address)?.into_bytes(),
            Kept::SRecords => export::s_records(&all.bytes(), self.load_address)?.into_bytes(),
        })
    }
}

/// What waits for the name of its file, as it was when it was asked for.
pub enum Waiting {
    /// Something of what the window shows.
    View(Box<View>),
    /// A made tape, with the settings under which it was made.
    Tape(Arc<Tape>, Box<Bench>),
}

/// What came of keeping something.
pub enum Outcome {
    /// It is written; what to say.
    Done(String),
    /// A made tape is written; what to say.
    Tape(String, Arc<Tape>),
    /// It is not; why.
    Failed(String),
    /// A picture for the clipboard.
    Image(egui::ColorImage),
}

/// Writes files on threads.
pub struct Keeper {
    sender: Sender<Outcome>,
    outcomes: Receiver<Outcome>,
    running: usize,
}

impl Keeper {
    /// A keeper with nothing to do.
    pub fn new() -> Self {
        let (sender, outcomes) = channel();
        Self {
            sender,
            outcomes,
            running: 0,
        }
    }

    /// Writes a file.
    pub fn keep(&mut self, ctx: &egui::Context, view: View, kept: Kept, path: PathBuf) {
        self.run(ctx, move || {
            let written = view.content(kept).and_then(|bytes| save(&path, &bytes));
            let name = path.file_name().unwrap_or_default().to_string_lossy();
            match written {
                Ok(()) => Outcome::Done(format!("{name} is written.")),
                Err(why) => Outcome::Failed(why),
            }
        });
    }

    /// Writes a made tape, with the truth about it beside it.
    pub fn keep_tape(&mut self, ctx: &egui::Context, tape: Arc<Tape>, bench: Bench, path: PathBuf) {
        self.run(ctx, move || {
            let written = as_files(&tape, &bench).and_then(|[wav, truth]| {
                let beside = truth_beside(&path);
                let mut batch = Batch::new(true);
                batch.add(&path, &wav)?;
                batch.add(&beside, &truth)?;
                batch.commit()
            });
            let name = path.file_name().unwrap_or_default().to_string_lossy();
            match written {
                Ok(()) => {
                    let mut said = format!(
                        "{name} is written, and {name}.json with the true bytes beside it."
                    );
                    if let Some(clipped) = clipped(&tape, &bench) {
                        said = format!("{said} {clipped}");
                    }
                    Outcome::Tape(said, tape)
                }
                Err(why) => Outcome::Failed(why),
            }
        });
    }

    /// Draws the picture for the clipboard.
    pub fn copy_picture(&mut self, ctx: &egui::Context, view: View) {
        self.run(ctx, move || {
            match export::pixels(&view.page(&view.frozen.traces()), Theme::Light, SCALE) {
                Ok(image) => Outcome::Image(egui::ColorImage::from_rgba_premultiplied(
                    [image.width as usize, image.height as usize],
                    &image.rgba,
                )),
                Err(why) => Outcome::Failed(why),
            }
        });
    }

    fn run(&mut self, ctx: &egui::Context, work: impl FnOnce() -> Outcome + Send + 'static) {
        let (sender, ctx) = (self.sender.clone(), ctx.clone());
        let spawned = thread::Builder::new().name("keep".into()).spawn(move || {
            // Without an answer the window would wait for it, and not close, for ever.
            let outcome = catch_unwind(AssertUnwindSafe(work));
            let failed = |_| Outcome::Failed("Nothing is written: the program failed.".into());
            let _ = sender.send(outcome.unwrap_or_else(failed));
            ctx.request_repaint();
        });
        self.running += 1;
        if let Err(e) = spawned {
            let failed = Outcome::Failed(format!("Nothing is written: {}.", reason(&e)));
            let _ = self.sender.send(failed);
        }
    }

    /// What has come out since the last call.
    pub fn outcome(&mut self) -> Option<Outcome> {
        let outcome = self.outcomes.try_recv().ok()?;
        self.running = self.running.saturating_sub(1);
        Some(outcome)
    }

    /// Whether something is being written.
    pub fn is_busy(&self) -> bool {
        self.running > 0
    }
}
