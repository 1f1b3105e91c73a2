//! The first characters of a tape as they will look.

use crate::picture::{Ink, Lane, LaneSheet, Peaks, Scene, Span, Theme, lanes};
use crate::settings::Bench;
use crate::signal::{Chain, Traces};
use crate::tape::{Content, Tape, made_length_s, make, rounding_note};
use crate::units::{self, Unit};
use crate::view::paint::paint;
use crate::view::style::colour;
use crate::worker::{Outbox, Worker};
use egui::{RichText, Ui, UiBuilder, Vec2};

/// Characters that the preview shows.
const SHOWN: usize = 3;
/// How long the tape of the preview may be, in seconds of leader and characters.
const PREVIEW_S: f64 = 1.0;

struct Request {
    /// What is to be recorded, and how.
    whole: (Content, Bench),
    /// The beginning of it.
    content: Content,
    bench: Bench,
    /// How it differs from the tape that is to be made, and that from what is asked for.
    note: Option<String>,
}

struct Shown {
    /// Length of the whole tape in seconds.
    length_s: f64,
    tape: Tape,
    peaks: Peaks,
    traces: Traces,
    bench: Bench,
    note: Option<String>,
}

/// The preview and the thread that makes it.
pub(super) struct Preview {
    previewer: Worker<Request, Shown>,
    shown: Option<Shown>,
    asked: Option<(Content, Bench)>,
    complaint: Option<String>,
}

impl Preview {
    /// A preview of nothing.
    ///
    /// # Errors
    /// Where the system gives no thread.
    pub fn start(wake: impl Fn() + Send + 'static) -> std::io::Result<Self> {
        Ok(Self {
            previewer: Worker::start("preview tape", make_preview, wake)?,
            shown: None,
            asked: None,
            complaint: None,
        })
    }

    /// Whether it is being made.
    pub fn is_busy(&self) -> bool {
        self.previewer.is_busy()
    }

    /// How long the tape will be in seconds, once that is known.
    pub fn length_s(&self) -> Option<f64> {
        let shown = self.shown.as_ref().filter(|_| !self.is_busy());
        shown.map(|shown| shown.length_s)
    }

    /// Takes what the thread has made.
    pub fn look(&mut self) {
        if let Some(shown) = self.previewer.newest() {
            self.shown = Some(shown);
        }
    }

    /// What is to be shown: the beginning of this content, or why there is none.
    pub fn of(&mut self, content: &Result<Content, String>, bench: &Bench) {
        self.complaint = content.as_ref().err().cloned();
        if let Ok(content) = content {
            self.ask(content, bench);
        }
    }

    /// Asks for a short tape with the first characters, where they are others than before.
    fn ask(&mut self, content: &Content, bench: &Bench) {
        let same = |(c, b): &(Content, Bench)| c == content && b == bench;
        if self.asked.as_ref().is_some_and(same) {
            return;
        }
        let rounded = rounding_note(content, &bench.tape);
        let whole = (content.clone(), *bench);
        self.asked = Some(whole.clone());
        let mut short = *bench;
        short.tape.leader_s = short.tape.leader_s.min(PREVIEW_S / 4.0);
        short.tape.trailer_s = short.tape.trailer_s.min(PREVIEW_S / 8.0);
        let content = match content {
            Content::Blocks(blocks) => {
                let first = blocks.iter().find(|b| !b.is_empty());
                let first = first.map_or(&[][..], |b| &b[..b.len().min(SHOWN + 1)]);
                Content::Blocks(vec![first.to_vec()])
            }
            Content::Tone { tone, length_s } => Content::Tone {
                tone: *tone,
                length_s: length_s.min(PREVIEW_S),
            },
        };
        let leader_s = [bench, &short].map(|b| units::show(b.tape.leader_s, Unit::Seconds));
        let [leader, shown] = leader_s;
        let shortened = leader != shown && matches!(content, Content::Blocks(_));
        let shortened = shortened.then(|| {
            format!(
                "The first characters. The leader of {leader} is shortened to {shown} in this \
                 preview."
            )
        });
        let notes: Vec<_> = shortened.into_iter().chain(rounded).collect();
        self.previewer.ask(Request {
            whole,
            content,
            bench: short,
            note: (!notes.is_empty()).then(|| notes.join(" ")),
        });
    }

    /// Draws the preview, or why there is none.
    pub fn show(&self, ui: &mut Ui, theme: Theme) {
        let size = Vec2::new(ui.available_width(), 150.0);
        let (area, _) = ui.allocate_exact_size(size, egui::Sense::hover());
        if let Some(complaint) = &self.complaint {
            let ink = colour(theme, Ink::Fault);
            let row = UiBuilder::new().max_rect(area);
            ui.scope_builder(row, |ui| ui.colored_label(ink, complaint));
            return;
        }
        let Some(preview) = &self.shown else { return };
        let shares = [
            (Lane::Source, 1.7),
            (Lane::Long, 1.0),
            (Lane::Characters, 0.8),
        ];
        let span = preview.span();
        let sheet = LaneSheet::filling(
            span,
            [area.width(), area.height()],
            ui.pixels_per_point(),
            shares,
        );
        let scene = Scene {
            recording: &preview.tape.recording,
            peaks: &preview.peaks,
            traces: &preview.traces,
            bench: &preview.bench,
            shaped: None,
            summary: None,
            ghost: None,
            selected: None,
            marks: [None; 2],
        };
        paint(
            &ui.painter_at(area),
            area.min,
            &lanes(&scene, &sheet),
            theme,
        );
        if let Some(note) = &preview.note {
            let faint = colour(theme, Ink::Faint);
            ui.label(RichText::new(note).small().color(faint));
        }
    }
}

impl Shown {
    /// From just before the first character on, or the whole short tape.
    fn span(&self) -> Span {
        let end_s = self.tape.recording.duration_s();
        let first = self.traces.characters.first();
        let from_s = first.map_or(0.0, |c| c.at_s - 2.0 / self.bench.tape.rate_bd);
        let bits = 12.0 * SHOWN as f64;
        Span::new(from_s, bits / self.bench.tape.rate_bd).kept_within(end_s)
    }
}

fn make_preview(request: Request, outbox: &Outbox<'_, Shown>) {
    let Request {
        whole,
        content,
        bench,
        note,
    } = request;
    let tape = make(&content, &bench.tape, &bench.wear);
    outbox.send(Shown {
        length_s: made_length_s(&whole.0, &whole.1.tape, &whole.1.wear),
        peaks: Peaks::of(tape.recording.kept().1),
        traces: Chain::read(&bench, &tape.recording),
        tape,
        bench,
        note,
    });
}
