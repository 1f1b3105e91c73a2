//! The most likely sequence of idle line and characters, found over a whole window at once.

use super::Format;
use crate::settings::Parity;

/// A start bit begins at a given cycle with this likelihood, before anything is heard: about once in
/// two characters.
const START: f64 = 1.0 / 160.0;

/// A character as it was placed.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Placed {
    /// The cycle at which its start bit begins.
    pub start: usize,
    pub value: u8,
    /// The data bits and the parity bit, the first in the lowest place.
    pub bits: u16,
    /// How likely it is that there is a character there, with all of its bits, 0 to 1.
    pub confidence: f64,
}

/// How much more likely the best sequence with characters is than idle line throughout, as a
/// logarithm. `ratios` are log-likelihood ratios of mark over space for a bit that begins at each
/// cycle.
pub(super) fn total(ratios: &[f64], format: &Format, cycles: usize) -> f64 {
    let gains = gains(ratios, format, cycles);
    let length = (format.bits() - 1) * cycles;
    let mut best = vec![0.0; gains.len() + length + 1];
    for at in 1..best.len() {
        best[at] = match at
            .checked_sub(length)
            .and_then(|s| Some(best[s] + gains.get(s)?))
        {
            Some(with) if with > best[at - 1] => with,
            _ => best[at - 1],
        };
    }
    best[best.len() - 1]
}

/// Finds the characters. `ratios` are as for [`total`].
pub(super) fn segment(ratios: &[f64], format: &Format, cycles: usize) -> Vec<Placed> {
    let gains = gains(ratios, format, cycles);
    let length = (format.bits() - 1) * cycles;
    let n = gains.len() + length;
    // Best total up to each cycle, and whether a character ends there.
    let mut best = vec![0.0; n + 1];
    let mut ends = vec![false; n + 1];
    for at in 1..=n {
        best[at] = best[at - 1];
        if at >= length && at - length < gains.len() {
            let with = best[at - length] + gains[at - length];
            if with > best[at] {
                best[at] = with;
                ends[at] = true;
            }
        }
    }
    let (forward, backward) = (forward(&gains, length, n), backward(&gains, length, n));
    let mut placed = Vec::new();
    let mut at = n;
    while at > 0 {
        if ends[at] {
            let start = at - length;
            let there = (forward[start] + gains[start] + backward[at] - forward[n])
                .min(0.0)
                .exp();
            let (bits, certain) = bits(&ratios[start..], format, cycles);
            placed.push(Placed {
                start,
                value: (bits & ((1 << format.data_bits) - 1)) as u8,
                bits,
                confidence: there * certain,
            });
            at = start;
        } else {
            at -= 1;
        }
    }
    placed.reverse();
    placed
}

/// How much more likely a character from each cycle on is than idle line, over all of its values.
fn gains(ratios: &[f64], format: &Format, cycles: usize) -> Vec<f64> {
    let last = (format.bits() - 2) * cycles;
    let count = ratios.len().saturating_sub(last);
    let prior = (START / (1.0 - START)).ln();
    // Of a bit that is as likely mark as space, against mark.
    let open: Vec<f64> = ratios
        .iter()
        .map(|r| soft(-r) - std::f64::consts::LN_2)
        .collect();
    (0..count)
        .map(|start| {
            let data = (1..format.bits() - 1).map(|bit| open[start + bit * cycles]);
            prior - ratios[start] + data.sum::<f64>()
        })
        .collect()
}

/// `ln(1 + exp(x))`.
fn soft(x: f64) -> f64 {
    if x > 30.0 { x } else { x.exp().ln_1p() }
}

fn add(a: f64, b: f64) -> f64 {
    let (high, low) = if a > b { (a, b) } else { (b, a) };
    high + (low - high).exp().ln_1p()
}

fn forward(gains: &[f64], length: usize, n: usize) -> Vec<f64> {
    let mut sums = vec![0.0; n + 1];
    for at in 1..=n {
        sums[at] = sums[at - 1];
        if at >= length && at - length < gains.len() {
            sums[at] = add(sums[at], sums[at - length] + gains[at - length]);
        }
    }
    sums
}

fn backward(gains: &[f64], length: usize, n: usize) -> Vec<f64> {
    let mut sums = vec![0.0; n + 1];
    for at in (0..n).rev() {
        sums[at] = sums[at + 1];
        if at < gains.len() && at + length <= n {
            sums[at] = add(sums[at], sums[at + length] + gains[at]);
        }
    }
    sums
}

/// The likeliest data bits, and how likely it is that all are right. Where there is a parity bit,
/// the least certain bit gives way to it.
fn bits(ratios: &[f64], format: &Format, cycles: usize) -> (u16, f64) {
    let bits: Vec<f64> = (1..format.bits() - 1)
        .map(|bit| ratios[bit * cycles])
        .collect();
    let mut ones: Vec<bool> = bits.iter().map(|r| *r > 0.0).collect();
    let mut certain: f64 = bits
        .iter()
        .map(|r| 1.0 / (1.0 + (-r.abs()).exp()))
        .product();
    let odd = match format.parity {
        Parity::Even => Some(false),
        Parity::Odd => Some(true),
        _ => None,
    };
    if let Some(odd) = odd {
        let is_odd = ones.iter().filter(|one| **one).count() % 2 == 1;
        let least = (0..bits.len()).min_by(|a, b| bits[*a].abs().total_cmp(&bits[*b].abs()));
        if let Some(least) = least.filter(|_| is_odd != odd) {
            ones[least] = !ones[least];
            let ratio = bits[least].abs();
            certain *= (-ratio).exp();
        }
    }
    let ones = ones.iter().enumerate();
    let value = ones.fold(0u16, |v, (i, one)| v | (u16::from(*one) << i));
    (value, certain)
}
