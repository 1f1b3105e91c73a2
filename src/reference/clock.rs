//! A clock that counts the cycles of mark, locked to the tape.
//!
//! Mark shows the phase of the clock itself, space half of it, so that its square shows the whole.
//! Both are weighed by which tone is the stronger, and smoothed from both sides in time.

use super::Format;
use super::smooth::smooth;
use super::speed::Speed;
use rustfft::num_complex::Complex;
use std::f64::consts::TAU;

/// Smoothing of the first lock, in seconds: wide enough for what the spectrum misses of the speed.
const FIRST_S: f64 = 5e-3;
/// A tone is seen over this part of a bit.
const SEEN_BITS: f64 = 0.75;

/// The clock along a window.
#[derive(Clone)]
pub(super) struct Clock {
    /// Cycles of mark since the beginning of the window, at the beginning of each sample and at the
    /// end of the last.
    pub cycles: Vec<f64>,
    /// The phase of space at the whole cycles of the clock, in radians, but for its sign.
    pub space_phase: f64,
    /// Samples from one place at which the phase is looked at to the next.
    hop: usize,
    rate_hz: f64,
    /// Samples over which a tone is seen.
    seen_samples: usize,
}

/// What both tones show of the phase, at places `hop` samples apart.
struct Seen {
    mark: Vec<Complex<f64>>,
    /// The square of space.
    space: Vec<Complex<f64>>,
}

impl Clock {
    /// Locks onto a window, roughly.
    pub fn lock(samples: &[f32], rate_hz: f64, format: &Format, speed: &Speed) -> Self {
        let mut cycles = Vec::with_capacity(samples.len() + 1);
        let mut theta = 0.0;
        cycles.push(theta);
        for i in 0..samples.len() {
            theta += format.mark_hz / rate_hz * speed.at(i as f64 + 0.5);
            cycles.push(theta);
        }
        let hop = (rate_hz / format.mark_hz).round().max(1.0) as usize;
        let mut clock = Self {
            cycles,
            space_phase: 0.0,
            hop,
            rate_hz,
            seen_samples: (SEEN_BITS * rate_hz / format.rate_bd) as usize,
        };
        clock.follow_samples(samples, FIRST_S);
        clock
    }

    /// Corrects the clock by what the samples show, smoothed over so many seconds.
    pub fn follow_samples(&mut self, samples: &[f32], smoothing_s: f64) {
        let seen = self.seen(samples, self.seen_samples);
        self.follow(seen, smoothing_s * self.rate_hz / self.hop as f64);
    }

    /// Corrects the clock by the phase that each of its cycles shows once it is known which tone it
    /// belongs to: numbers whose angle is the phase, for cycles from `first` on.
    pub fn follow_cycles(&mut self, shown: Vec<Complex<f64>>, quarter: f64, smoothing_s: f64) {
        let mut shown = shown;
        let a_second =
            self.rate_hz * (self.cycles.last().unwrap_or(&0.0) / self.cycles.len() as f64);
        smooth(&mut shown, smoothing_s * a_second);
        let phase = unwrapped(&shown);
        let last = phase.len() - 1;
        for cycles in &mut self.cycles {
            // The middle of cycle `n` lies half a cycle after its beginning.
            let place = (*cycles - quarter - 0.5).clamp(0.0, last as f64);
            let at = place as usize;
            let next = phase[(at + 1).min(last)];
            *cycles += (phase[at] + (place - at as f64) * (next - phase[at])) / TAU;
        }
    }

    /// What the tones show of the phase that the clock has not.
    fn seen(&self, samples: &[f32], box_samples: usize) -> Seen {
        let n = samples.len();
        let mut mark_sums = Vec::with_capacity(n + 1);
        let mut space_sums = Vec::with_capacity(n + 1);
        let (mut mark, mut space) = (Complex::<f64>::default(), Complex::<f64>::default());
        mark_sums.push(mark);
        space_sums.push(space);
        for (i, &sample) in samples.iter().enumerate() {
            let half = half_turn(0.5 * (self.cycles[i] + self.cycles[i + 1]));
            space += half * f64::from(sample);
            mark += half * half * f64::from(sample);
            mark_sums.push(mark);
            space_sums.push(space);
        }
        let half_box = box_samples / 2;
        let places = n / self.hop + 1;
        let mut seen = Seen {
            mark: Vec::with_capacity(places),
            space: Vec::with_capacity(places),
        };
        for place in 0..places {
            let middle = place * self.hop;
            let (from, to) = (middle.saturating_sub(half_box), (middle + half_box).min(n));
            let (m, s) = (
                mark_sums[to] - mark_sums[from],
                space_sums[to] - space_sums[from],
            );
            let (m2, s2) = (m.norm_sqr(), s.norm_sqr());
            let share = (m2 * m2 / (m2 * m2 + s2 * s2).max(f64::MIN_POSITIVE)).clamp(0.0, 1.0);
            seen.mark.push(m * (m2.sqrt() * share));
            seen.space.push(s * s * (1.0 - share));
        }
        seen
    }

    /// Corrects the clock by what the tones show, smoothed over so many places.
    fn follow(&mut self, seen: Seen, deviation: f64) {
        let Seen {
            mut mark,
            mut space,
        } = seen;
        smooth(&mut mark, deviation);
        smooth(&mut space, deviation);
        // Where both tones are near, they show how the phase of space lies to that of mark.
        let between: Complex<f64> = mark.iter().zip(&space).map(|(m, s)| m.conj() * s).sum();
        let turn = match between.norm() {
            0.0 => Complex::new(1.0, 0.0),
            norm => between / norm,
        };
        let sum: Vec<Complex<f64>> = mark
            .iter()
            .zip(&space)
            .map(|(m, s)| m + s * turn.conj())
            .collect();
        self.space_phase = turn.arg() / 2.0;
        self.correct(&unwrapped(&sum));
    }

    /// Adds a phase in radians, given at the places, to the clock.
    fn correct(&mut self, phase: &[f64]) {
        let last = phase.len() - 1;
        for (i, cycles) in self.cycles.iter_mut().enumerate() {
            let place = i as f64 / self.hop as f64;
            let at = (place as usize).min(last);
            let next = phase[(at + 1).min(last)];
            let value = phase[at] + (place - at as f64) * (next - phase[at]);
            *cycles += value / TAU;
        }
    }
}

/// `exp(-j pi cycles)`: half a turn a cycle.
pub(super) fn half_turn(cycles: f64) -> Complex<f64> {
    // Whole cycles turn it over or not; the rest is within a quarter of a turn to both sides.
    let whole = cycles.round();
    let x = std::f64::consts::PI * (cycles - whole);
    let x2 = x * x;
    // Taylor series to the eleventh power: off by less than 1e-7 at a quarter of a turn.
    let sin = x
        * (1.0
            + x2 * (-1.0 / 6.0
                + x2 * (1.0 / 120.0
                    + x2 * (-1.0 / 5040.0 + x2 * (1.0 / 362_880.0 - x2 / 39_916_800.0)))));
    let cos = 1.0
        + x2 * (-0.5
            + x2 * (1.0 / 24.0
                + x2 * (-1.0 / 720.0
                    + x2 * (1.0 / 40_320.0 - x2 * (1.0 / 3_628_800.0 - x2 / 479_001_600.0)))));
    let sign = if whole as i64 & 1 == 0 { 1.0 } else { -1.0 };
    Complex::new(sign * cos, -sign * sin)
}

/// The angles of a sequence, without jumps of a turn.
fn unwrapped(values: &[Complex<f64>]) -> Vec<f64> {
    let mut phase = Vec::with_capacity(values.len());
    let mut last = values.first().map_or(0.0, |z| z.arg());
    for z in values {
        let turns = (z.arg() - last) / TAU;
        last += (turns - turns.round()) * TAU;
        phase.push(last);
    }
    phase
}
