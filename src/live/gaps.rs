//! Finds lost samples: those that came, counted against the clock.
//!
//! Sound systems lose samples without a word. A sample can come late but never early, so the least
//! lateness of the last seconds is steady, but for the small difference between the clock of the
//! sound card and that of the computer. When samples are lost, it steps up by their length and
//! stays; when they are only late, it comes back.
//!
//! A small step may be either, and is not told. It is forgotten no faster than clocks may differ,
//! so that small losses add up until they are told together, where the last of them is.
//!
//! Samples come in blocks, and a block may be given over when its last sample is there (as sound
//! cards do) or when its first is due (as the monitor of an output may). The length of blocks
//! changes when another program uses the device, which shifts the lateness of the last sample of a
//! block or that of the first, but not of both; a loss shifts both.
//!
//! A sound server may cut a block where a player's own block ends, and give over the pieces one
//! right after the other. The first sample of the second piece then comes as early as no whole
//! block does, for as long as something is played. So the pieces are one delivery, and its first
//! sample is that of its first piece.

use crate::signal::{Cause, Gap};
use crate::units::{Unit, show_digits};

/// A step smaller than this in seconds is not taken for a loss: sound systems shift by some
/// milliseconds when a program begins or ends, and lose more than that where they lose.
const LEAST_S: f64 = 0.015;
/// A step that stays for so long in seconds is a loss.
const SETTLE_S: f64 = 2.0;
/// The steady level is learnt from so many seconds behind the first block, which may hold what had
/// waited before the stream began and so come earlier than any other.
const BEGIN_S: f64 = 0.25;
/// The steady level follows the difference of the clocks in steps of this length, in seconds.
const EPOCH_S: f64 = 2.0;
/// How far it may rise in one of them, in seconds: 500 parts in a million, more than the quartz of
/// a sound card is off by. Common practice, no source.
const RISE_S: f64 = 1e-3;
/// What follows the last block within so many seconds is part of the same delivery: no block is
/// that short.
const AT_ONCE_S: f64 = 3e-4;
/// So is what follows the first within so many seconds.
const TOGETHER_S: f64 = 5e-3;
/// So is what follows the first within this part of the time that the delivery lasts: less than
/// one, so that blocks which come in their own time end it.
const TOGETHER_PART: f64 = 0.75;
/// But of those, no more than so many seconds.
const DELIVERY_S: f64 = 0.1;
/// Gaps that are listed; more are counted.
const MOST_LISTED: usize = 10_000;

/// What may be said where no gap was found.
pub fn no_loss() -> String {
    let least = show_digits(LEAST_S, Unit::Seconds, 2);
    format!("no loss of {least} or more was found")
}

/// Finds gaps.
#[derive(Clone, Debug)]
pub struct GapFinder {
    rate_hz: f64,
    /// Frames that came, and that were missed on the way.
    frames: u64,
    missed: u64,
    delivery: Option<Delivery>,
    /// The least lateness that is steady.
    steady: Option<Lateness>,
    /// Where it is still learnt.
    beginning: Option<Beginning>,
    /// What that was when the epoch began.
    settled: Lateness,
    /// The least of the epoch, and when the epoch began.
    epoch: (Lateness, f64),
    step: Option<Step>,
    gaps: Vec<Gap>,
    count: u64,
    /// The gap found last, listed or not: it may still turn out to have been lateness.
    last: Option<Gap>,
}

/// How late the first and the last sample of a block came, in seconds.
#[derive(Clone, Copy, Debug)]
struct Lateness {
    first_s: f64,
    last_s: f64,
}

impl Lateness {
    const NEVER: Self = Self {
        first_s: f64::INFINITY,
        last_s: f64::INFINITY,
    };

    fn least(self, other: Self) -> Self {
        Self {
            first_s: self.first_s.min(other.first_s),
            last_s: self.last_s.min(other.last_s),
        }
    }

    fn later(self, by_s: f64) -> Self {
        Self {
            first_s: self.first_s + by_s,
            last_s: self.last_s + by_s,
        }
    }

    /// By how much both have grown since `steady`; how much the one has that has grown less.
    fn beyond_s(self, steady: Self) -> f64 {
        (self.first_s - steady.first_s).min(self.last_s - steady.last_s)
    }
}

/// A stream that begins.
#[derive(Clone, Copy, Debug)]
struct Beginning {
    at_frame: u64,
    /// What was steady in the stream before this one, where there was one.
    before: Option<Lateness>,
}

/// Blocks that came right after one another.
#[derive(Clone, Copy, Debug)]
struct Delivery {
    began_s: f64,
    last_s: f64,
    first_late_s: f64,
    length_s: f64,
}

impl Delivery {
    /// With what came at `arrival_s`; none where that is too late to be part of it.
    fn with(self, length_s: f64, arrival_s: f64) -> Option<Self> {
        let length_s = self.length_s + length_s;
        let together_s = (self.length_s * TOGETHER_PART).max(TOGETHER_S);
        let at_once = arrival_s - self.last_s < AT_ONCE_S;
        let together = arrival_s - self.began_s < together_s && length_s <= DELIVERY_S;
        (at_once || together).then_some(Self {
            last_s: arrival_s,
            length_s,
            ..self
        })
    }
}

/// A lateness that may be a loss.
#[derive(Clone, Copy, Debug)]
struct Step {
    since_s: f64,
    at_frame: u64,
    least: Lateness,
}

impl GapFinder {
    /// A finder for a stream of this rate.
    pub fn new(rate_hz: u32) -> Self {
        Self {
            rate_hz: f64::from(rate_hz),
            frames: 0,
            missed: 0,
            delivery: None,
            steady: None,
            beginning: Some(Beginning {
                at_frame: 0,
                before: None,
            }),
            settled: Lateness::NEVER,
            epoch: (Lateness::NEVER, 0.0),
            step: None,
            gaps: Vec::new(),
            count: 0,
            last: None,
        }
    }

    /// Learns that `frames` more came at `arrival_s` on the clock, and that `missed` frames in
    /// all were counted as missed on the way. Gives the gaps that this brings to light.
    pub fn arrived(&mut self, frames: u64, missed: u64, arrival_s: f64) -> Vec<Gap> {
        let mut found = Vec::new();
        if missed > self.missed {
            let length_s = (missed - self.missed) as f64 / self.rate_hz;
            found.push(self.add(self.frames, length_s, Cause::Program));
            self.missed = missed;
        }
        let before = self.frames;
        self.frames += frames;
        let late = self.lateness(before, arrival_s);
        let Some(mut steady) = self.steady else {
            (self.steady, self.settled) = (Some(late), late);
            self.epoch = (Lateness::NEVER, arrival_s);
            return found;
        };
        if let Some(beginning) = self.beginning {
            self.epoch.0 = self.epoch.0.least(late);
            if arrival_s - self.epoch.1 > BEGIN_S {
                self.beginning = None;
                found.extend(self.learnt(&beginning, arrival_s));
            }
            return found;
        }
        steady = steady.least(late);
        self.steady = Some(steady);
        self.earlier(steady);
        if late.beyond_s(steady) > LEAST_S {
            found.extend(self.late(before, late, steady, arrival_s));
            return found;
        }
        self.step = None;
        self.epoch.0 = self.epoch.0.least(late);
        if arrival_s - self.epoch.1 > EPOCH_S {
            self.settled = self.epoch.0.least(steady.later(RISE_S));
            self.steady = Some(self.settled);
            self.epoch = (Lateness::NEVER, arrival_s);
        }
        found
    }

    /// Learns that the stream is another one from here on: what has not come by then is lost.
    pub fn reopened(&mut self) {
        let beginning = self.beginning.take().filter(|b| b.before.is_some());
        self.beginning = Some(beginning.unwrap_or(Beginning {
            at_frame: self.frames,
            before: self.steady,
        }));
        (self.steady, self.delivery, self.step) = (None, None, None);
    }

    /// Learns that nothing more comes. Gives the gap that this brings to light.
    pub fn ended(&mut self) -> Option<Gap> {
        let has_come = self.steady.is_some() && self.epoch.0.first_s.is_finite();
        let beginning = self.beginning.take().filter(|_| has_come)?;
        self.learnt(&beginning, self.epoch.1)
    }

    /// The least lateness of the first blocks is known.
    fn learnt(&mut self, beginning: &Beginning, arrival_s: f64) -> Option<Gap> {
        let least = self.epoch.0;
        (self.steady, self.settled) = (Some(least), least);
        self.epoch = (Lateness::NEVER, arrival_s);
        let lost_s = least.beyond_s(beginning.before?);
        (lost_s > LEAST_S).then(|| self.add(beginning.at_frame, lost_s, Cause::System))
    }

    /// How late the block is that begins at frame `before`, as part of its delivery.
    fn lateness(&mut self, before: u64, arrival_s: f64) -> Lateness {
        let since = |frames: u64| arrival_s - (frames + self.missed) as f64 / self.rate_hz;
        let (first_late_s, last_s) = (since(before), since(self.frames));
        let length_s = (self.frames - before) as f64 / self.rate_hz;
        let goes_on = self.delivery.and_then(|d| d.with(length_s, arrival_s));
        let delivery = goes_on.unwrap_or(Delivery {
            began_s: arrival_s,
            last_s: arrival_s,
            first_late_s,
            length_s,
        });
        self.delivery = Some(delivery);
        Lateness {
            first_s: delivery.first_late_s,
            last_s,
        }
    }

    fn late(
        &mut self,
        at_frame: u64,
        late: Lateness,
        steady: Lateness,
        arrival_s: f64,
    ) -> Option<Gap> {
        let step = self.step.get_or_insert(Step {
            since_s: arrival_s,
            at_frame,
            least: late,
        });
        step.least = step.least.least(late);
        let came_s = (self.frames - step.at_frame) as f64 / self.rate_hz;
        // Both: after a stall, what has waited comes at once, and only then does it show.
        if arrival_s - step.since_s < SETTLE_S || came_s < SETTLE_S {
            return None;
        }
        let Step {
            at_frame, least, ..
        } = *step;
        (self.steady, self.settled) = (Some(least), least);
        self.epoch = (Lateness::NEVER, arrival_s);
        self.step = None;
        Some(self.add(at_frame, least.beyond_s(steady), Cause::System))
    }

    /// Where samples come earlier than seemed possible, what was last taken for lost was late.
    fn earlier(&mut self, steady: Lateness) {
        let by_s = self.settled.beyond_s(steady);
        // Smaller steps are the clocks' difference.
        let Some(mut gap) = self.last.filter(|gap| gap.cause == Cause::System) else {
            return;
        };
        if by_s < LEAST_S {
            return;
        }
        self.settled = steady;
        gap.length_s -= by_s;
        let was_loss = gap.length_s >= LEAST_S;
        let is_listed = self.count == self.gaps.len() as u64;
        if is_listed {
            self.gaps.pop();
            self.gaps.extend(was_loss.then_some(gap));
        }
        self.last = match was_loss {
            true => Some(gap),
            false if is_listed => self.gaps.last().copied(),
            false => None,
        };
        self.count -= u64::from(!was_loss);
    }

    fn add(&mut self, at_frame: u64, length_s: f64, cause: Cause) -> Gap {
        let gap = Gap {
            at_s: at_frame as f64 / self.rate_hz,
            length_s,
            cause,
        };
        self.count += 1;
        self.last = Some(gap);
        if self.gaps.len() < MOST_LISTED {
            self.gaps.push(gap);
        }
        gap
    }

    /// The gaps so far, the first ten thousand of them.
    pub fn gaps(&self) -> &[Gap] {
        &self.gaps
    }

    /// Frames that were counted as missed on the way.
    pub fn missed(&self) -> u64 {
        self.missed
    }

    /// How many there are in all.
    pub fn count(&self) -> u64 {
        self.count
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Blocks of 10 ms for `seconds`, of which `lost` says whether block i is lost and `late_s`
    /// how late it comes; the sound card's clock is off by `ppm`.
    fn run(
        seconds: u64,
        ppm: f64,
        lost: impl Fn(u64) -> bool,
        late_s: impl Fn(u64) -> f64,
    ) -> GapFinder {
        let mut finder = GapFinder::new(48_000);
        for i in 0..seconds * 100 {
            if !lost(i) {
                let time_s = (i + 1) as f64 * 0.01 * (1.0 + ppm * 1e-6);
                finder.arrived(480, 0, time_s + late_s(i));
            }
        }
        finder
    }

    /// Lateness between 0 and 3 ms that looks like chance.
    fn jitter_s(i: u64) -> f64 {
        (i.wrapping_mul(2_654_435_761) % 1000) as f64 * 3e-6
    }

    #[test]
    fn a_steady_stream_has_no_gap_though_the_clocks_differ() {
        for ppm in [-300.0, -50.0, 0.0, 50.0, 300.0] {
            let finder = run(600, ppm, |_| false, jitter_s);
            assert_eq!(finder.gaps(), [], "{ppm}");
        }
    }

    #[test]
    fn lost_blocks_are_found_where_they_are_missing() {
        let finder = run(
            60,
            50.0,
            |i| (1000..1003).contains(&i) || (3000..3250).contains(&i),
            jitter_s,
        );
        let [a, b] = finder.gaps() else {
            panic!("{:?}", finder.gaps())
        };
        assert!(
            (a.at_s - 10.0).abs() < 0.1 && (a.length_s - 0.03).abs() < 0.003,
            "{a:?}"
        );
        assert!(
            (b.at_s - 29.97).abs() < 0.1 && (b.length_s - 2.5).abs() < 0.003,
            "{b:?}"
        );
    }

    #[test]
    fn small_losses_that_come_again_and_again_are_found_together() {
        let finder = run(600, 50.0, |i| i % 500 == 499, jitter_s);
        // 10 ms in 5 s are 2000 parts in a million, of which 500 may be the clocks'.
        let lost_s = 120.0 * 0.01;
        let told_s: f64 = finder.gaps().iter().map(|g| g.length_s).sum();
        assert!((0.7 * lost_s..=lost_s).contains(&told_s), "{told_s}");
    }

    #[test]
    fn what_only_comes_late_is_no_gap() {
        // For a second nothing comes, then everything at once.
        let stall = |i: u64| match i {
            1000..1100 => (1100 - i) as f64 * 0.01,
            _ => jitter_s(i),
        };
        assert_eq!(run(60, 0.0, |_| false, stall).gaps(), []);
        // A stream that stands for three seconds in the middle of being late, and loses nothing.
        let stand = |i: u64| match i {
            1000..1010 => 0.01,
            1010..1310 => (1310 - i) as f64 * 0.01,
            _ => jitter_s(i),
        };
        assert_eq!(run(60, 0.0, |_| false, stand).gaps(), []);
        // Late for three seconds on end is taken for a loss until the stream has caught up.
        let long = |i: u64| if (1000..1300).contains(&i) { 0.05 } else { 0.0 };
        assert_eq!(run(60, 0.0, |_| false, long).gaps(), []);
        let finder = run(13, 0.0, |_| false, |i| if i >= 1000 { 0.05 } else { 0.0 });
        assert_eq!(finder.count(), 1);
    }

    /// Blocks are late for three seconds, and then those that wait come at once: all, or the first
    /// three of five.
    #[test]
    fn what_catches_up_at_once_is_lateness() {
        for (catching_up, left_s) in [(5, 0.0), (3, 0.02)] {
            let until = 1300 + catching_up;
            let finder = run(
                60,
                0.0,
                |_| false,
                |i| match i {
                    1000..1300 => 0.05,
                    i if (1300..until).contains(&i) => 0.05 - (i - 1300) as f64 * 0.01,
                    i if i >= 1000 => left_s,
                    _ => 0.0,
                },
            );
            let lengths: Vec<_> = finder.gaps().iter().map(|g| g.length_s).collect();
            assert_eq!(lengths.len(), usize::from(left_s > 0.0), "{lengths:?}");
            assert!(
                lengths.iter().all(|l| (l - left_s).abs() < 2e-3),
                "{lengths:?}"
            );
        }
    }

    /// Blocks of 50 ms become ones of 1 ms and long again, given over at their end or at their
    /// beginning.
    #[test]
    fn other_blocks_are_no_gap() {
        for ahead in [false, true] {
            let mut finder = GapFinder::new(48_000);
            let mut frames = 0;
            for (count, length) in [(100, 2400), (5000, 48), (100, 2400)] {
                for _ in 0..count {
                    let due = if ahead { frames } else { frames + length };
                    frames += length;
                    finder.arrived(length, 0, due as f64 / 48_000.0);
                }
            }
            assert_eq!(finder.gaps(), [], "{ahead}");
        }
    }

    /// A stream is opened again after a second that is lost, and its first block holds more than
    /// the others, so that it ends early.
    #[test]
    fn what_a_stream_lacks_that_was_opened_again_is_lost() {
        for (lost_s, blocks_after) in [(1.0, 100), (0.1, 100), (1.0, 10)] {
            let mut finder = GapFinder::new(48_000);
            let mut frames = 0;
            let mut came = |finder: &mut GapFinder, length, lost_s| {
                let due_s = frames as f64 / 48_000.0 + lost_s;
                frames += length;
                finder.arrived(length, 0, due_s)
            };
            for _ in 0..100 {
                assert_eq!(came(&mut finder, 960, 0.0), []);
            }
            finder.reopened();
            let mut told = came(&mut finder, 2400, lost_s);
            for _ in 0..blocks_after {
                told.extend(came(&mut finder, 960, lost_s));
            }
            told.extend(finder.ended());
            assert_eq!(told, finder.gaps());
            let [gap] = told[..] else { panic!("{told:?}") };
            assert!((gap.at_s - 2.0).abs() < 1e-9, "{gap:?}");
            assert!((gap.length_s - lost_s).abs() < 1e-3, "{gap:?}");
        }
    }

    #[test]
    fn what_was_missed_on_the_way_is_exact() {
        let mut finder = GapFinder::new(1000);
        finder.arrived(100, 0, 0.1);
        finder.arrived(100, 50, 0.25);
        let gap = finder.gaps()[0];
        assert_eq!((gap.at_s, gap.length_s), (0.1, 0.05));
        assert!(gap.to_string().contains("at 0:00.100 this program"));
    }

    /// A gap beyond the list is counted until it turns out to have been lateness.
    #[test]
    fn what_is_no_longer_listed_leaves_the_list_as_it_is() {
        let mut finder = GapFinder::new(1000);
        let most = MOST_LISTED as u64;
        for i in 1..=most {
            finder.arrived(1, i, 2e-3 * i as f64);
        }
        let listed = finder.gaps().to_vec();
        let mut told = 0;
        for i in 1..=300u32 {
            // The last five of those that are late come at once.
            let late_s = f64::from(i.clamp(246, 251).abs_diff(251)) * 0.01;
            let due_s = 2e-3 * most as f64 + 0.01 * f64::from(i);
            told += finder.arrived(10, most, due_s + late_s).len();
            if i <= 246 {
                assert_eq!(finder.count(), most + told as u64);
            }
        }
        assert_eq!((told, finder.count()), (1, most));
        assert!(finder.gaps() == listed);
    }
}
