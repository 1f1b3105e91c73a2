//! The tape maker: what is recorded, how, and what wear does to it, with the first characters as
//! they will look.

use super::knob_row::knob_row;
use super::opening::Document;
use super::paint::paint;
use super::session::Session;
use super::style::bold;
use crate::export;
use crate::picture::{Lane, LaneSheet, Peaks, Scene, Span, Theme, lanes};
use crate::settings::{Bench, Choice, WearSettings, knobs_of};
use crate::signal::{Chain, Levels, Traces};
use crate::source::About;
use crate::study::hexadecimal;
use crate::tape::{Content, Extent, Pattern, Tape, make};
use crate::units::{self, Unit};
use crate::worker::{Outbox, Worker};
use egui::{ComboBox, Context, DragValue, Key, RichText, ScrollArea, TextEdit, Ui, Vec2, Window};
use std::path::PathBuf;
use std::sync::Arc;

/// The longest tape that is made in the window, in samples: three hours at 48 kHz.
const MOST_SAMPLES: f64 = 6e8;
/// Characters that the preview shows.
const SHOWN: usize = 3;
/// How long the tape of the preview may be, in seconds of leader and characters.
const PREVIEW_S: f64 = 1.0;

/// A kind of content.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Kind {
    Text,
    Hex,
    Pattern(Pattern),
}

/// What a made tape is for.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum For {
    /// To be run through the chain.
    Chain,
    /// To be saved, with the truth about it.
    File,
    /// To be played to the real circuit.
    #[cfg(feature = "live")]
    Player,
}

/// A made tape.
pub struct Made {
    /// The tape.
    pub tape: Arc<Tape>,
    /// What it is for.
    pub what_for: For,
}

struct Request {
    content: Content,
    bench: Bench,
}

struct Preview {
    tape: Tape,
    peaks: Peaks,
    traces: Traces,
    bench: Bench,
}

/// The window of the tape maker.
pub struct TapeDesk {
    is_open: bool,
    kind: Kind,
    texts: Vec<String>,
    count: u32,
    run_of: u8,
    maker: Worker<(Request, For), Made>,
    previewer: Worker<Request, Preview>,
    preview: Option<Preview>,
    asked: Option<(Content, Bench)>,
    complaint: Option<String>,
}

impl TapeDesk {
    /// A closed tape maker.
    ///
    /// # Errors
    /// Where the system gives no thread.
    pub fn start(wake: impl Fn() + Clone + Send + 'static) -> std::io::Result<Self> {
        Ok(Self {
            is_open: false,
            kind: Kind::Text,
            texts: vec!["SALTMERE 06:40 3.2 M\n".into()],
            count: 64,
            run_of: 0x55,
            maker: Worker::start("make tape", make_whole, wake.clone())?,
            previewer: Worker::start("preview tape", make_preview, wake)?,
            preview: None,
            asked: None,
            complaint: None,
        })
    }

    /// Shows the window.
    pub fn open(&mut self) {
        self.is_open = true;
    }

    /// Whether a tape is being made.
    pub fn is_busy(&self) -> bool {
        self.maker.is_busy()
    }

    /// Whether a tape or the picture of one is being made.
    pub fn is_at_work(&self) -> bool {
        self.maker.is_busy() || self.previewer.is_busy()
    }

    /// Draws the window where it is open; gives a tape that has been made.
    pub fn show(&mut self, ctx: &Context, session: &mut Session, theme: Theme) -> Option<Made> {
        if let Some(preview) = self.previewer.newest() {
            self.preview = Some(preview);
        }
        if self.is_open {
            let mut open = true;
            Window::new("Tape maker")
                .open(&mut open)
                .pivot(egui::Align2::CENTER_CENTER)
                .default_pos(ctx.content_rect().center())
                .default_size([760.0, 560.0])
                .collapsible(false)
                .show(ctx, |ui| self.body(ui, &mut session.bench, theme));
            self.is_open = open && !ctx.input(|i| i.key_pressed(Key::Escape));
        }
        self.maker.newest()
    }

    fn body(&mut self, ui: &mut Ui, bench: &mut Bench, theme: Theme) {
        self.content_ui(ui);
        ui.separator();
        ScrollArea::vertical()
            .max_height(230.0)
            .id_salt("tape knobs")
            .show(ui, |ui| {
                ui.columns(3, |columns| {
                    columns[0].label(RichText::new("Form").family(bold()));
                    knob_rows(&mut columns[0], "tape", 0..usize::MAX, bench);
                    let wear = knobs_of("wear").count();
                    columns[1].label(RichText::new("Wear").family(bold()));
                    knob_rows(&mut columns[1], "wear", 0..wear.div_ceil(2), bench);
                    columns[2].horizontal(|ui| {
                        let worn = bench.wear != WearSettings::default();
                        let none = ui.add_enabled(worn, egui::Button::new("No wear").small());
                        if none.on_hover_text("Set all wear to off.").clicked() {
                            bench.wear = WearSettings::default();
                        }
                    });
                    knob_rows(&mut columns[2], "wear", wear.div_ceil(2)..wear, bench);
                });
            });
        ui.separator();
        let content = self.content(bench);
        match &content {
            Ok(content) => self.ask_preview(content, bench),
            Err(why) => self.complaint = Some(why.clone()),
        }
        self.preview_ui(ui, theme);
        ui.separator();
        self.buttons(ui, content.ok(), bench);
    }

    fn content_ui(&mut self, ui: &mut Ui) {
        ui.horizontal(|ui| {
            let label = ui.label("Content");
            let name = match self.kind {
                Kind::Text => "text",
                Kind::Hex => "bytes in hexadecimal",
                Kind::Pattern(pattern) => pattern.word(),
            };
            let combo = ComboBox::from_id_salt("content")
                .width(190.0)
                .selected_text(name);
            let combo = combo.show_ui(ui, |ui| {
                ui.selectable_value(&mut self.kind, Kind::Text, "text");
                ui.selectable_value(&mut self.kind, Kind::Hex, "bytes in hexadecimal");
                for index in 0..Pattern::WORDS.len() {
                    let pattern = Pattern::from_index(index);
                    ui.selectable_value(&mut self.kind, Kind::Pattern(pattern), pattern.word());
                }
            });
            combo.response.labelled_by(label.id);
            if let Kind::Pattern(pattern) = self.kind {
                let (word, range) = match pattern.tone() {
                    Some(_) => ("for seconds", 1..=3600),
                    None => ("bytes", 1..=1_000_000),
                };
                let label = ui.label(word);
                ui.add(DragValue::new(&mut self.count).range(range))
                    .labelled_by(label.id);
                if pattern == Pattern::Run {
                    let label = ui.label("of");
                    let drag = DragValue::new(&mut self.run_of).hexadecimal(2, false, true);
                    ui.add(drag.prefix("0x")).labelled_by(label.id);
                }
            } else if ui
                .button("Add a block")
                .on_hover_text("Another block, with a leader before it.")
                .clicked()
            {
                self.texts.push(String::new());
            }
        });
        if matches!(self.kind, Kind::Pattern(_)) {
            return;
        }
        let mut gone = None;
        let several = self.texts.len() > 1;
        for (i, text) in self.texts.iter_mut().enumerate() {
            ui.horizontal(|ui| {
                let width = ui.available_width() - if several { 76.0 } else { 0.0 };
                let edit = TextEdit::multiline(text)
                    .desired_rows(2)
                    .desired_width(width);
                let edit = ui.add(edit);
                edit.widget_info(|| {
                    egui::WidgetInfo::labeled(
                        egui::Role::MultilineTextInput,
                        true,
                        format!("Block {}", i + 1),
                    )
                });
                if several && ui.small_button("Remove").clicked() {
                    gone = Some(i);
                }
            });
        }
        if let Some(i) = gone {
            self.texts.remove(i);
        }
    }

    /// The content as set.
    fn content(&self, bench: &Bench) -> Result<Content, String> {
        let blocks = match self.kind {
            Kind::Text => Ok(self.texts.iter().map(|t| t.as_bytes().to_vec()).collect()),
            Kind::Hex => {
                let bytes = self.texts.iter().map(|t| hexadecimal(t.trim()));
                let all: Option<Vec<Vec<u8>>> = bytes.collect();
                all.ok_or("Write two hexadecimal digits for each byte, like 53 41 4C.")
            }
            Kind::Pattern(pattern) => {
                let extent = match pattern.tone() {
                    Some(_) => Extent::For(f64::from(self.count)),
                    None => Extent::Count(self.count as usize),
                };
                return Ok(Content::pattern(pattern, extent, self.run_of, &bench.tape));
            }
        };
        let blocks: Vec<Vec<u8>> = blocks?;
        if blocks.iter().all(Vec::is_empty) {
            return Err("There is nothing to record yet.".into());
        }
        Ok(Content::Blocks(blocks))
    }

    /// Asks for a short tape with the first characters, where they are others than before.
    fn ask_preview(&mut self, content: &Content, bench: &Bench) {
        if self.complaint.is_some() {
            self.complaint = None;
        }
        let same = |(c, b): &(Content, Bench)| c == content && b == bench;
        if self.asked.as_ref().is_some_and(same) {
            return;
        }
        self.asked = Some((content.clone(), *bench));
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
        self.previewer.ask(Request {
            content,
            bench: short,
        });
    }

    fn preview_ui(&self, ui: &mut Ui, theme: Theme) {
        let size = Vec2::new(ui.available_width(), 150.0);
        let (area, _) = ui.allocate_exact_size(size, egui::Sense::hover());
        if let Some(complaint) = &self.complaint {
            let ink = super::style::colour(theme, crate::picture::Ink::Fault);
            let row = egui::UiBuilder::new().max_rect(area);
            ui.scope_builder(row, |ui| ui.colored_label(ink, complaint));
            return;
        }
        let Some(preview) = &self.preview else { return };
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
    }

    fn buttons(&mut self, ui: &mut Ui, content: Option<Content>, bench: &Bench) {
        let length_s = content.as_ref().map_or(0.0, |c| c.length_s(&bench.tape));
        let too_long = length_s * f64::from(bench.tape.sample_rate_hz) > MOST_SAMPLES;
        ui.horizontal(|ui| {
            let ready = content.is_some() && !too_long && !self.is_busy();
            let choices: &[(&str, &str, For)] = &[
                (
                    "Run through the chain",
                    "Open the tape as a recording.",
                    For::Chain,
                ),
                (
                    "Save…",
                    "Write it as WAV, with the truth about it as JSON beside it.",
                    For::File,
                ),
                #[cfg(feature = "live")]
                ("Play…", "Play it to the real circuit.", For::Player),
            ];
            for (word, help, what_for) in choices {
                let button = ui.add_enabled(ready, egui::Button::new(*word));
                if button.on_hover_text(*help).clicked()
                    && let Some(content) = content.clone()
                {
                    let request = Request {
                        content,
                        bench: *bench,
                    };
                    self.maker.ask((request, *what_for));
                }
            }
            if self.is_busy() {
                ui.spinner();
            }
            let level_db = 20.0 * (bench.tape.level_v / bench.source.full_scale_v).log10();
            ui.label(format!(
                "{} long, level {} ({} of full scale)",
                units::clock(length_s),
                units::show_digits(bench.tape.level_v, Unit::Volts, 3),
                units::show_digits(level_db, Unit::Decibels, 3)
            ));
            if too_long {
                ui.label("Too long to make in one piece: record it in parts.");
            }
        });
    }
}

fn knob_rows(ui: &mut Ui, stage: &str, range: std::ops::Range<usize>, bench: &mut Bench) {
    for knob in knobs_of(stage)
        .skip(range.start)
        .take(range.end.saturating_sub(range.start))
    {
        knob_row(ui, knob, bench, 104.0);
    }
}

impl Preview {
    /// From just before the first character on, or the whole short tape.
    fn span(&self) -> Span {
        let end_s = self.tape.recording.duration_s();
        let first = self.traces.characters.first();
        let from_s = first.map_or(0.0, |c| c.at_s - 2.0 / self.bench.tape.rate_bd);
        let bits = 12.0 * SHOWN as f64;
        Span::new(from_s, bits / self.bench.tape.rate_bd).kept_within(end_s)
    }
}

fn make_whole((request, what_for): (Request, For), outbox: &Outbox<'_, Made>) {
    let Request { content, bench } = request;
    let tape = Arc::new(make(&content, &bench.tape, &bench.wear));
    outbox.send(Made { tape, what_for });
}

fn make_preview(request: Request, outbox: &Outbox<'_, Preview>) {
    let Request { content, bench } = request;
    let tape = make(&content, &bench.tape, &bench.wear);
    outbox.send(Preview {
        peaks: Peaks::of(tape.recording.samples()),
        traces: Chain::read(&bench, &tape.recording),
        tape,
        bench,
    });
}

/// A made tape as an open recording.
pub fn as_document(tape: &Tape, bench: &Bench) -> Document {
    let recording = tape.recording.clone();
    let about = About {
        name: "made tape".into(),
        format: "from the tape maker".into(),
        channels: 1,
        rate_hz: recording.rate_hz(),
        frames: recording.samples().len() as u64,
        clip_v: Levels::clip_v(bench.source.full_scale_v),
        gaps: Default::default(),
        notes: Vec::new(),
    };
    Document::new(PathBuf::new(), recording, about, bench.source, true)
}

/// The files of a made tape: the WAV, and the truth about it.
///
/// # Errors
/// A sentence, where it does not fit into a WAV file.
pub fn as_files(tape: &Tape, bench: &Bench) -> Result<[Vec<u8>; 2], String> {
    let full_scale_v = bench.source.full_scale_v;
    let wav = export::wav_as(&tape.recording, full_scale_v, bench.tape.sample_format)?;
    Ok([wav, export::truth(tape).into_bytes()])
}
