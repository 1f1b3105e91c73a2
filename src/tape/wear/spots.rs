//! Where on a recording something happens.

use crate::tape::Random;

/// Begins of events of a given length, in seconds: as many as `per_min` gives for the whole
/// recording, rounded. Each lies at random in its own one of as many equal spans, so that no two
/// meet; where they do not fit, there are only as many as fit.
pub(super) fn spots(per_min: f64, each_s: f64, length_s: f64, random: &mut Random) -> Vec<f64> {
    let asked = (per_min * length_s / 60.0).round();
    let count = asked.min((length_s / each_s).floor()) as usize;
    let span_s = length_s / count as f64;
    (0..count)
        .map(|i| i as f64 * span_s + random.uniform() * (span_s - each_s))
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn spots_are_as_many_as_asked_and_do_not_meet() {
        let spots = |per_min, each_s| spots(per_min, each_s, 30.0, &mut Random::new(1, "test"));
        for (per_min, each_s, count) in [(20.0, 0.1, 10), (0.0, 0.1, 0), (6000.0, 0.5, 60)] {
            let found = spots(per_min, each_s);
            assert_eq!(found.len(), count);
            assert!(found.windows(2).all(|p| p[0] + each_s <= p[1] + 1e-9));
            assert!(found.iter().all(|s| (0.0..=30.0 - each_s).contains(s)));
        }
        assert!(spots(1.0, 100.0).is_empty());
    }
}
