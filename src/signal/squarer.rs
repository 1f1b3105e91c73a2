//! The comparator that squares the audio.

use super::Edges;
use crate::settings::SquarerSettings;

/// The squarer: samples in, edges out; high stands for 5 V, low for 0 V. The output is low until
/// the signal first lies above the upper level; a signal that starts above it gives an edge at
/// time 0.
#[derive(Clone, Debug)]
pub struct Squarer {
    upper_v: f64,
    lower_v: f64,
    /// The levels rounded inward to `f32`, which compare with samples as the exact ones do.
    upper_f32_v: f32,
    lower_f32_v: f32,
    rate_hz: f64,
    high: bool,
    previous: Option<f32>,
    seen: u64,
}

impl Squarer {
    /// A squarer for samples at `rate_hz`.
    pub fn new(settings: &SquarerSettings, rate_hz: u32) -> Self {
        let half = settings.hysteresis_v / 2.0;
        let (upper_v, lower_v) = (settings.reference_v + half, settings.reference_v - half);
        Self {
            upper_v,
            lower_v,
            upper_f32_v: greatest_f32_up_to(upper_v),
            lower_f32_v: -greatest_f32_up_to(-lower_v),
            rate_hz: f64::from(rate_hz),
            high: false,
            previous: None,
            seen: 0,
        }
    }

    /// The level that sets the output, in volts.
    pub fn upper_v(&self) -> f64 {
        self.upper_v
    }

    /// The level that clears the output, in volts.
    pub fn lower_v(&self) -> f64 {
        self.lower_v
    }

    /// Counts as if `samples` samples of nothing had passed.
    pub fn skip_to(&mut self, samples: u64) {
        self.seen = samples;
    }

    /// Squares the next samples and adds the edges to `out`.
    pub fn run(&mut self, samples: &[f32], out: &mut Edges) {
        let mut next = 0;
        while let Some(step) = self.find_crossing(&samples[next..]) {
            let at = next + step;
            let before = if at > 0 {
                Some(samples[at - 1])
            } else {
                self.previous
            };
            out.push(self.crossing_s(at, before, samples[at]));
            self.high = !self.high;
            next = at + 1;
        }
        self.previous = samples.last().copied().or(self.previous);
        self.seen += samples.len() as u64;
    }

    /// The time before which no further edge can come: that of the last sample.
    pub fn settled_s(&self) -> f64 {
        self.seen.saturating_sub(1) as f64 / self.rate_hz
    }

    /// The first sample beyond the level at which the output changes next.
    fn find_crossing(&self, samples: &[f32]) -> Option<usize> {
        if self.high {
            samples.iter().position(|&v| v < self.lower_f32_v)
        } else {
            samples.iter().position(|&v| v > self.upper_f32_v)
        }
    }

    /// When the straight line from the sample before to sample `at` crosses the level.
    fn crossing_s(&self, at: usize, before: Option<f32>, now: f32) -> f64 {
        let index = (self.seen + at as u64) as f64;
        let Some(before) = before.map(f64::from) else {
            return index / self.rate_hz;
        };
        let level = if self.high {
            self.lower_v
        } else {
            self.upper_v
        };
        let part = (level - before) / (f64::from(now) - before);
        (index - 1.0 + part) / self.rate_hz
    }
}

/// The greatest `f32` that is not above `level`: a sample lies above one where it lies above the
/// other.
fn greatest_f32_up_to(level: f64) -> f32 {
    let near = level as f32;
    if f64::from(near) > level {
        near.next_down()
    } else {
        near
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn square(reference_v: f64, hysteresis_v: f64, samples: &[f32]) -> Edges {
        let mut out = Edges::resting(false);
        Squarer::new(
            &SquarerSettings {
                reference_v,
                hysteresis_v,
            },
            1,
        )
        .run(samples, &mut out);
        out
    }

    #[test]
    fn crossings_lie_between_the_samples() {
        // Up from -1 to 3 crosses 0 after a quarter; down from 3 to -1 after three quarters.
        assert_eq!(square(0.0, 0.0, &[-1.0, 3.0, -1.0]).times_s(), [0.25, 1.75]);
        // Width 2: up at +1 after a half, down at -1 exactly with the sample: not yet below.
        assert_eq!(square(0.0, 2.0, &[-1.0, 3.0, -1.0]).times_s(), [0.5]);
        assert_eq!(square(1.0, 0.0, &[-1.0, 3.0, -1.0]).times_s(), [0.5, 1.5]);
    }

    #[test]
    fn noise_within_the_hysteresis_gives_nothing() {
        assert!(square(0.0, 0.2, &[0.09, -0.09, 0.0999, -0.0999]).is_empty());
    }

    #[test]
    fn a_signal_that_starts_high_gives_an_edge_at_once() {
        assert_eq!(square(0.0, 0.0, &[1.0, 1.0, -1.0]).times_s(), [0.0, 1.5]);
    }

    #[test]
    fn rounded_levels_compare_as_exact_ones() {
        for level in [0.0, 0.1, -0.1, 0.025, 1.0 / 3.0, -2.0 / 3.0, 1e-50, -1e-50] {
            let near = level as f32;
            for v in [near.next_down(), near, near.next_up()] {
                assert_eq!(v > greatest_f32_up_to(level), f64::from(v) > level);
                assert_eq!(v < -greatest_f32_up_to(-level), f64::from(v) < level);
            }
        }
    }

    #[test]
    fn touching_the_level_is_not_crossing_it() {
        assert!(square(0.0, 0.0, &[-1.0, 0.0, -1.0, 0.0]).is_empty());
        let edges = square(0.0, 0.0, &[0.0, 1.0, 0.0, -1.0, 0.0, 1.0]);
        assert_eq!(edges.times_s(), [0.0, 2.0, 4.0]);
    }
}
