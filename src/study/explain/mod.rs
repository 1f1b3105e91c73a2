//! Why a character is wrong, or how near it is to being so.

mod cycles;
mod line;

use crate::settings::{Bench, Choice, FramerSettings, Parity, Sense, Trigger};
use crate::signal::{Character, Traces};
use crate::units::{Unit, clock, show_digits};
use cycles::{Cycles, Tone};
use line::Line;

/// From this part of a bit on, the long one-shot is said to be too long. The default width lies at
/// 8 %: some of it is the price of bridging a cycle of space.
const LATE: f64 = 0.1;
/// From this part on, a bit on the line is said to be longer or shorter than the framer's. A
/// receiver with 16 ticks a bit stands a good 4 %.
const OTHER_RATE: f64 = 0.01;
/// Both tones must be off by more than this part before it is said.
const OFF_SPEED: f64 = 0.02;
/// Up to this part of a bit, a transition is on time.
const ON_TIME: f64 = 0.001;
/// What the widths say must agree with the line to this part of a bit, or nothing is concluded.
const AGREES: f64 = 0.05;

/// What can be said about a character from the traces, in plain sentences: what is wrong with it,
/// where its least margin lies, how its transitions lie on the line, and what that says of the
/// one-shots. Everything is measured on the stretch that the character takes; `traces` must be
/// those of `bench`.
pub fn explain(character: &Character, traces: &Traces, bench: &Bench) -> Vec<String> {
    let mark_is_high = bench.framer.sense == Sense::Normal;
    let line = Line::new(character, &traces.long, mark_is_high);
    let length_s = character.length_s();
    let (from_s, to_s) = (character.at_s, character.at_s + length_s);
    let cycles = Cycles::of(&traces.squarer, bench.short.trigger, from_s, to_s);

    let mut said = faults(character, &line, &bench.framer);
    said.extend(least_margin(character, &line, &bench.framer));
    match cycles.tones() {
        Some((mark, space)) => {
            // With both edges, what lies between two triggers is half a cycle.
            let part = match bench.short.trigger {
                Trigger::Both => 0.5,
                Trigger::Rising | Trigger::Falling => 1.0,
            };
            let tones_hz = [part / mark.median_s(), part / space.median_s()];
            said.extend(off_speed(tones_hz, bench));
            let widths = widths(&mark, &space, bench);
            // A line that does not hold through space has transitions that belong to no bit.
            if widths.is_empty() {
                said.extend(timing(character, &line, &space, bench));
            }
            said.extend(widths);
        }
        None => said.extend(
            cycles
                .all()
                .and_then(|all| one_tone(&all, character, bench)),
        ),
    }
    said
}

/// By how much both tones are off, where they are off by the same part.
fn off_speed([mark_hz, space_hz]: [f64; 2], bench: &Bench) -> Option<String> {
    let (mark, space) = (mark_hz / bench.tape.mark_hz, space_hz / bench.tape.space_hz);
    let alike = (mark / space - 1.0).abs() < OFF_SPEED;
    let off = (mark + space) / 2.0 - 1.0;
    (off.abs() > OFF_SPEED && alike).then(|| {
        format!(
            "Both tones are {} {} here: mark {}, space {}.",
            percent(off.abs()),
            if off < 0.0 { "low" } else { "high" },
            show_digits(mark_hz, Unit::Hertz, 4),
            show_digits(space_hz, Unit::Hertz, 4)
        )
    })
}

/// A time to three digits, and to a tenth of a microsecond.
fn us(time_s: f64) -> String {
    show_digits((time_s * 1e7).round() / 1e7, Unit::Seconds, 3)
}

fn percent(part: f64) -> String {
    show_digits(part * 100.0, Unit::Percent, 2)
}

/// What was expected and what was seen.
fn faults(character: &Character, line: &Line<'_>, framer: &FramerSettings) -> Vec<String> {
    let instants = character.instants;
    if !character.faults.any() {
        return vec!["It was received without a fault.".into()];
    }
    let mut said = Vec::new();
    if character.faults.break_ {
        let length_s = character.length_s();
        let space = match line.space_s() {
            Some(space_s) => format!("stayed at space for {}", us(space_s)),
            None => "stays at space to the end".into(),
        };
        said.push(format!(
            "Break: every bit, the stop bit too, was space. The line {space}; a whole character \
             takes {}.",
            us(length_s)
        ));
    } else if character.faults.framing
        && let Some(stop) = (first_stop(framer)..instants.count()).find(|&i| !line.is_mark(i))
    {
        said.push(format!(
            "Framing error: {} should be mark, and was space when it was sampled at {}.",
            name(stop, character, framer),
            clock(instants.at_s(stop))
        ));
    }
    if character.faults.parity
        && let Some(expected) = framer.parity.bit(character.value)
    {
        let with = match framer.parity {
            Parity::Even | Parity::Odd => format!(
                "{} parity and {} in the data",
                framer.parity.word(),
                match character.value.count_ones() {
                    1 => "1 one".into(),
                    ones => format!("{ones} ones"),
                }
            ),
            _ => format!("the parity bit set to {}", framer.parity.word()),
        };
        said.push(format!(
            "Parity error: with {with}, the parity bit should be {}, and was {}.",
            tone(expected),
            tone(!expected)
        ));
    }
    said
}

fn tone(mark: bool) -> &'static str {
    if mark { "mark" } else { "space" }
}

fn first_stop(framer: &FramerSettings) -> usize {
    1 + framer.data_bits as usize + usize::from(framer.parity != Parity::None)
}

/// The bit that is sampled at an instant, with its article.
fn name(instant: usize, character: &Character, framer: &FramerSettings) -> String {
    let (data, stop) = (framer.data_bits as usize, first_stop(framer));
    let half = character.instants.half && instant + 1 == character.instants.count();
    match instant {
        0 => "the start bit".into(),
        i if i <= data => format!("data bit {i} of {data}"),
        i if i < stop => "the parity bit".into(),
        _ if half => "the half stop bit".into(),
        i if i > stop => "the second stop bit".into(),
        _ => "the stop bit".into(),
    }
}

fn least_margin(character: &Character, line: &Line<'_>, framer: &FramerSettings) -> Option<String> {
    let nearest = line.nearest()?;
    Some(format!(
        "The least margin is {} of a bit: {} was sampled {} {} a transition to {}.",
        percent(nearest.apart_s / character.instants.bit_s),
        name(nearest.instant, character, framer),
        us(nearest.apart_s),
        if nearest.before { "behind" } else { "ahead of" },
        tone(nearest.to_mark)
    ))
}

/// How the transitions lie, and what that says of rate and long width.
fn timing(character: &Character, line: &Line<'_>, space: &Tone, bench: &Bench) -> Vec<String> {
    let bit_s = character.instants.bit_s;
    // The last trigger in a space comes one cycle before the space would end on the line.
    let held_s = bench.long.width_s - space.median_s();
    let found = line.distortion(held_s, OTHER_RATE);
    let mut said = Vec::new();
    // Of a character with faults it is not known which transition belongs to which bit.
    if found.bit_longer != 0.0 && !character.faults.any() {
        let longer = found.bit_longer > 0.0;
        said.push(format!(
            "A bit on the line lasts {}, {} {} than the framer's: the recording has {} there, the \
             framer expects {}.",
            us(bit_s * (1.0 + found.bit_longer)),
            percent(found.bit_longer.abs()),
            if longer { "longer" } else { "shorter" },
            show_digits(1.0 / bit_s / (1.0 + found.bit_longer), Unit::Baud, 4),
            show_digits(1.0 / bit_s, Unit::Baud, 4)
        ));
    }
    let late = |mean_s: f64| {
        let part = mean_s.abs() / bit_s;
        let side = if mean_s < 0.0 { "early" } else { "late" };
        if part < ON_TIME {
            return "on time".into();
        }
        format!("{} {side} ({} of a bit)", us(mean_s.abs()), percent(part))
    };
    let parts: Vec<_> = [("end", found.ends_s), ("begin", found.begins_s)]
        .into_iter()
        .filter_map(|(verb, mean_s)| Some(format!("{verb} {}", late(mean_s?))))
        .collect();
    if !parts.is_empty() {
        said.push(format!(
            "Counted from the start edge, spaces on the line {} on average.",
            parts.join(" and ")
        ));
    }
    if let Some(ends_s) = found.ends_s
        && ends_s > LATE * bit_s
        && (ends_s - held_s).abs() < AGREES * bit_s
    {
        said.push(format!(
            "The long one-shot, {} wide, is too long: spaces end late by what it is longer than one \
             of their cycles. Set it a little above the longest of these, {}, so that it still holds \
             through them.",
            us(bench.long.width_s),
            us(space.longest_s())
        ));
    }
    said
}

/// What the widths do to cycles that they should let pass or hold.
fn widths(mark: &Tone, space: &Tone, bench: &Bench) -> Vec<String> {
    let (short_s, long_s) = (bench.short.width_s, bench.long.width_s);
    let mut said = Vec::new();
    let between = format!(
        "its width has to lie between {} and {}, at best near {}",
        us(mark.longest_s()),
        us(space.shortest_s()),
        us((mark.longest_s() * space.shortest_s()).sqrt())
    );
    let timed_out = mark.longer_than(short_s);
    if timed_out > 0 {
        said.push(format!(
            "The short one-shot, {} wide, times out in {timed_out} of {} cycles of mark ({}), and \
             each time the line falls. It is too short: {between}.",
            us(short_s),
            mark.count(),
            us(mark.median_s())
        ));
    }
    let held = space.count() - space.longer_than(short_s);
    if held > 0 {
        said.push(format!(
            "The short one-shot, {} wide, does not time out in {held} of {} cycles of space ({}), \
             which so pass for mark. It is too long: {between}.",
            us(short_s),
            space.count(),
            us(space.median_s())
        ));
    }
    let released = space.longer_than(long_s);
    if released > 0 {
        said.push(format!(
            "The long one-shot, {} wide, releases within {released} of {} cycles of space ({}), \
             and the line does not hold through them. It is too short: its width has to be over {}.",
            us(long_s),
            space.count(),
            us(space.median_s()),
            us(space.longest_s())
        ));
    }
    said
}

/// A character in which all cycles are alike, and the short one-shot times out in all of them.
fn one_tone(all: &Tone, character: &Character, bench: &Bench) -> Option<String> {
    let timed_out = all.longer_than(bench.short.width_s);
    (character.faults.any() && timed_out == all.count()).then(|| {
        format!(
            "All cycles in this stretch are alike, {}, and the short one-shot, {} wide, times out \
             in every one. If they are mark, it is too short.",
            us(all.median_s()),
            us(bench.short.width_s)
        )
    })
}

#[cfg(test)]
mod tests;
