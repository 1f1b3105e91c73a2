//! One window of samples read.

use super::Format;
use super::clock::Clock;
use super::correlate::{Correlations, QUARTERS};
use super::likelihood::{Alignment, likelihood};
use super::segment::{self, Placed};
use super::speed::Speed;
use rustfft::num_complex::Complex;

/// Smoothing of the clock that is tried, in seconds: the shorter follows flutter, the longer hears
/// less noise.
const SMOOTHING_S: [f64; 2] = [7e-3, 30e-3];

/// Of the energy in a character's time, its tones must explain this part. With a bandwidth of some
/// 5 kHz, noise alone gives about 0.08, a tape at an Eb/N0 of 6 dB 0.23.
const EVIDENCE: f64 = 0.15;

/// A character as the reference reads it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ReferenceCharacter {
    /// When its start bit begins, in seconds.
    pub at_s: f64,
    /// When its first stop bit begins, in seconds.
    pub end_s: f64,
    /// The data bits, the first received in the lowest place.
    pub value: u8,
    /// How likely it is that the character is there and right, 0 to 1.
    pub confidence: f64,
}

impl ReferenceCharacter {
    /// The character `by_s` later.
    pub(super) fn moved(self, by_s: f64) -> Self {
        Self {
            at_s: self.at_s + by_s,
            end_s: self.end_s + by_s,
            ..self
        }
    }
}

/// How a window is read.
struct Way {
    clock: Clock,
    alignment: Alignment,
    smoothing_s: f64,
}

/// The characters in a window of samples at `rate_hz`, times from its beginning.
pub(super) fn read_window(
    samples: &[f32],
    rate_hz: f64,
    format: &Format,
) -> Vec<ReferenceCharacter> {
    let cycles = format.cycles();
    if (samples.len() as f64) < rate_hz / format.rate_bd * (format.bits() + 2) as f64 {
        return Vec::new();
    }
    let mut way = likeliest(samples, rate_hz, format);
    let (correlations, placed) = way.read(samples, format);
    // Now it is known which tone each cycle belongs to, the clock can be set more exactly.
    let shown = shown(&correlations, &way.clock, way.alignment, &placed, format);
    let quarter = way.alignment.quarter as f64 / QUARTERS as f64;
    way.clock.follow_cycles(shown, quarter, way.smoothing_s);
    let (correlations, placed) = way.read(samples, format);
    let energies = energies(samples);
    let character = |p: Placed| {
        let ends = [p.start, p.start + (format.bits() - 1) * cycles];
        // A sample holds from half a sample before its instant to half a sample after it.
        let [from, to] = ends.map(|cycle| correlations.sample(cycle, way.alignment.quarter));
        let whole = energies[to.ceil() as usize] - energies[from as usize];
        let explained = way.explained(&correlations, &p, format);
        (explained >= EVIDENCE * whole).then_some(ReferenceCharacter {
            at_s: (from - 0.5) / rate_hz,
            end_s: (to - 0.5) / rate_hz,
            value: p.value,
            confidence: p.confidence,
        })
    };
    placed.into_iter().filter_map(character).collect()
}

/// Tries how bits may lie to the clock and how smoothly it may run, and takes what makes the window
/// most likely.
fn likeliest(samples: &[f32], rate_hz: f64, format: &Format) -> Way {
    let cycles = format.cycles();
    let speed = Speed::of(samples, rate_hz, format);
    let rough = Clock::lock(samples, rate_hz, format, &speed);
    let mut noise_v2: Option<Vec<f64>> = None;
    let mut best: Option<(f64, Way)> = None;
    for smoothing_s in SMOOTHING_S {
        let mut clock = rough.clone();
        clock.follow_samples(samples, smoothing_s);
        let correlations = Correlations::of(samples, &clock);
        let heard = |alignment| likelihood(&correlations, clock.space_phase, alignment, cycles);
        // All are compared by the same noise.
        let noise_v2 = noise_v2.get_or_insert_with(|| heard(Alignment::default()).noise_v2);
        let total = |a: Alignment| segment::total(&heard(a).ratios(noise_v2), format, cycles);
        // How bits lie to the clock does not depend on its smoothing.
        let (total, alignment) = match &best {
            Some((_, way)) => (total(way.alignment), way.alignment),
            None => alignments()
                .map(|a| (total(a), a))
                .max_by(|a, b| a.0.total_cmp(&b.0))
                .unwrap_or_default(),
        };
        if best.as_ref().is_none_or(|(most, _)| total > *most) {
            let way = Way {
                clock,
                alignment,
                smoothing_s,
            };
            best = Some((total, way));
        }
    }
    best.expect("there is a smoothing to try").1
}

impl Way {
    fn read(&self, samples: &[f32], format: &Format) -> (Correlations, Vec<Placed>) {
        let cycles = format.cycles();
        let correlations = Correlations::of(samples, &self.clock);
        let heard = likelihood(
            &correlations,
            self.clock.space_phase,
            self.alignment,
            cycles,
        );
        let ratios = heard.ratios(&heard.noise_v2);
        let placed = segment::segment(&ratios, format, cycles);
        (correlations, placed)
    }

    /// The energy of the tones that a character is made of, in volts squared times samples.
    fn explained(&self, correlations: &Correlations, placed: &Placed, format: &Format) -> f64 {
        let cycles = format.cycles();
        let turn = Complex::from_polar(1.0, -self.clock.space_phase);
        let bit = |bit: usize| {
            let start = placed.start + bit * cycles;
            let seen = correlations.bit(start, self.alignment.quarter, cycles);
            let is_mark = bit > 0 && placed.bits >> (bit - 1) & 1 == 1;
            let peak_v = match is_mark {
                true => seen.mark.re,
                false => (seen.space * turn * self.alignment.swing(start)).re,
            };
            peak_v.max(0.0).powi(2) / 2.0 * seen.samples
        };
        (0..format.bits() - 1).map(bit).sum()
    }
}

/// The energy of the samples up to each.
fn energies(samples: &[f32]) -> Vec<f64> {
    let mut sum = 0.0;
    let sums = samples.iter().map(|s| {
        sum += f64::from(*s).powi(2);
        sum
    });
    std::iter::once(0.0).chain(sums).collect()
}

/// The phase that each cycle shows by the tone that it was read as: mark shows the phase of the clock
/// itself, space half of it, with half of the weight.
fn shown(
    correlations: &Correlations,
    clock: &Clock,
    alignment: Alignment,
    placed: &[Placed],
    format: &Format,
) -> Vec<Complex<f64>> {
    let cycles = format.cycles();
    let count = correlations.starts(alignment.quarter, 1);
    let turn = Complex::from_polar(1.0, -clock.space_phase);
    let mut shown: Vec<Complex<f64>> = (0..count)
        .map(|start| correlations.bit(start, alignment.quarter, 1).mark)
        .collect();
    for character in placed {
        for bit in 0..format.bits() - 1 {
            if bit > 0 && character.bits >> (bit - 1) & 1 == 1 {
                continue;
            }
            let begin = character.start + bit * cycles;
            let swing = alignment.swing(begin);
            let end = (begin + cycles).min(count);
            let of_bit = shown[begin.min(end)..end].iter_mut();
            for (cycle, shown) in (begin..end).zip(of_bit) {
                let space = correlations.bit(cycle, alignment.quarter, 1).space;
                let space = space * turn * swing;
                *shown = Complex::new(space.re / 4.0, space.im / 2.0);
            }
        }
    }
    shown
}

fn alignments() -> impl Iterator<Item = Alignment> {
    (0..QUARTERS).flat_map(|quarter| [false, true].map(|turned| Alignment { quarter, turned }))
}
