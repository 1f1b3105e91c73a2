//! What the window costs on a long recording, without a display: `cargo bench --bench window`.
//! UI code and tessellation of frames at 1600x1000, medians, beside a plain sum over as many
//! samples as the recording has.
//!
//! Argument: hours of tape, 3 unless given. Three need 5 GiB of memory, and 1 GB in the folder for
//! temporary files.

use egui::{Context, Pos2, RawInput, Rect, Vec2};
use pulsewright::export;
use pulsewright::picture::{Peaks, Span};
use pulsewright::settings::{Bench, SourceSettings, TapeSettings};
use pulsewright::signal::{Chain, Levels, Recording};
use pulsewright::source;
use pulsewright::store::Store;
use pulsewright::tape;
use pulsewright::view::{App, Request};
use std::hint::black_box;
use std::ops::ControlFlow;
use std::path::Path;
use std::thread::sleep;
use std::time::{Duration, Instant};

/// Frames that are measured of each view.
const FRAMES: usize = 40;
const MS: f64 = 1e3;

fn main() {
    let hours: f64 = std::env::args().find_map(|a| a.parse().ok()).unwrap_or(3.0);
    let folder = tempfile::tempdir().expect("a temporary folder");
    let path = folder.path().join("long.wav");
    std::fs::write(&path, long_tape(hours)).expect("room for the tape");
    let sum_s = stages(&path);
    let mut desk = opening(&path, folder.path(), sum_s);
    zooms(&mut desk);
    for (what, length_s) in [("100 ms in view", 0.1), ("the whole in view", f64::MAX)] {
        step(&mut desk, what, length_s, sum_s);
    }
}

/// A tape full of text-like bytes, so that there are as many edges as a real one has, as WAV.
fn long_tape(hours: f64) -> Vec<u8> {
    let settings = TapeSettings::default();
    let characters = (hours * 3600.0 - settings.leader_s - settings.trailer_s) * 300.0 / 11.0;
    let bytes: Vec<u8> = (0..characters as u32)
        .map(|i| 0x20 + (i.wrapping_mul(2_654_435_761) >> 26) as u8)
        .collect();
    export::wav(&tape::record(&bytes, &settings), 1.0).expect("it fits a WAV file")
}

/// What each part of opening costs by itself, one after the other on one thread. Gives the time
/// of a plain sum over the samples.
fn stages(path: &Path) -> f64 {
    let source = SourceSettings::default();
    let (open_s, opened) = timed(|| {
        source::open(path, &source, &mut |_| ControlFlow::Continue(())).expect("it opens")
    });
    let recording: Recording = opened.recording;
    let (_, samples) = recording.kept();
    let volts = recording.samples();
    let (sum_s, _) = timed(|| volts.iter().sum::<f32>());
    drop(volts);
    println!("{} samples; plain sum {sum_s:.3} s", samples.len());
    println!("{:32}{:>10}{:>12}", "", "seconds", "plain sums");
    let row = |what: &str, s: f64| println!("{what:32}{s:>10.3}{:>12.2}", s / sum_s);
    row("reading the file", open_s);
    row("peaks", timed(|| Peaks::of(samples)).0);
    row(
        "levels",
        timed(|| Levels::of_recording(&recording, source.full_scale_v)).0,
    );
    let bench = Bench::default();
    let (chain_s, traces) = timed(|| Chain::read(&bench, &recording));
    row("samples to characters", chain_s);
    row("edges to characters", timed(|| traces.rework(&bench)).0);
    sum_s
}

/// A window without a display.
struct Desk {
    ctx: Context,
    app: App,
}

/// What a frame took, in seconds.
struct Took {
    ui_s: f64,
    tessellation_s: f64,
}

impl Desk {
    fn frame(&mut self) -> Took {
        let size = Vec2::new(1600.0, 1000.0);
        let input = RawInput {
            screen_rect: Some(Rect::from_min_size(Pos2::ZERO, size)),
            ..Default::default()
        };
        let app = &mut self.app;
        let ctx = &self.ctx;
        let (ui_s, mut output) = timed(|| ctx.run_ui(input, |ui| app.show(ui)));
        let shapes = std::mem::take(&mut output.shapes);
        let (tessellation_s, _) = timed(|| ctx.tessellate(shapes, output.pixels_per_point));
        output.drop_without_applying_deltas();
        Took {
            ui_s,
            tessellation_s,
        }
    }

    /// Draws frames until the window holds what is waited for. What a thread has brought counts
    /// when a frame has taken it, so two in a row must hold it.
    fn wait(&mut self, holds: impl Fn(&App) -> bool) {
        let mut held = false;
        loop {
            self.frame();
            let holds = holds(&self.app);
            if holds && held {
                return;
            }
            held = holds;
            sleep(Duration::from_millis(1));
        }
    }

    /// Where the whole tape ends, in seconds.
    fn end_s(&self) -> f64 {
        self.app.whole().end_s
    }
}

/// Opens the tape in a window.
fn opening(path: &Path, folder: &Path, sum_s: f64) -> Desk {
    let begun = Instant::now();
    let ctx = Context::default();
    let store = Store::at(folder.join("store"));
    let request = Request {
        file: Some(path.to_path_buf()),
        ..Default::default()
    };
    let app = App::new(&ctx, request, store).expect("the system gives threads");
    let mut desk = Desk { ctx, app };
    println!("\nopening");
    let mut row = |what: &str, holds: fn(&App) -> bool| {
        desk.wait(holds);
        let s = begun.elapsed().as_secs_f64();
        println!("{what:32}{s:>10.3}{:>12.2}", s / sum_s);
    };
    row("first picture", App::is_open);
    row("first characters", |app| !app.whole().characters.is_empty());
    row("all read", App::is_read);
    desk
}

/// Frames at ten zoom levels, each with another stretch in view than the one before.
fn zooms(desk: &mut Desk) {
    println!("\nframes at 1600x1000, milliseconds");
    println!(
        "{:>12}{:>10}{:>14}{:>10}{:>10}",
        "in view", "UI", "tessellation", "both", "worst"
    );
    let end_s = desk.end_s();
    for length_s in [
        1e-3,
        1e-2,
        0.1,
        0.5,
        2.0,
        10.0,
        60.0,
        600.0,
        3600.0,
        f64::MAX,
    ] {
        let length_s = f64::min(length_s, end_s);
        let mut took: Vec<Took> = Vec::new();
        for i in 0..FRAMES + 3 {
            let from_s = (end_s - length_s) * 0.4 + length_s * 0.003 * i as f64;
            desk.app.look_at(Span::new(from_s, length_s));
            took.push(desk.frame());
        }
        // The first frames lay the window out anew.
        took.drain(..3);
        let both = |t: &Took| t.ui_s + t.tessellation_s;
        println!(
            "{:>10.3} s{:>10.2}{:>14.2}{:>10.2}{:>10.2}",
            length_s,
            MS * median(took.iter().map(|t| t.ui_s)),
            MS * median(took.iter().map(|t| t.tessellation_s)),
            MS * median(took.iter().map(both)),
            MS * took.iter().map(both).fold(0.0, f64::max),
        );
    }
}

/// Steps of the long one-shot's width: the frame that shows it, and when all of it is read anew.
fn step(desk: &mut Desk, what: &str, length_s: f64, sum_s: f64) {
    let end_s = desk.end_s();
    desk.app
        .look_at(Span::new(end_s / 2.0, length_s.min(end_s)));
    desk.frame();
    let (mut shown, mut whole) = (Vec::new(), Vec::new());
    for i in 0..9 {
        let mut bench = Bench::default();
        bench.long.width_s += 1e-5 * f64::from(i + 1);
        desk.app.use_bench(bench);
        let begun = Instant::now();
        let took = desk.frame();
        shown.push(took.ui_s + took.tessellation_s);
        desk.wait(App::is_read);
        whole.push(begun.elapsed().as_secs_f64());
    }
    let (shown_s, whole_s) = (median(shown.into_iter()), median(whole.into_iter()));
    println!(
        "\na step of a one-shot, {what}: shown after {:.1} ms; all read after {whole_s:.3} s, {:.2} \
         plain sums",
        MS * shown_s,
        whole_s / sum_s
    );
}

fn timed<T>(work: impl FnOnce() -> T) -> (f64, T) {
    let begun = Instant::now();
    let done = black_box(work());
    (begun.elapsed().as_secs_f64(), done)
}

fn median(values: impl Iterator<Item = f64>) -> f64 {
    let mut values: Vec<f64> = values.collect();
    values.sort_by(f64::total_cmp);
    values[values.len() / 2]
}
