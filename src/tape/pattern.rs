//! Test patterns.

use super::{Random, Tone};
use crate::settings::{Choice, choice};

choice! {
    /// A test pattern, of tones or of bytes.
    Pattern {
        /// Steady mark.
        Mark = "mark",
        /// Steady space.
        Space = "space",
        /// Space and mark by turns, each for a bit, without characters.
        AlternatingTones = "alternating-tones",
        /// The bytes 55 and AA by turns: in 55 the bits on the tape alternate from the start bit
        /// to the first stop bit.
        AlternatingBits = "alternating-bits",
        /// All byte values from 00 upward.
        AllBytes = "all-bytes",
        /// A single one that walks from the lowest bit to the highest.
        WalkingOne = "walking-one",
        /// Random bytes.
        Random = "random",
        /// A long run of one byte.
        Run = "run",
    }
}

impl Pattern {
    /// The tone that the pattern is, or `None` for one of bytes.
    pub fn tone(self) -> Option<Tone> {
        let steady = |mark| Tone::Steady { mark, loops: false };
        match self {
            Self::Mark => Some(steady(true)),
            Self::Space => Some(steady(false)),
            Self::AlternatingTones => Some(Tone::Alternating),
            _ => None,
        }
    }

    /// How many bytes of the pattern are usual: each once, or 256.
    pub fn usual_count(self) -> usize {
        match self {
            Self::WalkingOne => 8,
            _ => 256,
        }
    }

    /// The first `count` bytes of the pattern; none for one of tones.
    pub fn bytes(self, count: usize, run_of: u8, seed: u32) -> Vec<u8> {
        let mut random = Random::new(seed, "bytes");
        let byte = |i: usize| match self {
            Self::AlternatingBits => [0x55, 0xAA][i % 2],
            Self::WalkingOne => 1 << (i % 8),
            Self::Random => (random.next_u64() >> 56) as u8,
            Self::Run => run_of,
            // The lowest eight bits: the values again from the first.
            _ => i as u8,
        };
        match self.tone() {
            Some(_) => Vec::new(),
            None => (0..count).map(byte).collect(),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn patterns_of_bytes_go_on_for_as_long_as_asked() {
        let bytes = |pattern: Pattern, count| pattern.bytes(count, 0x41, 1);
        assert_eq!(bytes(Pattern::AlternatingBits, 3), [0x55, 0xAA, 0x55]);
        assert_eq!(
            bytes(Pattern::WalkingOne, 9),
            [1, 2, 4, 8, 16, 32, 64, 128, 1]
        );
        assert_eq!(bytes(Pattern::AllBytes, 258)[254..], [254, 255, 0, 1]);
        assert_eq!(bytes(Pattern::Run, 2), [0x41; 2]);
        assert!(bytes(Pattern::Mark, 5).is_empty());
    }

    #[test]
    fn random_bytes_come_from_the_seed_and_take_every_value() {
        let bytes = |seed| Pattern::Random.bytes(10_000, 0, seed);
        assert_eq!(bytes(1), bytes(1));
        assert_ne!(bytes(1), bytes(2));
        let mut values = bytes(1);
        values.sort_unstable();
        values.dedup();
        assert_eq!(values.len(), 256);
    }
}
