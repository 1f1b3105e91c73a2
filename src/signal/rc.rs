//! A first-order RC network on samples.

use super::Sinc;

/// Outputs that are worked out side by side.
const LANES: usize = 8;
/// Half of the length of the curve's sinc in samples.
const HALF_WIDTH: usize = 8;
/// Shape of the sinc's window: with it the networks are within 0.01 dB of the formula up to 0.35 of
/// the sample rate, and within 0.1 dB up to 0.4.
const BETA: f64 = 5.5;
/// A coupling whose sample interval is not more than this many time constants takes the input to
/// run straight between the samples: its capacitor follows so little that this is as good, within
/// 0.02 dB.
const STRAIGHT_UP_TO: f64 = 0.008;
/// Added to every charge, in volts: so little that no output shows it, and enough to keep a
/// capacitor that discharges through silence above the numbers with which processors are slow.
const AWAKE_V: f64 = 1e-200;

/// What is taken from the network.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Across {
    /// The capacitor: a low-pass.
    Capacitor,
    /// The resistor: a high-pass, the input less the voltage on the capacitor.
    Resistor,
}

/// An RC network: the exact response of the circuit to the curve that runs through the samples,
///
/// y(t + T) = a y(t) + integral from 0 to 1 of k exp(-k u) x(t + T - u T) du,
///
/// with `k = T / RC` and `a = exp(-k)`. The curve is that of a band-limited signal, a sum of
/// windowed sincs, so that the integral is a weighted sum of the samples around. Before the first
/// sample and after the last the input is 0, and the capacitor is empty at first.
///
/// To know the curve the network looks some samples ahead: outputs come that much later than
/// inputs, and [`RcNetwork::finish`] gives the last ones.
#[derive(Clone, Debug)]
pub(super) struct RcNetwork {
    across: Across,
    /// What is left of a charge after one sample, after two, and so on.
    left: [f64; LANES],
    /// Weights of the samples around an interval, in the order of time.
    weights: Vec<f64>,
    /// Inputs that outputs to come depend on: half a width of them lie before the next output.
    held_v: Vec<f64>,
    charge_v: f64,
}

impl RcNetwork {
    /// A low-pass with the corner at `corner_hz` = 1/(2 pi RC).
    pub fn low_pass(corner_hz: f64, rate_hz: u32) -> Self {
        let per_sample = time_constants(corner_hz, rate_hz);
        Self::new(Across::Capacitor, per_sample, band_limited(per_sample))
    }

    /// A high-pass with the corner at `corner_hz` = 1/(2 pi RC).
    pub fn high_pass(corner_hz: f64, rate_hz: u32) -> Self {
        let per_sample = time_constants(corner_hz, rate_hz);
        let weights = if per_sample <= STRAIGHT_UP_TO {
            straight(per_sample)
        } else {
            band_limited(per_sample)
        };
        Self::new(Across::Resistor, per_sample, weights)
    }

    fn new(across: Across, per_sample: f64, weights: Vec<f64>) -> Self {
        Self {
            across,
            left: std::array::from_fn(|i| (-(i as f64 + 1.0) * per_sample).exp()),
            held_v: vec![0.0; weights.len() / 2],
            weights,
            charge_v: 0.0,
        }
    }

    /// How many samples before and after its own an output depends on, beside the charge.
    pub fn reach(&self) -> usize {
        self.weights.len() / 2
    }

    /// Takes the next inputs and leaves in their place the outputs that are known.
    pub fn run(&mut self, volts: &mut Vec<f64>) {
        self.held_v.append(volts);
        const SINC: usize = 2 * HALF_WIDTH;
        if self.weights.len() == SINC {
            self.charge::<SINC>(volts);
        } else {
            self.charge::<2>(volts);
        }
    }

    /// The same with the last inputs: gives all outputs that have not come yet.
    pub fn finish(&mut self, volts: &mut Vec<f64>) {
        let count = self.held_v.len() - self.reach() + volts.len();
        volts.extend([0.0; 2 * HALF_WIDTH + LANES]);
        self.run(volts);
        volts.truncate(count);
    }

    /// Replaces the content of `out` by as many whole groups of outputs as the held inputs allow.
    /// `TAPS` is the number of weights.
    fn charge<const TAPS: usize>(&mut self, out: &mut Vec<f64>) {
        let weights: &[f64; TAPS] = self.weights.first_chunk().expect("as many weights as taps");
        let groups = (self.held_v.len() + 1).saturating_sub(TAPS) / LANES;
        let mut charge_v = self.charge_v;
        out.resize(groups * LANES, 0.0);
        for (group, out) in out.as_chunks_mut::<LANES>().0.iter_mut().enumerate() {
            let around = &self.held_v[group * LANES..][..TAPS + LANES - 1];
            let mut charges_v = [AWAKE_V; LANES];
            for (tap, weight) in weights.iter().enumerate() {
                for (lane, v) in charges_v.iter_mut().enumerate() {
                    *v += weight * around[tap + lane];
                }
            }
            for lane in 1..LANES {
                charges_v[lane] += self.left[0] * charges_v[lane - 1];
            }
            for (v, left) in charges_v.iter_mut().zip(self.left) {
                *v += left * charge_v;
            }
            charge_v = charges_v[LANES - 1];
            *out = match self.across {
                Across::Capacitor => charges_v,
                Across::Resistor => {
                    std::array::from_fn(|lane| around[TAPS / 2 + lane] - charges_v[lane])
                }
            };
        }
        self.charge_v = charge_v;
        self.held_v.drain(..groups * LANES);
    }
}

/// How many time constants a sample interval lasts.
fn time_constants(corner_hz: f64, rate_hz: u32) -> f64 {
    std::f64::consts::TAU * corner_hz / f64::from(rate_hz)
}

/// The weights where the input runs straight from sample to sample.
fn straight(per_sample: f64) -> Vec<f64> {
    weights(per_sample, 1, |x| (1.0 - x.abs()).max(0.0))
}

/// The weights where the input is the curve of a band-limited signal.
fn band_limited(per_sample: f64) -> Vec<f64> {
    let sinc = Sinc::new(HALF_WIDTH as f64, BETA);
    weights(per_sample, HALF_WIDTH, |x| sinc.at(x, 1.0))
}

/// Nodes and weights of Gauss and Legendre's rule of five points on -1 to 1 (Abramowitz and
/// Stegun, table 25.4, from memory).
const RULE: [(f64, f64); 5] = [
    (-0.906_179_845_938_664, 0.236_926_885_056_189_1),
    (-0.538_469_310_105_683_1, 0.478_628_670_499_366_5),
    (0.0, 0.568_888_888_888_888_9),
    (0.538_469_310_105_683_1, 0.478_628_670_499_366_5),
    (0.906_179_845_938_664, 0.236_926_885_056_189_1),
];
/// Time constants that a part of the interval may last for that to be exact.
const PART: f64 = 2.5;
/// After so many time constants nothing is left.
const OVER: f64 = 40.0;

/// The integral of the response over a sample interval for each of the samples around, whose part
/// in the curve at a distance is `curve`. Together they charge the capacitor to a steady input.
fn weights(per_sample: f64, half_width: usize, curve: impl Fn(f64) -> f64) -> Vec<f64> {
    let until = (OVER / per_sample).min(1.0);
    // The curve alone wants two parts.
    let parts = 2.0 + (until * per_sample / PART).ceil();
    let part = until / parts;
    let mut weights = vec![0.0; 2 * half_width];
    for i in 0..parts as usize {
        for (node, share) in RULE {
            let before = (i as f64 + 0.5 * (node + 1.0)) * part;
            let response = share * (-per_sample * before).exp();
            for (sample, weight) in weights.iter_mut().enumerate() {
                let distance = half_width as f64 - sample as f64 - before;
                *weight += response * curve(distance);
            }
        }
    }
    let sum: f64 = weights.iter().sum();
    let steady = -(-per_sample).exp_m1();
    weights.iter_mut().for_each(|w| *w *= steady / sum);
    weights
}

#[cfg(test)]
mod tests {
    use super::*;

    /// With straight lines the weights are known in closed form: 1 - (1 - a)/k for the sample at
    /// the end of the interval, (1 - a)/k - a for the one at its beginning.
    #[test]
    fn straight_lines_have_the_weights_of_their_closed_form() {
        for k in [1e-6, 1e-3, 0.1, 1.0, 10.0, 100.0] {
            let a = f64::exp(-k);
            let mean = -f64::exp_m1(-k) / k;
            let found = straight(k);
            assert!((found[0] - (mean - a)).abs() < 1e-8, "{k}: {found:?}");
            assert!((found[1] - (1.0 - mean)).abs() < 1e-8, "{k}: {found:?}");
        }
    }

    /// IEEE 754 calls what lies below the smallest number with all its digits subnormal.
    #[test]
    fn silence_leaves_no_subnormal_charge() {
        for mut network in [
            RcNetwork::low_pass(5000.0, 48_000),
            RcNetwork::high_pass(5000.0, 48_000),
        ] {
            let mut volts = vec![0.0; 10_000];
            volts[0] = 1.0;
            network.run(&mut volts);
            assert!(network.charge_v.is_normal());
            assert!(volts.last().is_some_and(|v| v.abs() < 1e-190));
        }
    }
}
