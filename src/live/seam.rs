//! Where to go back to the beginning without a click.

use crate::signal::Recording;

/// How far before the end the seam is looked for, in seconds: some cycles of any tone.
const WITHIN_S: f64 = 0.02;
/// How much must look alike on both sides of it, in seconds.
const ALIKE_S: f64 = 0.002;

/// How many of the samples to play before beginning again: the place near the end where what
/// follows looks most like the beginning, so that a steady tone goes on in its phase. All of them
/// where they are too few.
pub fn loop_end(recording: &Recording) -> usize {
    let count = |s: f64| (s * f64::from(recording.rate_hz())).ceil() as usize;
    let (within, alike) = (count(WITHIN_S), count(ALIKE_S));
    let len = recording.len();
    if len < 2 * (within + alike) {
        return len;
    }
    let last = len - alike;
    let (head, tail) = (
        recording.stretch(0..alike),
        recording.stretch(last - within..len),
    );
    let unlike = |end: usize| -> f64 {
        let tail = &tail[end + within - last..];
        let pairs = tail.iter().zip(&*head);
        pairs.map(|(a, b)| f64::from(a - b).powi(2)).sum()
    };
    // Of equals, the last: no more is left out than must be.
    let ends = (last - within..=last).rev();
    let best = ends.min_by(|&a, &b| unlike(a).total_cmp(&unlike(b)));
    best.unwrap_or(len)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn tone(hertz: f64, rate_hz: u32, count: usize) -> Vec<f32> {
        let turn = std::f64::consts::TAU * hertz / f64::from(rate_hz);
        (0..count).map(|i| (turn * i as f64).sin() as f32).collect()
    }

    /// Across the seam of a sine no step is greater than the greatest within it.
    #[test]
    fn steady_tones_go_on_in_their_phase() {
        for (hertz, rate_hz) in [
            (2400.0, 48_000),
            (1200.0, 48_000),
            (2400.0, 44_100),
            (1237.0, 96_000),
        ] {
            for count in [20_000, 20_007, 20_013] {
                let tone = tone(hertz, rate_hz, count);
                let end = loop_end(&Recording::new(tone.clone(), rate_hz));
                assert!(end <= count && count - end <= rate_hz as usize / 40);
                let next = tone[0] - tone[end - 1];
                let greatest = tone
                    .windows(2)
                    .map(|w| (w[1] - w[0]).abs())
                    .fold(0.0, f32::max);
                assert!(
                    next.abs() <= greatest * 1.05,
                    "{hertz} {rate_hz} {count}: {next}"
                );
                // Where a whole number of cycles fits, it is hit.
                if (rate_hz, hertz) == (48_000, 2400.0) {
                    assert_eq!(end % 20, 0);
                }
            }
        }
    }

    #[test]
    fn what_is_short_is_left_whole() {
        assert_eq!(loop_end(&Recording::new(vec![0.5; 100], 48_000)), 100);
        assert_eq!(loop_end(&Recording::new(Vec::new(), 48_000)), 0);
    }
}
