//! The retriggerable one-shot.

use super::{EdgeRun, Edges};
use crate::settings::{LongSettings, LongTrigger, ShortSettings, Trigger};

/// Edges that are worked on at a time; even, so that every block begins with a trigger.
const BLOCK: usize = 512;

/// The least width. A release must lie behind its trigger, also where rounding is coarse: behind
/// weeks of recording.
const LEAST_WIDTH_S: f64 = 1e-9;

/// A retriggerable one-shot: edges in, edges out. The output rests high and is low while timing.
/// A trigger at the very instant of the release still comes in time.
#[derive(Clone, Debug)]
pub struct OneShot {
    width_s: f64,
    trigger: Trigger,
    release_s: Option<f64>,
}

impl OneShot {
    /// A one-shot at rest. A width below 1 ns counts as 1 ns.
    pub fn new(width_s: f64, trigger: Trigger) -> Self {
        Self {
            width_s: width_s.max(LEAST_WIDTH_S),
            trigger,
            release_s: None,
        }
    }

    /// The short one-shot of the chain.
    pub fn short(settings: &ShortSettings) -> Self {
        Self::new(settings.width_s, settings.trigger)
    }

    /// The long one-shot of the chain, fed with the short one's output. That rises at the
    /// time-out and falls at the next trigger.
    pub fn long(settings: &LongSettings) -> Self {
        let trigger = match settings.trigger {
            LongTrigger::TimeOut => Trigger::Rising,
            LongTrigger::NextTrigger => Trigger::Falling,
        };
        Self::new(settings.width_s, trigger)
    }

    /// A trace at the one-shot's resting level, to hand to [`OneShot::run`].
    pub fn resting() -> Edges {
        Edges::resting(true)
    }

    /// The same in the memory of a trace that is no longer needed.
    pub fn resting_in(spare: Edges) -> Edges {
        spare.emptied(true)
    }

    /// Takes the next edges and adds what follows from them to `out`.
    pub fn run(&mut self, input: EdgeRun<'_>, out: &mut Edges) {
        let (skip, step) = match self.trigger {
            Trigger::Rising => (usize::from(!input.first_rises), 2),
            Trigger::Falling => (usize::from(input.first_rises), 2),
            Trigger::Both => (0, 1),
        };
        let from_first_s = input.times_s.get(skip..).unwrap_or_default();
        let Some(&first_s) = from_first_s.first() else {
            return;
        };
        let mut release_s = self.release_s.unwrap_or_else(|| {
            out.push(first_s);
            first_s + self.width_s
        });
        // Whether a trigger comes in time is hard to foretell, so there is no branch: a release and
        // the trigger behind it are always written, and overwritten where that was in time.
        let mut late_s = [0.0; 2 * BLOCK];
        for block in from_first_s.chunks(BLOCK) {
            let mut count = 0;
            for &time_s in block.iter().step_by(step) {
                late_s[count] = release_s;
                late_s[count + 1] = time_s;
                count += 2 * usize::from(time_s > release_s);
                release_s = time_s + self.width_s;
            }
            out.extend(&late_s[..count]);
        }
        self.release_s = Some(release_s);
    }

    /// Learns that no further edge comes before `to_s`, and releases if the time is up by then.
    pub fn advance(&mut self, to_s: f64, out: &mut Edges) {
        if let Some(release_s) = self.release_s.filter(|r| *r < to_s) {
            out.push(release_s);
            self.release_s = None;
        }
    }
}

#[cfg(test)]
mod tests {
    use super::super::edges::drawn;
    use super::*;

    /// Runs a one-shot of `width` steps on a drawn trace and draws what comes out.
    fn run(trigger: Trigger, width: f64, input: &str) -> String {
        let mut one_shot = OneShot::new(width, trigger);
        let mut out = OneShot::resting();
        one_shot.run(drawn::edges(input, 1.0).run_from(0), &mut out);
        one_shot.advance(input.len() as f64, &mut out);
        drawn::picture(&out, 1.0, input.len())
    }

    #[test]
    fn fires_holds_and_releases() {
        let input = "__--__________";
        assert_eq!(run(Trigger::Rising, 3.0, input), "--___---------");
        assert_eq!(run(Trigger::Falling, 3.0, input), "----___-------");
        assert_eq!(run(Trigger::Both, 3.0, input), "--_____-------");
    }

    #[test]
    fn a_trigger_while_busy_extends_the_hold() {
        assert_eq!(
            run(Trigger::Rising, 3.0, "_-_-_-________-___"),
            "-_______------___-"
        );
    }

    #[test]
    fn a_trigger_at_the_release_still_counts_and_a_later_one_starts_anew() {
        let mut out = OneShot::resting();
        let mut one_shot = OneShot::new(2.0, Trigger::Both);
        let run = |t| EdgeRun {
            times_s: t,
            first_rises: true,
        };
        one_shot.run(run(&[1.0, 3.0, 5.5]), &mut out);
        one_shot.advance(9.0, &mut out);
        assert_eq!(out.times_s(), [1.0, 5.0, 5.5, 7.5]);
    }

    #[test]
    fn what_is_still_running_at_the_end_is_not_released() {
        assert_eq!(run(Trigger::Rising, 5.0, "__-___"), "--____");
    }
}
