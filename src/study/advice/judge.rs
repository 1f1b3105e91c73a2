//! How good a reading is, judged by itself: by faults, margins and false starts.

use crate::settings::{Bench, FramerSettings};
use crate::signal::{Character, Edges, Traces, least_margin_percent};
use crate::study::{between_tones_s, tape_bit_s, tones};

/// A character counts in full from this margin on, in per cent of a bit.
const FULL_MARGIN: f64 = 20.0;
/// A character does not count up to this margin, in per cent of a bit: noise gives as much.
const NO_MARGIN: f64 = 3.0;
/// The least margin of a clean reading, in per cent of a bit.
const CLEAN_MARGIN: f64 = 15.0;
/// False starts that a clean reading may have: a leader or a pause may begin with one.
const CLEAN_FALSE_STARTS: usize = 2;
/// What a false start takes away, in characters.
const FALSE_START: f64 = 0.25;
/// By so much the least margin must grow where the count of characters does not, in per cent of a
/// bit.
const CLEARLY_MORE: f64 = 5.0;
/// Of the characters that were read well before, this part must still be read.
const KEPT: f64 = 0.95;
/// Evidence of a tape: characters without a fault, at the least.
const LEAST_SOUND: usize = 4;
/// Evidence of a tape: this part of the characters has no fault ...
const SOUND_PART: f64 = 0.5;
/// ... and the worth of all characters is this part of their number.
const WORTH_PART: f64 = 0.45;

/// A bit on the tape fits a rate that gives its length to this part.
const SAME_RATE: f64 = 0.2;
/// Cycles of the lower tone in a bit, at the least, with room for a wrong speed.
const CYCLES_A_BIT: f64 = 0.85;

/// What was read, by count.
#[derive(Clone, Copy, Debug, PartialEq, Default)]
pub struct Tally {
    /// All characters.
    pub characters: usize,
    /// Those without a fault.
    pub sound: usize,
    /// Transitions that were no start bit.
    pub false_starts: usize,
    /// The least margin of the characters without a fault, in per cent of a bit.
    pub least_margin_percent: Option<f64>,
}

impl Tally {
    /// Counts a reading.
    pub fn of(traces: &Traces) -> Self {
        let all = &traces.characters;
        Self {
            characters: all.len(),
            sound: all.iter().filter(|c| !c.faults.any()).count(),
            false_starts: traces.false_starts_s.len(),
            least_margin_percent: least_margin_percent(all),
        }
    }

    /// Whether there is nothing to mend.
    pub fn is_clean(&self) -> bool {
        self.characters > 0
            && self.sound == self.characters
            && self.false_starts <= CLEAN_FALSE_STARTS
            && self.least_margin() >= CLEAN_MARGIN
    }

    fn least_margin(&self) -> f64 {
        self.least_margin_percent.unwrap_or(0.0)
    }
}

/// What a character is worth: 0 to 1 by its margin, -1 with a fault.
fn worth(character: &Character) -> f64 {
    if character.faults.any() {
        return -1.0;
    }
    ((character.margin_percent - NO_MARGIN) / (FULL_MARGIN - NO_MARGIN)).clamp(0.0, 1.0)
}

/// How long a character is, to the nearest power of two of a character at 300 Bd. What covers more
/// time is harder to read by chance; what differs by the speed of a tape covers the same.
fn length(framer: &FramerSettings) -> f64 {
    (300.0 / framer.rate_bd).log2().round().exp2()
}

/// The worth of some characters and false starts, in characters of ten bits at 300 Bd.
pub(super) fn value<'a>(
    characters: impl IntoIterator<Item = &'a Character>,
    false_starts: usize,
    framer: &FramerSettings,
) -> f64 {
    let worth: f64 = characters.into_iter().map(worth).sum();
    (worth - FALSE_START * false_starts as f64) * length(framer)
}

/// Whether the second reading of a recording is better than the first: it shows a tape, has more
/// characters without a fault or as many with clearly more margin, and keeps what was read well.
pub(super) fn is_better(
    before: &Traces,
    bench_before: &Bench,
    after: &Traces,
    bench_after: &Bench,
) -> bool {
    let (old, new) = (Tally::of(before), Tally::of(after));
    let time = |tally: &Tally, bench: &Bench| tally.sound as f64 * length(&bench.framer);
    let share = |tally: &Tally| tally.sound as f64 / tally.characters.max(1) as f64;
    // At a quarter of the rate there is a quarter of the characters.
    let more = time(&new, bench_after) > time(&old, bench_before)
        && (new.sound > old.sound || share(&new) > share(&old));
    let safer = new.sound == old.sound
        && new.characters - new.sound <= old.characters - old.sound
        && old.least_margin() < CLEAN_MARGIN
        && new.least_margin() >= old.least_margin() + CLEARLY_MORE;
    (more || safer)
        && rate_fits(&after.squarer, bench_before, bench_after)
        && is_a_tape(after, bench_after)
        && (frames_differ(bench_before, bench_after)
            || !is_a_tape(before, bench_before)
            || (is_whole(&new) && old.least_margin() < CLEAN_MARGIN)
            || kept(before, after) >= KEPT)
}

/// Whether a rate of another order than before is that of the bits on the tape. At four times the
/// rate there are four times as many chances of characters without a fault, and hum gives them too.
pub(super) fn rate_fits(squarer: &Edges, before: &Bench, after: &Bench) -> bool {
    if length(&before.framer) == length(&after.framer) {
        return true;
    }
    let split_s = tones(squarer, 0..squarer.len(), between_tones_s(&after.tape)).split_s;
    tape_bit_s(squarer, split_s)
        .is_some_and(|bit_s| (bit_s * after.framer.rate_bd - 1.0).abs() < SAME_RATE)
}

/// Whether every character is without a fault and has room: then what another reading made of the
/// same line was wrong, faults or not.
fn is_whole(tally: &Tally) -> bool {
    tally.sound == tally.characters && tally.least_margin() >= 2.0 * CLEAN_MARGIN
}

/// Whether what was read can hardly be noise.
fn is_a_tape(traces: &Traces, bench: &Bench) -> bool {
    let tally = Tally::of(traces);
    let split_s = between_tones_s(&bench.tape);
    let heard = tones(&traces.squarer, 0..traces.squarer.len(), split_s);
    // A bit holds a cycle of the lower tone, at the least.
    let two_tones = heard.mark_hz.is_some()
        && heard
            .space_hz
            .is_some_and(|hz| hz >= CYCLES_A_BIT * bench.framer.rate_bd);
    let all = tally.characters as f64;
    let worth: f64 = traces.characters.iter().map(|c| worth(c).max(0.0)).sum();
    two_tones
        && tally.sound >= LEAST_SOUND
        && tally.sound as f64 >= SOUND_PART * all
        && worth >= WORTH_PART * all
        && tally.false_starts as f64 <= all
}

/// Whether the same line gives other characters with the second settings.
fn frames_differ(before: &Bench, after: &Bench) -> bool {
    let frame = |b: &Bench| (b.framer.data_bits, b.framer.parity, b.framer.sense);
    let rates = after.framer.rate_bd / before.framer.rate_bd;
    frame(before) != frame(after) || !(0.7..1.4).contains(&rates)
}

/// Of the characters that were read well before, the part that is read again at the same time.
fn kept(before: &Traces, after: &Traces) -> f64 {
    let well = before.characters.iter();
    let well = well.filter(|c| !c.faults.any() && c.margin_percent >= FULL_MARGIN);
    let (mut all, mut again) = (0, 0);
    for old in well {
        all += 1;
        let near_s = old.instants.bit_s * 0.5;
        let from = after
            .characters
            .partition_point(|c| c.at_s < old.at_s - near_s);
        let near = after.characters[from..].iter();
        let mut near = near.take_while(|c| c.at_s <= old.at_s + near_s);
        again += usize::from(near.any(|c| c.value == old.value && !c.faults.any()));
    }
    if all == 0 {
        1.0
    } else {
        f64::from(again as u32) / f64::from(all)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::signal::Faults;
    use crate::study::made::{character, edges};

    /// Characters on a tape with both tones.
    fn reading(values: &[u8]) -> Traces {
        let each = values.iter().enumerate();
        let cycles = (0..64).map(|i| if i % 16 < 8 { 208e-6 } else { 417e-6 });
        let mut at_s = 0.0;
        let times_s: Vec<f64> = cycles
            .map(|half_s| {
                at_s += half_s;
                at_s
            })
            .collect();
        Traces {
            squarer: edges(false, &times_s).into(),
            characters: each.map(|(i, v)| character(i as f64, *v)).collect(),
            ..Traces::default()
        }
    }

    fn spoilt(mut traces: Traces, indices: &[usize]) -> Traces {
        for &i in indices {
            traces.characters[i].faults = Faults {
                framing: true,
                ..Faults::default()
            };
        }
        traces
    }

    #[test]
    fn a_reading_with_fewer_faults_is_better_and_never_the_other_way_round() {
        let bench = Bench::default();
        let good = reading(b"SALTMERE");
        let bad = spoilt(good.clone(), &[2, 5]);
        assert!(is_better(&bad, &bench, &good, &bench));
        assert!(!is_better(&good, &bench, &bad, &bench));
        assert!(!is_better(&good, &bench, &good, &bench));
    }

    #[test]
    fn nothing_read_is_never_better() {
        let bench = Bench::default();
        let all_bad = spoilt(reading(b"SALTMERE"), &[0, 1, 2, 3, 4, 5, 6, 7]);
        assert!(!is_better(&all_bad, &bench, &reading(b""), &bench));
    }

    #[test]
    fn more_characters_that_lose_those_read_well_are_not_better() {
        let bench = Bench::default();
        let before = spoilt(reading(b"SALTMERE"), &[6, 7]);
        let after = reading(b"QQQQQQRE");
        assert!(!is_better(&before, &bench, &after, &bench));
    }

    #[test]
    fn as_many_with_clearly_more_margin_are_better_only_from_a_small_margin() {
        let bench = Bench::default();
        let with = |margin: f64| {
            let mut traces = reading(b"SALTMERE");
            traces.characters[3].margin_percent = margin;
            traces
        };
        assert!(is_better(&with(6.0), &bench, &with(30.0), &bench));
        assert!(!is_better(&with(6.0), &bench, &with(9.0), &bench));
        assert!(!is_better(&with(20.0), &bench, &with(40.0), &bench));
    }

    #[test]
    fn a_character_of_a_quarter_of_the_time_is_worth_a_quarter() {
        let traces = reading(b"SALT");
        let at = |rate_bd| {
            let framer = FramerSettings {
                rate_bd,
                ..FramerSettings::default()
            };
            value(&traces.characters, 0, &framer)
        };
        assert!((at(300.0) - 4.0).abs() < 1e-9 && (at(1200.0) - 1.0).abs() < 1e-9);
    }
}
