//! Random variation of speed.

use crate::tape::Random;

/// Points at which the greatest variation between two knots is looked for.
const LOOKS: usize = 16;

/// Random variation of speed up to some frequency: normal numbers at twice that frequency, with
/// smooth curves through them (Catmull-Rom cubics), of mean 0 and scaled so that the greatest over
/// the whole playing is the depth asked for.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Unsteady {
    depth: f64,
    step_s: f64,
    /// The variation at the knots.
    knots: Vec<f64>,
    /// Its integral up to each knot, in steps.
    sums: Vec<f64>,
}

impl Unsteady {
    pub fn new(depth: f64, rate_hz: f64, length_s: f64, random: &mut Random) -> Self {
        let step_s = 0.5 / rate_hz;
        let mut new = Self {
            depth,
            step_s,
            knots: Vec::new(),
            sums: Vec::new(),
        };
        if depth == 0.0 {
            return new;
        }
        let count = (length_s / step_s).ceil() as usize + 1;
        new.knots = (0..count).map(|_| random.normal()).collect();
        let mean = new.knots.iter().sum::<f64>() / count as f64;
        new.knots.iter_mut().for_each(|k| *k -= mean);
        let looks = (0..count * LOOKS).map(|i| {
            let cubic = new.cubic(i / LOOKS);
            cubic.value((i % LOOKS) as f64 / LOOKS as f64).abs()
        });
        let peak = looks.fold(0.0, f64::max);
        if peak > 0.0 {
            new.knots.iter_mut().for_each(|k| *k *= depth / peak);
        }
        let mut sum = 0.0;
        for i in 0..count {
            new.sums.push(sum);
            sum += new.cubic(i).integral(1.0);
        }
        new
    }

    pub fn depth(&self) -> f64 {
        self.depth
    }

    /// How far the tape is ahead at a time because of it, in seconds.
    pub fn ahead_s(&self, at_s: f64) -> f64 {
        let Some(last) = self.sums.len().checked_sub(1) else {
            return 0.0;
        };
        let at = at_s.max(0.0) / self.step_s;
        // Behind the last knot the speed is even.
        let index = (at as usize).min(last);
        let part = (at - index as f64).min(1.0);
        (self.sums[index] + self.cubic(index).integral(part)) * self.step_s
    }

    /// The curve from knot `index` to the next. Outside of the knots there is no variation.
    fn cubic(&self, index: usize) -> Cubic {
        let knot = |i: Option<usize>| i.and_then(|i| self.knots.get(i)).copied().unwrap_or(0.0);
        let a = knot(index.checked_sub(1));
        let (b, c, d) = (
            knot(Some(index)),
            knot(Some(index + 1)),
            knot(Some(index + 2)),
        );
        Cubic([
            b,
            (c - a) / 2.0,
            a - 2.5 * b + 2.0 * c - d / 2.0,
            (d - a) / 2.0 + 1.5 * (b - c),
        ])
    }
}

/// A polynomial by its coefficients, the constant first.
struct Cubic([f64; 4]);

impl Cubic {
    fn value(&self, x: f64) -> f64 {
        self.0.iter().rev().fold(0.0, |sum, c| sum * x + c)
    }

    /// The integral from 0 to `x`.
    fn integral(&self, x: f64) -> f64 {
        let terms = self.0.iter().enumerate().rev();
        x * terms.fold(0.0, |sum, (i, c)| sum * x + c / (i + 1) as f64)
    }
}
