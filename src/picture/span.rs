//! A stretch of time on the recording.

/// A stretch of time, in seconds.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Span {
    /// Where it begins.
    pub from_s: f64,
    /// Where it ends, behind the beginning.
    pub to_s: f64,
}

/// The shortest stretch that can be shown: ten nanoseconds, finer than any edge is known.
const SHORTEST_S: f64 = 1e-8;

impl Span {
    /// A stretch of `length_s` from `from_s` on.
    pub fn new(from_s: f64, length_s: f64) -> Self {
        Self {
            from_s,
            to_s: from_s + length_s.max(SHORTEST_S),
        }
    }

    /// Its length in seconds.
    pub fn length_s(&self) -> f64 {
        self.to_s - self.from_s
    }

    /// Its middle in seconds.
    pub fn middle_s(&self) -> f64 {
        self.from_s + self.length_s() / 2.0
    }

    /// Whether it holds the instant.
    pub fn contains(&self, time_s: f64) -> bool {
        (self.from_s..self.to_s).contains(&time_s)
    }

    /// The place of an instant on a line from `x` with width `w`. Far instants are kept within
    /// a few widths, so that they can be drawn.
    pub fn x_of(&self, time_s: f64, x: f32, w: f32) -> f32 {
        let part = ((time_s - self.from_s) / self.length_s()).clamp(-4.0, 5.0);
        x + (part * f64::from(w)) as f32
    }

    /// The instant at a place on a line from `x` with width `w`.
    pub fn time_at(&self, at: f32, x: f32, w: f32) -> f64 {
        self.from_s + f64::from((at - x) / w) * self.length_s()
    }

    /// The stretch moved by `by_s`.
    pub fn moved(&self, by_s: f64) -> Self {
        Self {
            from_s: self.from_s + by_s,
            to_s: self.to_s + by_s,
        }
    }

    /// The stretch `factor` times as long, with the instant `hold_s` at the same place.
    pub fn zoomed(&self, factor: f64, hold_s: f64) -> Self {
        let length_s = (self.length_s() * factor).max(SHORTEST_S);
        let part = (hold_s - self.from_s) / self.length_s();
        Self::new(hold_s - part * length_s, length_s)
    }

    /// The stretch moved, and shortened where it must be, to lie on a recording that ends at
    /// `end_s`.
    pub fn kept_within(&self, end_s: f64) -> Self {
        let length_s = self.length_s().min(end_s.max(SHORTEST_S));
        let latest_s = (end_s - length_s).max(0.0);
        Self::new(self.from_s.clamp(0.0, latest_s), length_s)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn zooming_holds_the_instant_under_the_hand() {
        let span = Span::new(10.0, 4.0);
        let near = span.zoomed(0.5, 11.0);
        assert_eq!(near, Span::new(10.5, 2.0));
        assert_eq!(near.x_of(11.0, 0.0, 100.0), span.x_of(11.0, 0.0, 100.0));
        assert!(span.zoomed(0.0, 11.0).length_s() > 0.0);
    }

    #[test]
    fn it_stays_on_the_recording() {
        assert_eq!(Span::new(-1.0, 2.0).kept_within(10.0), Span::new(0.0, 2.0));
        assert_eq!(Span::new(9.0, 2.0).kept_within(10.0), Span::new(8.0, 2.0));
        assert_eq!(Span::new(3.0, 20.0).kept_within(10.0), Span::new(0.0, 10.0));
        assert!(Span::new(0.0, 1.0).kept_within(0.0).length_s() > 0.0);
    }

    #[test]
    fn places_and_instants_are_inverse() {
        let span = Span::new(100.0, 0.01);
        let x = span.x_of(100.0025, 50.0, 400.0);
        assert!((span.time_at(x, 50.0, 400.0) - 100.0025).abs() < 1e-9);
    }
}
