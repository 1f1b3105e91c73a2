//! A steady tone that can be repeated without a click.

use super::Stretch;

/// The stretch at or little above the given length that holds a whole number of cycles in a whole
/// number of samples, so that its first sample follows on its last.
///
/// Among all lengths up to a second longer the one is taken that moves the tone least: not at all
/// for the standard tones at the usual rates, and never by more than half a cycle over the length.
pub fn loopable(stretch: Stretch, rate_hz: u32) -> Stretch {
    let rate_hz = f64::from(rate_hz);
    let closed = |samples: f64| {
        let cycles = (stretch.tone_hz * samples / rate_hz).round();
        Stretch {
            tone_hz: cycles * rate_hz / samples,
            // Half a sample less than the samples last: rounding must not add one.
            length_s: (samples - 0.5) / rate_hz,
        }
    };
    let off_hz = |s: &Stretch| (s.tone_hz - stretch.tone_hz).abs();
    let cycle = rate_hz / stretch.tone_hz;
    let least = (stretch.length_s * rate_hz).max(cycle).ceil();
    let mut best = closed(least);
    for more in 1..=rate_hz as u32 {
        // Rounding in the last places is no reason for a longer loop.
        if off_hz(&best) < 1e-9 * stretch.tone_hz {
            break;
        }
        let next = closed(least + f64::from(more));
        if off_hz(&next) < off_hz(&best) {
            best = next;
        }
    }
    best
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::settings::{TapeSettings, Wave};
    use crate::tape::ToneMaker;

    /// Repeated, the tone is the one that goes on.
    #[test]
    fn a_loop_goes_on_where_it_begins() {
        for (tone_hz, sample_rate_hz, within_hz) in [
            (2400.0, 48_000, 0.0),
            (1200.0, 44_100, 0.0),
            (2345.6, 22_050, 1e-3),
            (1200.0 * std::f64::consts::SQRT_2, 48_000, 1e-3),
            (3999.9, 8_000, 0.1),
        ] {
            let length_s = 0.1;
            let stretch = loopable(Stretch { tone_hz, length_s }, sample_rate_hz);
            assert!((stretch.tone_hz - tone_hz).abs() <= within_hz + 1e-6);
            assert!((0.0999..1.11).contains(&stretch.length_s));
            for wave in [Wave::Sine, Wave::Square, Wave::BandLimited] {
                let mut maker = ToneMaker::new(&TapeSettings {
                    sample_rate_hz,
                    wave,
                    ..Default::default()
                });
                let (mut once, mut longer) = (Vec::new(), Vec::new());
                maker.clone().run(stretch, &mut once);
                let twice = Stretch {
                    length_s: 2.0 * stretch.length_s,
                    ..stretch
                };
                maker.run(twice, &mut longer);
                assert_eq!(longer.len() + 1, 2 * once.len(), "{tone_hz} Hz");
                for (a, b) in once.iter().cycle().zip(&longer) {
                    assert!((a - b).abs() < 1e-6, "{tone_hz} Hz: {a} {b}");
                }
            }
        }
    }
}
