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

    #[test]
    fn many_edges_give_what_one_at_a_time_gives() {
        let mut time_s = 0.0;
        let times_s: Vec<f64> = (0..3001u32)
            .map(|i| {
                time_s += f64::from(i.wrapping_mul(2_654_435_761) >> 22) + 1.0;
                time_s
            })
            .collect();
        for trigger in [Trigger::Rising, Trigger::Falling, Trigger::Both] {
            for first_rises in [true, false] {
                let mut expected_s = Vec::new();
                let mut release_s = f64::NEG_INFINITY;
                let mut rises = first_rises;
                for &time_s in &times_s {
                    let fires = match trigger {
                        Trigger::Rising => rises,
                        Trigger::Falling => !rises,
                        Trigger::Both => true,
                    };
                    rises = !rises;
                    if !fires {
                        continue;
                    }
                    if time_s > release_s {
                        expected_s.extend(release_s.is_finite().then_some(release_s));
                        expected_s.push(time_s);
                    }
                    release_s = time_s + 700.0;
                }
                let mut out = OneShot::resting();
                let run = EdgeRun {
                    times_s: &times_s,
                    first_rises,
                };
                OneShot::new(700.0, trigger).run(run, &mut out);
                assert_eq!(out.times_s(), expected_s);
            }
        }
    }

    #[test]
    fn edges_stay_in_order_whatever_the_width() {
        for width_s in [0.0, -1.0, f64::NAN, f64::INFINITY] {
            let mut one_shot = OneShot::new(width_s, Trigger::Both);
            let mut out = OneShot::resting();
            let run = EdgeRun {
                times_s: &[1.0, 1f64.next_up(), 2.0],
                first_rises: true,
            };
            one_shot.run(run, &mut out);
            one_shot.advance(3.0, &mut out);
            assert!(out.times_s().windows(2).all(|w| w[0] < w[1]), "{width_s}");
        }
    }
}
