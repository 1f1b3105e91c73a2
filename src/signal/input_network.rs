//! What lies between the player and the squarer: RC coupling, RC band limit, gain, sense.

use super::Recording;
use super::rc::RcNetwork;
use crate::settings::{InputSettings, Sense};
use std::ops::Range;

/// Samples that go through the networks at a time: small enough for the nearest cache.
const BLOCK: usize = 2048;

/// The input network. Samples in, samples out, as many. With a filter on, they come some samples
/// later than they go in, as an RC network looks ahead; [`InputNetwork::finish`] gives the last.
#[derive(Clone, Debug)]
pub struct InputNetwork {
    networks: Vec<RcNetwork>,
    gain: f64,
    /// What is on its way through the networks.
    volts: Vec<f64>,
}

impl InputNetwork {
    /// An input network at rest, for samples at `rate_hz`.
    pub fn new(settings: &InputSettings, rate_hz: u32) -> Self {
        let sign = if settings.sense == Sense::Inverted {
            -1.0
        } else {
            1.0
        };
        let (high_pass_hz, low_pass_hz) = (settings.high_pass_hz, settings.low_pass_hz);
        let coupling = (high_pass_hz > 0.0).then(|| RcNetwork::high_pass(high_pass_hz, rate_hz));
        let band_limit = (low_pass_hz > 0.0).then(|| RcNetwork::low_pass(low_pass_hz, rate_hz));
        Self {
            networks: coupling.into_iter().chain(band_limit).collect(),
            gain: sign * settings.gain,
            volts: Vec::new(),
        }
    }

    /// Whether the output equals the input with these settings, so that the stage can be passed
    /// over.
    pub fn is_wire(settings: &InputSettings) -> bool {
        let is_off = settings.high_pass_hz <= 0.0 && settings.low_pass_hz <= 0.0;
        is_off && settings.gain == 1.0 && settings.sense == Sense::Normal
    }

    /// All that comes out for some samples and nothing after them.
    pub fn whole(settings: &InputSettings, samples: &[f32], rate_hz: u32) -> Vec<f32> {
        let mut network = Self::new(settings, rate_hz);
        let (mut out, mut rest) = (Vec::new(), Vec::new());
        network.run(samples, &mut out);
        network.finish(&mut rest);
        out.append(&mut rest);
        out
    }

    /// What comes out for the samples of a range of a recording, whose end may lie after the last
    /// one. It starts twelve time constants earlier, by when what came before has faded below a
    /// hundred-thousandth.
    pub fn stretch(
        settings: &InputSettings,
        recording: &Recording,
        range: Range<usize>,
    ) -> Vec<f32> {
        let rate_hz = recording.rate_hz();
        let end = range.end.min(recording.len());
        let start = range.start.min(end);
        let from = Self::needed(settings, rate_hz, start..end);
        let mut out = Self::whole(settings, &recording.stretch(from.clone()), rate_hz);
        out.truncate(end - from.start);
        out.drain(..start - from.start);
        out
    }

    /// The samples of a recording of which those of a range are made, the end of which may lie
    /// after the last one.
    pub fn needed(settings: &InputSettings, rate_hz: u32, range: Range<usize>) -> Range<usize> {
        let slowest_s = [settings.high_pass_hz, settings.low_pass_hz]
            .into_iter()
            .filter(|f| *f > 0.0)
            .map(|f| 1.0 / (std::f64::consts::TAU * f))
            .fold(0.0, f64::max);
        let lead = (12.0 * slowest_s * f64::from(rate_hz)).ceil() as usize;
        let reach = Self::new(settings, rate_hz).reach();
        range.start.saturating_sub(lead + reach)..range.end.saturating_add(reach)
    }

    /// How many samples after its own an output depends on.
    pub fn reach(&self) -> usize {
        self.networks.iter().map(RcNetwork::reach).sum()
    }

    /// Takes the next samples, and replaces the content of `out` by what comes out.
    pub fn run(&mut self, samples: &[f32], out: &mut Vec<f32>) {
        out.clear();
        for block in samples.chunks(BLOCK) {
            self.volts.clear();
            self.volts.extend(block.iter().map(|v| f64::from(*v)));
            for network in &mut self.networks {
                network.run(&mut self.volts);
            }
            self.amplify(out);
        }
    }

    /// Learns that no more samples follow, and replaces the content of `out` by what has not come
    /// out yet.
    pub fn finish(&mut self, out: &mut Vec<f32>) {
        out.clear();
        self.volts.clear();
        for network in &mut self.networks {
            network.finish(&mut self.volts);
        }
        self.amplify(out);
    }

    fn amplify(&self, out: &mut Vec<f32>) {
        out.extend(self.volts.iter().map(|v| (v * self.gain) as f32));
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::f64::consts::TAU;

    /// A stretch is what the whole recording gives there, once what came before has faded.
    #[test]
    fn a_stretch_is_a_piece_of_the_whole() {
        let settings = InputSettings {
            high_pass_hz: 300.0,
            low_pass_hz: 3000.0,
            ..InputSettings::default()
        };
        let samples: Vec<f32> = (0..9000).map(|i| (i as f32 * 0.3).sin()).collect();
        let whole = run(&settings, &samples);
        let recording = Recording::new(samples, 48_000);
        for range in [0..5, 4000..4100, 8990..9005, 9010..9020] {
            let stretch = InputNetwork::stretch(&settings, &recording, range.clone());
            let expected = &whole[range.start.min(9000)..range.end.min(9000)];
            assert_eq!(stretch.len(), expected.len());
            for (a, b) in stretch.iter().zip(expected) {
                assert!((a - b).abs() < 1e-5, "{a} {b} {range:?}");
            }
        }
    }

    fn run(settings: &InputSettings, samples: &[f32]) -> Vec<f32> {
        InputNetwork::whole(settings, samples, 48_000)
    }

    #[test]
    fn off_it_is_a_wire() {
        let settings = InputSettings::default();
        assert!(InputNetwork::is_wire(&settings));
        assert_eq!(run(&settings, &[0.1, -0.2]), [0.1, -0.2]);
        for changed in [
            InputSettings {
                gain: 2.0,
                ..settings
            },
            InputSettings {
                sense: Sense::Inverted,
                ..settings
            },
        ] {
            assert!(!InputNetwork::is_wire(&changed));
            assert_ne!(run(&changed, &[0.1]), [0.1]);
        }
    }

    /// Gain and turn (radians) of a tone.
    fn response(settings: &InputSettings, rate_hz: u32, cycles_per_sample: f64) -> [f64; 2] {
        const COUNT: usize = 4000;
        // By then what was charged at first has faded.
        let lead = rate_hz as usize / 2;
        let turn = |i: usize| TAU * (cycles_per_sample * i as f64).fract();
        let samples = (0..lead + 2 * COUNT).map(|i| turn(i).cos() as f32);
        let out = InputNetwork::whole(settings, &samples.collect::<Vec<_>>(), rate_hz);
        let settled = out.iter().enumerate().skip(lead).take(COUNT);
        let (re, im) = settled.fold((0.0, 0.0), |(re, im), (i, v)| {
            let part = 2.0 * f64::from(*v) / COUNT as f64;
            (re + part * turn(i).cos(), im - part * turn(i).sin())
        });
        [re.hypot(im), im.atan2(re)]
    }

    /// The RC networks of the textbooks: across the capacitor a gain of 1/sqrt(1 + (f/f0)^2) and a
    /// turn of -atan(f/f0); across the resistor f/f0 times that gain, a quarter of a cycle ahead.
    fn formula(settings: &InputSettings, tone_hz: f64) -> [f64; 2] {
        let [mut gain, mut turn] = [1.0, 0.0];
        if settings.low_pass_hz > 0.0 {
            let x = tone_hz / settings.low_pass_hz;
            (gain, turn) = (gain / x.hypot(1.0), turn - x.atan());
        }
        if settings.high_pass_hz > 0.0 {
            let x = tone_hz / settings.high_pass_hz;
            (gain, turn) = (gain * x / x.hypot(1.0), turn + TAU / 4.0 - x.atan());
        }
        [gain, turn]
    }

    #[test]
    fn the_filters_follow_the_formula_at_every_sample_rate() {
        const CORNERS_HZ: [(f64, f64); 8] = [
            (16.0, 0.0),
            (160.0, 0.0),
            (2000.0, 0.0),
            (0.0, 600.0),
            (0.0, 1200.0),
            (0.0, 6000.0),
            (0.0, 60_000.0),
            (159.2, 3400.0),
        ];
        for rate_hz in [8000, 11_025, 22_050, 44_100, 192_000] {
            for (high_pass_hz, low_pass_hz) in CORNERS_HZ {
                let settings = InputSettings {
                    high_pass_hz,
                    low_pass_hz,
                    ..InputSettings::default()
                };
                for cycles_per_sample in [0.01, 0.05, 0.1, 0.15, 0.2, 0.25, 0.3, 0.35, 0.4] {
                    let tone_hz = cycles_per_sample * f64::from(rate_hz);
                    let [gain, turn] = response(&settings, rate_hz, cycles_per_sample);
                    let wanted = formula(&settings, tone_hz);
                    let off_db = 20.0 * (gain / wanted[0]).log10();
                    let off_rad = turn - wanted[1];
                    let what = format!("{tone_hz} of {rate_hz} Hz, {high_pass_hz}, {low_pass_hz}");
                    let near = cycles_per_sample < 0.4;
                    let limits = if near { (0.02, 5e-3) } else { (0.1, 8e-3) };
                    assert!(off_db.abs() < limits.0, "{what}: {off_db} dB");
                    assert!(off_rad.abs() < limits.1, "{what}: {off_rad} rad");
                }
            }
        }
    }

    /// A steady input charges an RC low-pass as 1 - exp(-t/RC) (charging law). The curve through
    /// the samples rises in the middle between two of them, and rings for some samples.
    #[test]
    fn a_step_charges_by_the_law() {
        let settings = InputSettings {
            low_pass_hz: 100.0,
            ..Default::default()
        };
        let (mut samples, before) = (vec![0.0; 20], 19.5);
        samples.resize(500, 1.0);
        let out = run(&settings, &samples);
        let rc = 1.0 / (TAU * 100.0);
        for (i, y) in out.iter().enumerate().take(490).skip(30) {
            let t = (i as f64 - before) / 48_000.0;
            let expected = 1.0 - (-t / rc).exp();
            assert!((f64::from(*y) - expected).abs() < 1e-4, "sample {i}: {y}");
        }
    }

    /// Cut anywhere, the output is the same bit for bit, and there is as much of it as of input.
    #[test]
    fn pieces_of_any_length_give_the_same_output() {
        let samples: Vec<f32> = (0..5000).map(|i| (i as f32 * 0.7).sin()).collect();
        for (high_pass_hz, low_pass_hz) in [(16.0, 0.0), (700.0, 3000.0), (0.0, 3000.0)] {
            let settings = InputSettings {
                high_pass_hz,
                low_pass_hz,
                ..InputSettings::default()
            };
            for count in [0, 1, 7, 4999, 5000] {
                let whole = run(&settings, &samples[..count]);
                assert_eq!(whole.len(), count);
                for piece in [1, 2, 3, 5, 17, 4096] {
                    let mut network = InputNetwork::new(&settings, 48_000);
                    let (mut all, mut out) = (Vec::<f32>::new(), Vec::new());
                    for samples in samples[..count].chunks(piece) {
                        network.run(samples, &mut out);
                        all.extend(&out);
                    }
                    network.finish(&mut out);
                    all.extend(&out);
                    assert_eq!(all, whole, "{count} in {piece}");
                }
            }
        }
    }

    #[test]
    fn coupling_takes_an_offset_away_and_inversion_turns_over() {
        let settings = InputSettings {
            high_pass_hz: 100.0,
            sense: Sense::Inverted,
            gain: 2.0,
            ..Default::default()
        };
        let out = run(&settings, &[0.5; 4800]);
        assert!(out[0] < -0.9 && out[4700].abs() < 1e-6);
    }
}
