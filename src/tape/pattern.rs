//! Test patterns.

use super::layout::value;
use super::{Random, Tone};
use crate::settings::{Choice, TapeSettings, choice};

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
    pub fn usual_count(self, data_bits: u32) -> usize {
        match self {
            Self::WalkingOne => data_bits as usize,
            Self::AllBytes => 1 << data_bits,
            _ => 256,
        }
    }

    /// The first `count` bytes of the pattern, which hold no more than the data bits but for
    /// `run_of`; none for a pattern of tones. The seed is that of the tape.
    pub fn bytes(self, count: usize, run_of: u8, settings: &TapeSettings) -> Vec<u8> {
        let mut random = Random::new(settings.seed, "bytes");
        let data_bits = settings.data_bits as usize;
        let mut byte = |i: usize| match self {
            Self::AlternatingBits => [0x55, 0xAA][i % 2],
            Self::WalkingOne => 1 << (i % data_bits),
            Self::Random => (random.next_u64() >> 56) as u8,
            // The lowest eight bits: the values again from the first.
            _ => i as u8,
        };
        match self.tone() {
            Some(_) => Vec::new(),
            None if self == Self::Run => vec![run_of; count],
            None => (0..count).map(|i| value(byte(i), settings)).collect(),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn patterns_of_bytes_go_on_for_as_long_as_asked() {
        let bytes = |pattern: Pattern, count| pattern.bytes(count, 0x41, &TapeSettings::default());
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
    fn patterns_stay_within_the_data_bits() {
        let settings = TapeSettings {
            data_bits: 5,
            ..Default::default()
        };
        let usual = |pattern: Pattern| pattern.bytes(pattern.usual_count(5), 0, &settings);
        assert_eq!(usual(Pattern::AllBytes), (0..32).collect::<Vec<_>>());
        assert_eq!(usual(Pattern::WalkingOne), [1, 2, 4, 8, 16]);
        assert_eq!(usual(Pattern::AlternatingBits)[..3], [0x15, 0x0A, 0x15]);
        assert!(usual(Pattern::Random).iter().all(|b| *b < 32));
    }

    #[test]
    fn random_bytes_come_from_the_seed_and_take_every_value() {
        let bytes = |seed| {
            let settings = TapeSettings {
                seed,
                ..Default::default()
            };
            Pattern::Random.bytes(10_000, 0, &settings)
        };
        assert_eq!(bytes(1), bytes(1));
        assert_ne!(bytes(1), bytes(2));
        let mut values = bytes(1);
        values.sort_unstable();
        values.dedup();
        assert_eq!(values.len(), 256);
    }
}
