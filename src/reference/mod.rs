//! The reference demodulator: the best reading that software can give of the same samples.
//!
//! It knows nothing of squarers and one-shots. The samples are read in overlapping windows; in each
//! the speed of the tape is found from the spectrum (`speed`), a clock that counts cycles of mark
//! is locked to both tones (`clock`), both tones are correlated with the signal over a bit from
//! every possible start on (`correlate`), the correlations become log-likelihood ratios
//! (`likelihood`), and the most likely sequence of idle line and characters is found over the
//! whole window at once (`segment`).
//!
//! Both tones have whole cycles in a bit, so every bit begins at the same phase and a start bit can
//! begin only where a cycle of mark ends. That is what makes a nearly coherent reading possible
//! without being told the phase.

mod clock;
mod correlate;
mod decimate;
mod likelihood;
mod segment;
mod smooth;
mod speed;
mod window;

pub use window::ReferenceCharacter;

use crate::settings::Parity;
use crate::signal::Recording;
use decimate::Decimator;
use window::read_window;

/// Length of a window that is read at once, in seconds.
const WINDOW_S: f64 = 20.0;
/// What two windows share, in seconds: at least two of the longest characters at each side.
const OVERLAP_S: f64 = 3.0;

/// What a tape is taken to hold.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Format {
    /// Frequency of mark in hertz, at the nominal speed.
    pub mark_hz: f64,
    /// Frequency of space in hertz: half of mark's.
    pub space_hz: f64,
    /// Signalling rate in baud: mark has a whole number of cycles in a bit.
    pub rate_bd: f64,
    /// Data bits in a character, 5 to 8.
    pub data_bits: u32,
    /// Parity bit after the data bits.
    pub parity: Parity,
}

impl Default for Format {
    /// BYTE, February 1976: 2400 Hz, 1200 Hz, 300 Bd, eight bits without parity.
    fn default() -> Self {
        Self {
            mark_hz: 2400.0,
            space_hz: 1200.0,
            rate_bd: 300.0,
            data_bits: 8,
            parity: Parity::None,
        }
    }
}

impl Format {
    /// Bits of a character that are not idle line: start, data, parity, and one stop bit.
    fn bits(&self) -> usize {
        2 + self.data_bits as usize + usize::from(self.parity != Parity::None)
    }

    /// Cycles of mark in a bit.
    fn cycles(&self) -> usize {
        (self.mark_hz / self.rate_bd).round().max(1.0) as usize
    }
}

/// The reference demodulator as a streaming stage.
pub struct Demodulator {
    format: Format,
    decimator: Decimator,
    held: Vec<f32>,
    /// Number of the first held sample.
    first: u64,
    characters: Vec<ReferenceCharacter>,
}

impl Demodulator {
    /// A demodulator at rest for samples at `rate_hz`.
    pub fn new(format: Format, rate_hz: u32) -> Self {
        Self {
            format,
            decimator: Decimator::new(rate_hz, format.mark_hz),
            held: Vec::new(),
            first: 0,
            characters: Vec::new(),
        }
    }

    /// Reads a whole recording.
    pub fn read(format: Format, recording: &Recording) -> Vec<ReferenceCharacter> {
        let mut demodulator = Self::new(format, recording.rate_hz());
        demodulator.push(&recording.samples());
        demodulator.finish()
    }

    /// Feeds the next samples.
    pub fn push(&mut self, samples: &[f32]) {
        self.decimator.run(samples, &mut self.held);
        let (length, step) = self.lengths();
        while self.held.len() >= length {
            self.take(length, false);
            self.held.drain(..step);
            self.first += step as u64;
        }
    }

    /// The characters so far, given up.
    pub fn drain(&mut self) -> Vec<ReferenceCharacter> {
        std::mem::take(&mut self.characters)
    }

    /// Ends the recording and gives up the characters.
    pub fn finish(mut self) -> Vec<ReferenceCharacter> {
        self.decimator.finish(&mut self.held);
        self.take(self.held.len(), true);
        self.characters
    }

    fn lengths(&self) -> (usize, usize) {
        let samples = |s: f64| (s * self.decimator.rate_hz()) as usize;
        (samples(WINDOW_S), samples(WINDOW_S - OVERLAP_S))
    }

    /// Reads the first held samples, and keeps the characters that lie well inside.
    fn take(&mut self, length: usize, last: bool) {
        let rate_hz = self.decimator.rate_hz();
        let offset_s = self.first as f64 / rate_hz;
        let end_s = match last {
            true => f64::INFINITY,
            false => offset_s + length as f64 / rate_hz - OVERLAP_S / 2.0,
        };
        let after_s = self
            .characters
            .last()
            .map_or(f64::NEG_INFINITY, |c| c.end_s - 1e-3);
        let begin_s = match self.first {
            0 => f64::NEG_INFINITY,
            _ => offset_s + OVERLAP_S / 2.0,
        };
        let read = read_window(&self.held[..length], rate_hz, &self.format);
        let moved = read.into_iter().map(|c| c.moved(offset_s));
        let inside = |c: &ReferenceCharacter| {
            c.at_s >= after_s && c.at_s < end_s && c.at_s >= begin_s - (c.end_s - c.at_s)
        };
        self.characters.extend(moved.filter(inside));
    }
}

#[cfg(test)]
mod tests;
