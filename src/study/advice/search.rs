//! The search: the best of many changes, then the best of many more from there, as long as it
//! helps.

use super::Reread;
use super::candidates::{candidates, digits};
use super::excerpts::{Excerpts, Tried};
use super::judge::rate_fits;
use crate::settings::Bench;
use crate::signal::{Levels, Traces};
use crate::study::{between_tones_s, tape_bit_s, tones};

/// Changes that are joined, at the most.
const ROUNDS: usize = 3;
/// What a step must gain, in characters of ten bits at 300 Bd ...
const GAIN: f64 = 0.5;
/// ... and as a part of the value before.
const GAIN_PART: f64 = 0.02;
/// What the least margin adds to a value, for half a bit: of two that read everything, the one with
/// more room wins.
const ROOM: f64 = 0.03;
/// Least margins that differ by less are as good, in per cent of a bit.
const ROOM_STEP_PERCENT: f64 = 5.0;
/// What each further knob takes away: of two that are as good, the smaller change wins.
const KNOB: f64 = 0.003;

/// Rates in use, in baud: common practice, no source.
const USUAL_BD: [f64; 5] = [150.0, 300.0, 600.0, 1200.0, 2400.0];
/// A rate is a usual one from so near on.
const NEAR_RATE: f64 = 0.03;
/// What the best does better than without a change, as a part of its value, where the change is
/// worth its while.
const WORTH_IT: f64 = 0.01;

/// What was measured on the recording, from which changes are made.
pub(super) struct Found {
    /// The offset behind the input network, in volts.
    pub mean_v: f64,
    /// The tones' peak behind the input network, in volts.
    pub peak_v: f64,
    /// A cycle of mark, in seconds.
    pub mark_s: f64,
    /// A cycle of space, in seconds.
    pub space_s: f64,
    /// The speed of the tape by both tones, where they agree on one.
    pub speed: Option<f64>,
    /// The length of a bit by the runs of space, where there are enough of them.
    pub bit_s: Option<f64>,
    /// Channels that can be read.
    pub channels: u32,
}

impl Found {
    fn of(best: &Tried, levels: &Levels, channels: u32) -> Self {
        let bench = &best.bench;
        let longest = Excerpts::edges(best);
        let split_s = between_tones_s(&bench.tape);
        let seen = longest.map(|edges| tones(edges, 0..edges.len(), split_s));
        let (mark_hz, space_hz) = (bench.tape.mark_hz, bench.tape.space_hz);
        let both = seen.and_then(|t| t.mark_hz.zip(t.space_hz));
        let speed = both.and_then(|(mark, space)| {
            let (fast, slow) = (mark / mark_hz, space / space_hz);
            ((fast / slow - 1.0).abs() < 0.05).then_some((fast + slow) / 2.0)
        });
        let bit_s = longest
            .zip(seen)
            .and_then(|(e, t)| tape_bit_s(e, t.split_s));
        let (mark, space) = both.unwrap_or((mark_hz, space_hz));
        Self {
            mean_v: levels.mean_v * bench.input.gain,
            peak_v: levels.tone_peak_v() * bench.input.gain,
            mark_s: mark.recip(),
            space_s: space.recip(),
            speed,
            bit_s,
            channels,
        }
    }

    /// Sets the rate that the bits on the tape have, a usual one where one is near.
    pub fn at_rate(&self, bench: &mut Bench) {
        if let Some(bit_s) = self.bit_s {
            let near = |rate_bd: &f64| (bit_s * rate_bd - 1.0).abs() < NEAR_RATE;
            let usual = USUAL_BD.into_iter().find(near);
            bench.framer.rate_bd = usual.unwrap_or(digits(bit_s.recip(), 3));
        }
    }

    /// Sets rate and widths for the speed that was measured.
    pub fn at_speed(&self, bench: &mut Bench) {
        if let Some(speed) = self.speed {
            bench.framer.rate_bd = digits(bench.tape.rate_bd * speed, 4);
            bench.short.width_s = digits((self.mark_s * self.space_s).sqrt(), 3);
        }
    }
}

/// The benches of the steps to the best one found; `None` where none is better or the work is no
/// longer wanted.
pub(super) fn search(
    recording: &mut dyn Reread,
    bench: &Bench,
    traces: &Traces,
    levels: &Levels,
) -> Option<Vec<Bench>> {
    let channels = recording.channels();
    let mut excerpts = Excerpts::take(recording, bench, traces)?;
    let mut best = excerpts.read(bench, None);
    let mut steps = Vec::new();
    for round in 0..ROUNDS {
        // Another channel is a first step or none: each costs a reading of the file.
        let channels = if round == 0 { channels } else { 1 };
        let found = Found::of(&best, levels, channels);
        let Some((better, from)) = step(recording, &excerpts, &best, bench, &found)? else {
            break;
        };
        excerpts = from.unwrap_or(excerpts);
        best = better;
        steps.push(best.bench);
    }
    if let Some(last) = steps.last_mut() {
        *last = pruned(&excerpts, &best, bench);
    }
    // What a preset says of the tape maker is no part of a reading.
    for step in &mut steps {
        (step.tape, step.wear) = (bench.tape, bench.wear);
    }
    (!steps.is_empty()).then_some(steps)
}

type Step = (Tried, Option<Excerpts>);

/// The best change from `best` on, with the stretches where it reads another channel. The outer
/// `None`: the work is no longer wanted.
fn step(
    recording: &mut dyn Reread,
    excerpts: &Excerpts,
    best: &Tried,
    first: &Bench,
    found: &Found,
) -> Option<Option<Step>> {
    let needed = best.value + GAIN.max(GAIN_PART * best.value.abs());
    let mut winner: Option<Step> = None;
    for candidate in candidates(&best.bench, found) {
        if recording.is_cancelled() {
            return None;
        }
        let other = if candidate.source == excerpts.source() {
            None
        } else {
            let Some(other) = excerpts.with_source(recording, candidate.source) else {
                continue;
            };
            Some(other)
        };
        let tried = other
            .as_ref()
            .unwrap_or(excerpts)
            .read(&candidate, Some(best));
        let leads = winner
            .as_ref()
            .is_none_or(|(w, _)| rank(&tried, first) > rank(w, first));
        let fits = Excerpts::edges(&tried).is_some_and(|e| rate_fits(e, first, &candidate));
        if tried.value > needed && leads && fits {
            winner = Some((tried, other));
        }
    }
    Some(winner)
}

/// A value with what more room adds and each changed knob takes away.
fn rank(tried: &Tried, first: &Bench) -> f64 {
    let room =
        ROOM * (tried.least_margin_percent / ROOM_STEP_PERCENT).floor() * ROOM_STEP_PERCENT / 50.0;
    let knobs = KNOB * tried.bench.differences(first).len() as f64;
    tried.value + tried.value.abs() * (room - knobs)
}

/// The best bench without the changes that it does as well without.
fn pruned(excerpts: &Excerpts, best: &Tried, first: &Bench) -> Bench {
    let mut bench = best.bench;
    for changed in best.bench.differences(first) {
        if changed.stage == "source" || !changed.shapes_a_reading() {
            continue;
        }
        let mut without = bench;
        changed.set_clamped(&mut without, changed.get(first));
        let tried = excerpts.read(&without, None);
        if tried.value >= best.value - (WORTH_IT * best.value).max(0.1)
            && tried.least_margin_percent >= best.least_margin_percent - 2.0
        {
            bench = without;
        }
    }
    bench
}
