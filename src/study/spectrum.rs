//! The spectrum of some samples, and its peaks.

use crate::signal::Recording;
use rustfft::FftPlanner;
use rustfft::num_complex::Complex;
use std::f64::consts::{PI, TAU};
use std::ops::Range;

/// Name of the window that each segment is weighted with (F. J. Harris, "On the Use of Windows for
/// Harmonic Analysis with the Discrete Fourier Transform", Proc. IEEE, 1978; from memory).
pub const WINDOW_NAME: &str = "Hann";

/// Fewer samples have no spectrum.
const LEAST_SAMPLES: usize = 64;
/// Samples of a segment, at most: 5.9 Hz from line to line at 48 kHz.
const LONGEST_SEGMENT: usize = 8192;
/// Segments, at most.
const MOST_SEGMENTS: usize = 64;
/// No level is given below this one: silence has none.
const FLOOR_DB: f64 = -200.0;

/// Peaks, at most.
const MOST_PEAKS: usize = 6;
/// A peak stands this far above the median of the lines around it. The strongest of 4096 lines of
/// a single segment of white noise stands about 11 dB above it.
const RISE_DB: f64 = 12.0;
/// What lies further than this below the strongest peak is none.
const RANGE_DB: f64 = 60.0;
/// Lines on either side that count as the neighbourhood.
const AROUND: usize = 32;

/// An amplitude spectrum.
#[derive(Clone, Debug, PartialEq)]
pub struct Spectrum {
    /// Distance from line to line in hertz; the first line lies at 0 Hz.
    pub step_hz: f64,
    /// Mean square of each line in decibels relative to that of a sine of 1 V peak, so that a sine
    /// reads its peak level in dBV peak. At least -200 dB.
    pub levels_db: Vec<f64>,
    /// The strongest peaks, at most six, the strongest first.
    pub peaks: Vec<Peak>,
    /// How many segments it is the mean of.
    pub segments: usize,
}

/// A peak of a spectrum.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Peak {
    /// Frequency in hertz, interpolated between lines; for a steady sine within a twentieth of
    /// the distance between two.
    pub frequency_hz: f64,
    /// Level in decibels relative to a sine of 1 V peak, interpolated; for a steady sine within
    /// 0.33 dB.
    pub level_db: f64,
}

/// The spectrum of the samples with these numbers: the mean of the power spectra of segments of a
/// power of two, which overlap by half or more and together cover all samples (P. D. Welch, 1967;
/// from memory). Where that would take more than 64 of 8192 samples, 64 are spread evenly.
///
/// `None` for fewer than 64 samples.
pub fn spectrum(recording: &Recording, numbers: Range<usize>) -> Option<Spectrum> {
    let (first, count) = (numbers.start, numbers.len());
    if count < LEAST_SAMPLES {
        return None;
    }
    let length = (1 << count.ilog2()).min(LONGEST_SEGMENT);
    let spare = count - length;
    let segments = (spare.div_ceil(length / 2) + 1).min(MOST_SEGMENTS);
    let starts = (0..segments).map(|i| i * spare / (segments - 1).max(1));

    let window = hann(length);
    let fft = FftPlanner::<f32>::new().plan_fft_forward(length);
    let mut scratch = vec![Complex::default(); fft.get_inplace_scratch_len()];
    let mut segment = vec![Complex::default(); length];
    let mut power = vec![0.0f64; length / 2 + 1];
    for start in starts {
        let samples = recording.stretch(first + start..first + start + length);
        let weighted = samples.iter().zip(&window);
        for (point, (sample, weight)) in segment.iter_mut().zip(weighted) {
            *point = Complex::new(sample * weight, 0.0);
        }
        fft.process_with_scratch(&mut segment, &mut scratch);
        for (sum, line) in power.iter_mut().zip(&segment) {
            *sum += f64::from(line.re).powi(2) + f64::from(line.im).powi(2);
        }
    }
    // A sine of 1 V peak gives half the sum of the weights in its line.
    let gain: f64 = window.iter().copied().map(f64::from).sum();
    let one_volt = (gain / 2.0).powi(2) * segments as f64;
    let ends = [0, length / 2];
    let levels_db: Vec<f64> = power
        .iter()
        .enumerate()
        // The first and the last line have no twin at a negative frequency to share with: their
        // mean square is half of what the others' would be.
        .map(|(i, p)| p / one_volt / if ends.contains(&i) { 2.0 } else { 1.0 })
        .map(|ratio| (10.0 * ratio.log10()).max(FLOOR_DB))
        .collect();
    let step_hz = f64::from(recording.rate_hz()) / length as f64;
    Some(Spectrum {
        peaks: peaks(&levels_db, step_hz),
        step_hz,
        levels_db,
        segments,
    })
}

/// The Hann window for spectra: one period of a raised cosine, of which the last point is left out.
fn hann(length: usize) -> Vec<f32> {
    let phase = |i: usize| TAU * i as f64 / length as f64;
    (0..length)
        .map(|i| (0.5 - 0.5 * phase(i).cos()) as f32)
        .collect()
}

/// How far below a sine's peak its leakage stays `lines` away, in decibels: the envelope of the
/// Hann window's transform, sinc(d) / (1 - d^2). Within its main lobe there is only the sine.
fn leakage_db(lines: f64) -> f64 {
    if lines <= 2.0 {
        return 0.0;
    }
    -20.0 * (PI * lines * (lines * lines - 1.0)).log10()
}

fn peaks(levels_db: &[f64], step_hz: f64) -> Vec<Peak> {
    let highest = |w: &[f64]| w[1] > w[0] && w[1] >= w[2] && w[1] > FLOOR_DB;
    let mut lines: Vec<usize> = (1..levels_db.len() - 1)
        .filter(|&i| highest(&levels_db[i - 1..=i + 1]))
        .collect();
    lines.sort_by(|&a, &b| levels_db[b].total_cmp(&levels_db[a]));
    let mut found: Vec<usize> = Vec::new();
    for line in lines {
        let level_db = levels_db[line];
        let strongest_db = found.first().map_or(level_db, |&i| levels_db[i]);
        if found.len() == MOST_PEAKS || level_db < strongest_db - RANGE_DB {
            break;
        }
        // The 3 dB are for a sine between two lines, whose own line reads up to 1.4 dB low.
        let leaked = found.iter().any(|&other| {
            let distance = line.abs_diff(other) as f64;
            level_db < levels_db[other] + leakage_db(distance - 0.5) + 3.0
        });
        if !leaked && level_db >= around_db(levels_db, line) + RISE_DB {
            found.push(line);
        }
    }
    found
        .into_iter()
        .map(|line| interpolated(levels_db, line, step_hz))
        .collect()
}

/// The median of the lines around one.
fn around_db(levels_db: &[f64], line: usize) -> f64 {
    let end = (line + AROUND + 1).min(levels_db.len());
    let mut around = levels_db[line.saturating_sub(AROUND)..end].to_vec();
    let middle = around.len() / 2;
    *around.select_nth_unstable_by(middle, f64::total_cmp).1
}

/// The vertex of the parabola through the levels of a line and its two neighbours.
fn interpolated(levels_db: &[f64], line: usize, step_hz: f64) -> Peak {
    let [left, middle, right] = [line - 1, line, line + 1].map(|i| levels_db[i]);
    let bend = left - 2.0 * middle + right;
    let off_lines = if bend < 0.0 {
        0.5 * (left - right) / bend
    } else {
        0.0
    };
    Peak {
        frequency_hz: (line as f64 + off_lines) * step_hz,
        level_db: middle - 0.25 * (left - right) * off_lines,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn spectrum_of(samples: &[f32]) -> Option<Spectrum> {
        let recording = Recording::new(samples.to_vec(), RATE_HZ);
        spectrum(&recording, 0..samples.len())
    }

    const RATE_HZ: u32 = 48_000;

    /// Sines of these frequencies (Hz) and peak levels (V) together.
    fn sines(count: usize, tones: &[(f64, f64)]) -> Vec<f32> {
        let at = |i: usize, hz: f64| (TAU * hz * i as f64 / f64::from(RATE_HZ)).sin();
        (0..count)
            .map(|i| tones.iter().map(|&(hz, v)| v * at(i, hz)).sum::<f64>() as f32)
            .collect()
    }

    #[test]
    fn two_sines_are_found_with_their_frequencies_and_levels() {
        for off_hz in [0.0, 1.0, 2.93, 4.4] {
            let samples = sines(60_000, &[(1200.0 + off_hz, 0.5), (2400.0 - off_hz, 0.05)]);
            let spectrum = spectrum_of(&samples).unwrap();
            let step_hz = 48_000.0 / 8192.0;
            assert_eq!(spectrum.step_hz, step_hz);
            assert_eq!(spectrum.levels_db.len(), 4097);
            assert_eq!(spectrum.peaks.len(), 2, "{:?}", spectrum.peaks);
            let wanted = [(1200.0 + off_hz, -6.0206), (2400.0 - off_hz, -26.0206)];
            for (peak, (hz, db)) in spectrum.peaks.iter().zip(wanted) {
                assert!((peak.frequency_hz - hz).abs() < step_hz / 20.0, "{peak:?}");
                assert!((peak.level_db - db).abs() < 0.33, "{peak:?}");
            }
        }
    }

    /// On a line, a sine of 1 V peak is 0 dB; a steady 1 V has twice its mean square.
    #[test]
    fn levels_refer_to_a_sine_of_one_volt() {
        let hz = 100.0 * 48_000.0 / 4096.0;
        let sine = spectrum_of(&sines(4096, &[(hz, 1.0)])).unwrap();
        assert!(sine.levels_db[100].abs() < 1e-4);
        // Half the weight of a Hann window falls on either neighbour, none on the next.
        assert!((sine.levels_db[99] + 6.0206).abs() < 1e-4);
        assert!(sine.levels_db[102] < -100.0);
        let steady = spectrum_of(&[1.0; 4096]).unwrap();
        assert!((steady.levels_db[0] - 3.0103).abs() < 1e-4);
    }

    #[test]
    fn noise_and_silence_have_no_peak() {
        let mut state = 1u64;
        let noise: Vec<f32> = std::iter::repeat_with(|| {
            // Linear congruential generator with Knuth's MMIX constants.
            state = state
                .wrapping_mul(6_364_136_223_846_793_005)
                .wrapping_add(1_442_695_040_888_963_407);
            (state >> 40) as f32 / (1u32 << 23) as f32 - 1.0
        })
        .take(40_000)
        .collect();
        assert!(spectrum_of(&noise).unwrap().peaks.is_empty());
        let silence = spectrum_of(&[0.0; 100]).unwrap();
        assert!(silence.peaks.is_empty());
        assert!(silence.levels_db.iter().all(|&db| db == FLOOR_DB));
    }

    #[test]
    fn the_cost_is_bounded_and_the_whole_span_is_looked_at() {
        let mut samples = sines(2_000_000, &[(2400.0, 0.5)]);
        samples.extend(sines(1_000_000, &[(1200.0, 0.5)]));
        let spectrum = spectrum_of(&samples).unwrap();
        assert_eq!(spectrum.segments, 64);
        let found: Vec<_> = spectrum
            .peaks
            .iter()
            .map(|p| p.frequency_hz.round())
            .collect();
        assert_eq!(found, [2400.0, 1200.0]);
        // A third of the time is 4.8 dB less.
        assert!((spectrum.peaks[1].level_db + 6.02 + 4.77).abs() < 0.2);
    }

    #[test]
    fn too_few_samples_have_none() {
        assert_eq!(spectrum_of(&[0.5; 63]), None);
        assert_eq!(spectrum_of(&[0.5; 64]).unwrap().levels_db.len(), 33);
    }
}
