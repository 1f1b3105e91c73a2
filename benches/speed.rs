//! What the stages cost, as ratios to a sum over the same samples: `cargo bench --bench speed`.
//! An hour of data at 48 kHz in memory, medians of several runs, one thread.
//!
//! Argument: minutes of tape, 60 unless given.

use pulsewright::settings::{Bench, TapeSettings};
use pulsewright::signal::{Chain, Edges, InputNetwork, Recording, Samples, Squarer};
use pulsewright::tape;
use std::hint::black_box;
use std::iter::Sum;
use std::ops::AddAssign;
use std::time::Instant;

const RUNS: usize = 5;

fn main() {
    let minutes = std::env::args()
        .find_map(|a| a.parse().ok())
        .unwrap_or(60.0);
    let recording = sixteen_bits(data_tape(minutes));
    let samples = recording.len() as f64;
    forget_peak_memory();
    let bench = Bench::default();
    let mut filtered = bench;
    (filtered.input.high_pass_hz, filtered.input.low_pass_hz) = (16.0, 8000.0);

    // First, while the greatest memory so far is the recording's own.
    let traces = Chain::read(&bench, &recording);
    println!(
        "{} samples, {} characters",
        samples,
        traces.characters.len()
    );
    match peak_memory_bytes() {
        Some(bytes) => println!("resident memory: {:.2} bytes a sample", bytes / samples),
        None => println!("resident memory: this system does not tell"),
    }

    let steps_s = median_s(|| Chain::read(&bench, &recording));
    let recording = Recording::new(recording.samples().into_owned(), recording.rate_hz());
    let sum_s = median_s(|| recording.samples().iter().sum::<f32>());
    let eight_s = median_s(|| eight_sums(&recording.samples()));
    let edges_s = median_s(|| edges(&bench, &recording));
    println!(
        "{:38}{:>10}{:>14}{:>16}{:>18}",
        "", "seconds", "plain sums", "eight-way sums", "samples to edges"
    );
    let row = |what: &str, s: f64| {
        let (plain, eight, edges) = (s / sum_s, s / eight_s, s / edges_s);
        println!("{what:38}{s:>10.3}{plain:>14.2}{eight:>16.2}{edges:>18.2}");
    };
    row("plain sum of the samples", sum_s);
    row("eight-way sum of the samples", eight_s);
    row("samples to edges", edges_s);
    row(
        "samples to edges, both filters on",
        median_s(|| edges(&filtered, &recording)),
    );
    row(
        "plain sum of the squarer's edges",
        median_s(|| traces.squarer.times_s().iter().sum::<f64>()),
    );
    row(
        "eight-way sum of the squarer's edges",
        median_s(|| eight_sums(traces.squarer.times_s())),
    );
    // As while a slider moves: in the memory of traces that are no longer shown.
    let mut spare = traces.rework(&bench);
    row(
        "edges to characters",
        median_s(|| spare = traces.rework_into(std::mem::take(&mut spare), &bench)),
    );
    row(
        "edges to characters, fresh memory",
        median_s(|| traces.rework(&bench)),
    );
    row(
        "samples to characters",
        median_s(|| Chain::read(&bench, &recording)),
    );
    row("the same, kept in 16 bits", steps_s);
}

/// A tape full of text-like bytes, so that there are as many edges as a real one has.
fn data_tape(minutes: f64) -> Recording {
    let settings = TapeSettings::default();
    let characters = (minutes * 60.0 - settings.leader_s - settings.trailer_s) * 300.0 / 11.0;
    let bytes: Vec<u8> = (0..characters as u32)
        .map(|i| 0x20 + (i.wrapping_mul(2_654_435_761) >> 26) as u8)
        .collect();
    tape::record(&bytes, &settings)
}

/// The same as a file of 16 bits holds it.
fn sixteen_bits(recording: Recording) -> Recording {
    let mut samples = Samples::of_full_scale(1.0);
    samples.make_room(recording.len()).expect("there is memory");
    let mut pieces = recording.all();
    while let Some(piece) = pieces.read() {
        let step = |v: &f32| (v * 32_768.0).round() / 32_768.0;
        let piece: Vec<f32> = piece.iter().map(step).collect();
        samples.push(&piece).expect("there is memory");
    }
    Recording::of(samples, recording.rate_hz())
}

/// A plain sum waits for one addition after the other; eight side by side run as fast as memory
/// gives, which is the least that any reading of the samples can take.
fn eight_sums<T: Copy + Default + AddAssign + Sum>(values: &[T]) -> T {
    let mut sums = [T::default(); 8];
    for eight in values.chunks_exact(8) {
        for (sum, v) in sums.iter_mut().zip(eight) {
            *sum += *v;
        }
    }
    sums.into_iter().sum()
}

/// Input network and squarer alone, as [`Chain`] joins them.
fn edges(bench: &Bench, recording: &Recording) -> Edges {
    let mut squarer = Squarer::new(&bench.squarer, recording.rate_hz());
    let (mut edges, mut block) = (Edges::resting(false), Vec::new());
    if InputNetwork::is_wire(&bench.input) {
        squarer.run(&recording.samples(), &mut edges);
        return edges;
    }
    let mut network = InputNetwork::new(&bench.input, recording.rate_hz());
    for samples in recording.samples().chunks(4096) {
        network.run(samples, &mut block);
        squarer.run(&block, &mut edges);
    }
    network.finish(&mut block);
    squarer.run(&block, &mut edges);
    edges
}

fn median_s<T>(mut work: impl FnMut() -> T) -> f64 {
    let mut times: Vec<f64> = (0..RUNS)
        .map(|_| {
            let start = Instant::now();
            black_box(work());
            start.elapsed().as_secs_f64()
        })
        .collect();
    times.sort_by(f64::total_cmp);
    times[RUNS / 2]
}

/// Lets the greatest resident memory count from here on, where the system can.
fn forget_peak_memory() {
    let _ = std::fs::write("/proc/self/clear_refs", "5");
}

/// The greatest resident memory of this process so far, where the system tells it.
fn peak_memory_bytes() -> Option<f64> {
    let status = std::fs::read_to_string("/proc/self/status").ok()?;
    let line = status.lines().find(|l| l.starts_with("VmHWM:"))?;
    let kib: f64 = line.split_whitespace().nth(1)?.parse().ok()?;
    Some(kib * 1024.0)
}
