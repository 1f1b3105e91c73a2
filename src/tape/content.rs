//! What is recorded: blocks of bytes, or a tone.

use super::limits::check_length;
use super::{Pattern, loopable};
use crate::settings::TapeSettings;
use crate::tape::layout::{Part, as_made, character_s, idle};

/// What a tape holds.
#[derive(Clone, Debug, PartialEq)]
pub enum Content {
    /// Blocks of bytes: a leader before each, a trailer behind the last.
    Blocks(Vec<Vec<u8>>),
    /// A tone and nothing else: no leader, no character, no trailer.
    Tone {
        /// Which.
        tone: Tone,
        /// For how long, in seconds.
        length_s: f64,
    },
}

/// A tone that fills a tape.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Tone {
    /// Mark or space throughout.
    Steady {
        /// Whether it is mark.
        mark: bool,
        /// Whether the recording can be repeated without a click, as [`loopable`] makes it.
        loops: bool,
    },
    /// Space and mark by turns, each for a bit.
    Alternating,
}

/// How much of a pattern is recorded.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Extent {
    /// As much as is usual: see [`Pattern::usual_count`]; [`Extent::USUAL_TONE_S`] of a tone.
    Usual,
    /// For so many seconds: of bytes, as many as fit.
    For(f64),
    /// So many bytes, or so many bits of alternating tones.
    Count(usize),
}

impl Extent {
    /// Usual length of a tone in seconds.
    pub const USUAL_TONE_S: f64 = 10.0;
}

impl Content {
    /// One block of bytes.
    pub fn bytes(bytes: &[u8]) -> Self {
        Self::Blocks(vec![bytes.to_vec()])
    }

    /// A pattern. `run_of` is the byte that [`Pattern::Run`] repeats; the seed of
    /// [`Pattern::Random`] is the tape's. The other patterns stay within the tape's data bits.
    ///
    /// # Errors
    /// A sentence, where it would be longer than a tape may be.
    pub fn pattern(
        pattern: Pattern,
        extent: Extent,
        run_of: u8,
        settings: &TapeSettings,
    ) -> Result<Self, String> {
        if let Some(tone) = pattern.tone() {
            let length_s = match extent {
                Extent::Usual => Extent::USUAL_TONE_S,
                Extent::For(length_s) => length_s,
                Extent::Count(bits) => bits as f64 / settings.rate_bd,
            };
            return Ok(Self::Tone { tone, length_s });
        }
        let count = match extent {
            Extent::Usual => pattern.usual_count(settings.data_bits),
            // The slack keeps rounding from leaving out the last of a whole number.
            Extent::For(length_s) => (length_s / character_s(settings) + 1e-6) as usize,
            Extent::Count(count) => count,
        };
        check_length(count as f64 * character_s(settings), settings)?;
        Ok(Self::Blocks(vec![pattern.bytes(count, run_of, settings)]))
    }

    /// Length of the clean tape in seconds.
    pub fn length_s(&self, settings: &TapeSettings) -> f64 {
        match self {
            Self::Blocks(blocks) => {
                let made = as_made(settings);
                let block_s = |block: &Vec<u8>| {
                    let gap_s = if block.is_empty() { 0.0 } else { made.gap_s };
                    made.leader_s + block.len() as f64 * character_s(settings) - gap_s
                };
                blocks.iter().map(block_s).sum::<f64>() + made.trailer_s
            }
            Self::Tone {
                tone: Tone::Alternating,
                length_s,
            } => (length_s * settings.rate_bd).round() / settings.rate_bd,
            Self::Tone { .. } => self.parts(settings).map(|p| p.length_s(settings)).sum(),
        }
    }

    /// What is recorded, one part after the other. Leader, gap and trailer are rounded to whole
    /// cycles of mark, so that with tones of whole cycles a bit and whole stop bits every bit
    /// begins at a rising zero crossing.
    pub(super) fn parts<'a>(
        &'a self,
        settings: &'a TapeSettings,
    ) -> Box<dyn Iterator<Item = Part> + 'a> {
        match self {
            Self::Blocks(blocks) => {
                let blocks = blocks.iter().flat_map(|b| block(b, settings));
                Box::new(blocks.chain([idle(settings.trailer_s, settings)]))
            }
            Self::Tone { tone, length_s } => match *tone {
                Tone::Steady { mark, loops } => {
                    let mut part = Part::tone(mark, *length_s, settings);
                    if let (true, Part::Tone(stretch)) = (loops, &mut part) {
                        *stretch = loopable(*stretch, settings.sample_rate_hz);
                    }
                    Box::new(std::iter::once(part))
                }
                Tone::Alternating => {
                    let bits = (length_s * settings.rate_bd).round() as u64;
                    let bit_s = 1.0 / settings.rate_bd;
                    Box::new((0..bits).map(move |i| Part::tone(i % 2 == 1, bit_s, settings)))
                }
            },
        }
    }
}

/// A leader and the characters behind it.
fn block<'a>(bytes: &'a [u8], settings: &'a TapeSettings) -> impl Iterator<Item = Part> + 'a {
    let between = idle(settings.gap_s, settings);
    let characters = bytes.iter().enumerate().flat_map(move |(i, &byte)| {
        let gap = (i > 0).then_some(between);
        gap.into_iter().chain([Part::Character(byte)])
    });
    std::iter::once(idle(settings.leader_s, settings)).chain(characters)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_pattern_for_a_time_is_as_many_characters_as_fit() {
        let settings = TapeSettings {
            gap_s: 1.0 / 300.0,
            leader_s: 0.0,
            trailer_s: 0.0,
            ..Default::default()
        };
        // A character of 11 bits and a gap of one: 25 a second.
        for (length_s, count) in [(1.0, 25), (0.99, 24), (0.0, 0)] {
            let extent = Extent::For(length_s);
            let content = Content::pattern(Pattern::Run, extent, 7, &settings);
            assert_eq!(content, Ok(Content::bytes(&vec![7; count])));
        }
        let tones = Content::pattern(Pattern::AlternatingTones, Extent::Count(6), 0, &settings);
        let tones = tones.unwrap();
        assert!((tones.length_s(&settings) - 0.02).abs() < 1e-12);
    }

    #[test]
    fn every_block_has_a_leader() {
        let settings = TapeSettings {
            leader_s: 0.5,
            trailer_s: 0.25,
            gap_s: 0.0101,
            ..Default::default()
        };
        let blocks = Content::Blocks(vec![vec![1, 2], vec![], vec![3]]);
        let length_s = blocks.length_s(&settings);
        let parts = blocks.parts(&settings);
        let sum_s: f64 = parts.map(|p| p.length_s(&settings)).sum();
        assert!((sum_s - length_s).abs() < 1e-9);
        // A gap of 24 cycles of mark lies between the two characters of the first block.
        assert!((length_s - 3.0 * 0.5 - 0.25 - 33.0 / 300.0 - 0.01).abs() < 1e-9);
    }
}
