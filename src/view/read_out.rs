//! What the foot of the window says: about the pointer, the selection, the marks.

use super::lane_area::Hover;
use crate::picture::{Lane, Marks, Span, glyph, time_label};
use crate::settings::Bench;
use crate::signal::{Character, Gap, InputNetwork, Recording, Traces};
use crate::study::Difference;
use crate::units::{self, Unit};

/// What is read from. Times count from the beginning of the capture that the recording is a stretch
/// of.
#[derive(Clone, Copy)]
pub struct Ground<'a> {
    /// The recording.
    pub recording: &'a Recording,
    /// What the stages made of it.
    pub traces: &'a Traces,
    /// The settings with which they did.
    pub bench: &'a Bench,
}

impl Ground<'_> {
    fn time(&self, at_s: f64, step_s: f64) -> String {
        time_label(at_s + self.recording.begins_at_s(), step_s)
    }
}

/// The instant of the nearest edge in the lane under the pointer, within reach; the pointer's own
/// instant where there is none. The source and the characters borrow the edges that belong to
/// them: the squarer's and the long one-shot's.
pub fn snapped_s(hover: Hover, traces: &Traces) -> f64 {
    let edges = hover.lane.snaps_to(traces);
    let behind = edges.count_until(hover.at_s);
    let times = edges.times_s();
    let near = behind.checked_sub(1).into_iter().chain([behind]);
    near.filter_map(|i| times.get(i).copied())
        .min_by(|a, b| (a - hover.at_s).abs().total_cmp(&(b - hover.at_s).abs()))
        .filter(|t| (t - hover.at_s).abs() <= hover.reach_s)
        .unwrap_or(hover.at_s)
}

fn seconds(s: f64) -> String {
    units::show_digits(s, Unit::Seconds, 4)
}

fn volts(v: f64) -> String {
    units::show_digits(v, Unit::Volts, 3)
}

/// What lies under the pointer: time, voltage or level, the pulse, and how far its edges are.
pub fn pointer_text(ground: Ground<'_>, hover: Hover) -> String {
    let at = ground.time(hover.at_s, hover.reach_s / 10.0);
    let Some(edges) = hover.lane.edges(ground.traces) else {
        let Some(recorded_v) = volt_at(ground.recording, hover.at_s) else {
            return format!("At {at}.");
        };
        let behind = behind_network_v(ground, hover.at_s);
        let behind = behind.map_or(String::new(), |v| {
            format!(
                ", after the input network {}, which goes to the squarer",
                volts(v)
            )
        });
        return format!("At {at}: source {}{behind}.", volts(recorded_v));
    };
    let level = if edges.level_at(hover.at_s) {
        "high"
    } else {
        "low"
    };
    let behind = edges.count_until(hover.at_s);
    let before = behind.checked_sub(1).map(|i| edges.times_s()[i]);
    let after = edges.times_s().get(behind).copied();
    let name = hover.lane.name().to_lowercase();
    let pulse = match (before, after) {
        (Some(b), Some(a)) => format!(
            ", for {}; edges {} before and {} after",
            seconds(a - b),
            seconds(hover.at_s - b),
            seconds(a - hover.at_s)
        ),
        (Some(b), None) => format!(" since {}", seconds(hover.at_s - b)),
        (None, Some(a)) => format!(" for another {}", seconds(a - hover.at_s)),
        (None, None) => String::new(),
    };
    format!("At {at}: {name} {level}{pulse}.")
}

/// The voltage on the straight line between two samples.
fn volt_at(recording: &Recording, at_s: f64) -> Option<f64> {
    let (index, part) = sample_at(recording, at_s)?;
    between(&recording.stretch(index..index + 2), part)
}

/// The voltage that comes to the squarer, where the input network is not a mere wire.
fn behind_network_v(ground: Ground<'_>, at_s: f64) -> Option<f64> {
    let (recording, input) = (ground.recording, &ground.bench.input);
    let (index, part) = sample_at(recording, at_s)?;
    if InputNetwork::is_wire(input) {
        return None;
    }
    between(
        &InputNetwork::stretch(input, recording, index..index + 2),
        part,
    )
}

/// The sample before an instant, and how far behind it that lies in parts of a sample.
fn sample_at(recording: &Recording, at_s: f64) -> Option<(usize, f64)> {
    let at = at_s * f64::from(recording.rate_hz());
    (at >= 0.0).then_some((at.floor() as usize, at.fract()))
}

/// The value between the first two samples; that of the last one behind it.
fn between(samples: &[f32], part: f64) -> Option<f64> {
    let now = f64::from(*samples.first()?);
    let next = samples.get(1).map_or(now, |v| f64::from(*v));
    Some(now + part * (next - now))
}

/// A character in words, and what it `was` among held ones.
pub fn character_text(ground: Ground<'_>, c: &Character, was: Option<&str>) -> String {
    let faults = if c.faults.any() {
        c.faults.words().join(", ")
    } else {
        "no fault".into()
    };
    format!(
        "{:02X} {} at {}: {faults}, margin {} of a bit{}.",
        c.value,
        glyph(c.value),
        ground.time(c.at_s, 1e-6),
        units::percent(c.margin_percent),
        was.map_or(String::new(), |was| format!("; {was}"))
    )
}

/// What a held character was.
pub fn was_text(c: &Character) -> String {
    let faults = match c.faults.any() {
        true => format!(", {}", c.faults.words().join(", ")),
        false => String::new(),
    };
    format!(
        "was {:02X} {}, margin {}{faults}",
        c.value,
        glyph(c.value),
        units::percent(c.margin_percent)
    )
}

/// What stood among the held characters in the place of one that differs from them so.
pub fn held_text(held: &[Character], difference: Option<&Difference>) -> String {
    match difference.map(|d| d.before.and_then(|i| held.get(i))) {
        None => "was the same".into(),
        Some(None) => "was not there".into(),
        Some(Some(c)) => was_text(c),
    }
}

/// What is missing from the stretch in view; none where nothing is.
pub fn gaps_text(ground: Ground<'_>, span: Span) -> Option<String> {
    let recording = ground.recording;
    let (first, rest) = Gap::within(recording.gaps(), span.from_s, span.to_s).split_first()?;
    let others = match rest.len() {
        0 => String::new(),
        n => format!(", and {} more in view", units::counted(n, "gap")),
    };
    let first = first.moved(recording.begins_at_s());
    Some(format!("Gap: {first}{others}."))
}

/// What the marks measure; none while no mark is set.
pub fn marks_text(ground: Ground<'_>, marks: Marks) -> Option<String> {
    let one = |letter: &str, at_s: f64| {
        let value = volt_at(ground.recording, at_s).map_or(String::new(), |v| volts(v) + "; ");
        let levels = Lane::two_level().map(|lane| {
            let high = lane.edges(ground.traces).is_some_and(|e| e.level_at(at_s));
            format!("{} {}", lane.word(), if high { "high" } else { "low" })
        });
        let levels: Vec<_> = levels.collect();
        format!(
            "{letter} {} ({value}{})",
            ground.time(at_s, 1e-6),
            levels.join(", ")
        )
    };
    match marks {
        [None, None] => None,
        [Some(a), None] => Some(one("A", a)),
        [None, Some(b)] => Some(one("B", b)),
        [Some(a), Some(b)] => {
            let apart = b - a;
            let inverse = if apart == 0.0 {
                String::new()
            } else {
                format!(
                    ", {}",
                    units::show_digits(1.0 / apart.abs(), Unit::Hertz, 5)
                )
            };
            let count = |lane: Lane| {
                let edges = lane.edges(ground.traces);
                let count = edges.map_or(0, |e| e.within(a.min(b), a.max(b)).len());
                format!("{} {count}", lane.word())
            };
            let counts: Vec<_> = Lane::two_level().map(count).collect();
            Some(format!(
                "{} · {} · B-A {}{inverse} · edges between: {}",
                one("A", a),
                one("B", b),
                units::show_digits(apart, Unit::Seconds, 7),
                counts.join(", ")
            ))
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn ground<'a>(recording: &'a Recording, traces: &'a Traces, bench: &'a Bench) -> Ground<'a> {
        Ground {
            recording,
            traces,
            bench,
        }
    }

    /// The network halves and turns over what is recorded.
    #[test]
    fn both_voltages_are_read_at_the_pointer() {
        let recording = Recording::new(vec![0.2; 100], 1000);
        let traces = Traces::default();
        let mut bench = Bench::default();
        let hover = Hover {
            at_s: 0.05,
            lane: Lane::Source,
            reach_s: 1e-3,
        };
        let said = pointer_text(ground(&recording, &traces, &bench), hover);
        assert!(said.ends_with("source 200 mV."), "{said}");
        bench.input.gain = 0.5;
        bench.input.sense = crate::settings::Sense::Inverted;
        let said = pointer_text(ground(&recording, &traces, &bench), hover);
        assert!(
            said.contains("source 200 mV, after the input network -100 mV"),
            "{said}"
        );
        // Between the last sample and the end, and beyond it.
        for (at_s, says) in [(0.0995, "-100 mV"), (0.2, "At 0:00.200")] {
            let hover = Hover { at_s, ..hover };
            let said = pointer_text(ground(&recording, &traces, &bench), hover);
            assert!(said.contains(says), "{said}");
        }
    }

    #[test]
    fn the_level_of_each_stage_is_named_at_a_mark() {
        let recording = Recording::new(vec![0.025; 100], 1000);
        let (traces, bench) = (Traces::default(), Bench::default());
        let marks = [Some(0.05), None];
        let said = marks_text(ground(&recording, &traces, &bench), marks).unwrap();
        assert!(
            said.contains("(25 mV; squarer low, short low, long low)"),
            "{said}"
        );
    }
}
