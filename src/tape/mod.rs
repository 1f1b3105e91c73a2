//! The tape maker: bytes or a pattern to a recording, clean or worn.
//!
//! [`Content`] is what is recorded, in parts of known length; [`ToneMaker`] turns their stretches
//! of tone into samples; [`wear`] does to them what a worn tape and a poor player do. What comes
//! out is a [`Tape`]: a recording, and the truth about it.

mod content;
mod layout;
mod limits;
mod loopable;
mod pattern;
mod random;
mod tone;
pub mod wear;

pub use content::{Content, Extent, Tone};
pub use layout::Stretch;
pub use limits::{check, rounding_note};
pub use loopable::loopable;
pub use pattern::Pattern;
pub use random::Random;
pub use tone::ToneMaker;

use crate::settings::{TapeSettings, WearSettings};
use crate::signal::Recording;

/// A recording, and what is true about it.
#[derive(Clone, Debug, PartialEq)]
pub struct Tape {
    /// The recording.
    pub recording: Recording,
    /// What it holds and what was done to it.
    pub truth: Truth,
}

/// What a reading of a tape is to be held against.
#[derive(Clone, Debug, PartialEq)]
pub struct Truth {
    /// The characters in the order of time.
    pub characters: Vec<TrueCharacter>,
    /// How the tape was recorded, with leader, gap and trailer as they were made.
    pub tape: TapeSettings,
    /// What was asked for as wear, without what has no effect.
    pub wear: WearSettings,
    /// What came of that where it is not known before.
    pub applied: wear::Applied,
}

/// A character as it was recorded.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct TrueCharacter {
    /// When its start bit begins on the worn recording, in seconds. What filters delay the signal
    /// by is not counted.
    pub at_s: f64,
    /// Its data bits.
    pub value: u8,
}

impl Truth {
    /// The values of all characters.
    pub fn bytes(&self) -> Vec<u8> {
        self.characters.iter().map(|c| c.value).collect()
    }
}

/// Is told what is being done to a tape, and which part of that is done, 0 to 1.
pub type Watch<'a> = dyn FnMut(&'static str, f64) + 'a;

/// Samples between two words to a [`Watch`].
const PIECE: usize = 1 << 16;

/// Makes a tape.
///
/// The settings must lie in the ranges of the knob table, and what [`check`] refuses does not come
/// out as asked: of a byte, only as many bits are recorded as there are data bits. Without wear the samples are those of the clean tape, bit for
/// bit.
pub fn make(content: &Content, tape: &TapeSettings, wear: &WearSettings) -> Tape {
    make_watched(content, tape, wear, &mut |_, _| {})
}

/// The same, with word of how far it has come: hours of a worn tape take minutes.
pub fn make_watched(
    content: &Content,
    tape: &TapeSettings,
    wear: &WearSettings,
    watch: &mut Watch<'_>,
) -> Tape {
    let length_s = content.length_s(tape);
    let mut maker = ToneMaker::new(tape);
    let (mut samples, mut characters) = (Vec::new(), Vec::new());
    let mut elapsed_s = 0.0;
    for part in content.parts(tape) {
        if let layout::Part::Character(byte) = part {
            characters.push(TrueCharacter {
                at_s: elapsed_s,
                value: layout::value(byte, tape),
            });
        }
        part.each_stretch(tape, |stretch| maker.run(stretch, &mut samples));
        elapsed_s += part.length_s(tape);
        watch("recording", elapsed_s / length_s);
    }
    let worn = wear::wear(samples, tape, wear, watch);
    for character in &mut characters {
        character.at_s = worn.motion.played_s(character.at_s);
    }
    Tape {
        recording: Recording::new(worn.samples, tape.sample_rate_hz),
        truth: Truth {
            characters,
            tape: match content {
                Content::Blocks(_) => layout::as_made(tape),
                Content::Tone { .. } => *tape,
            },
            wear: wear::in_effect(wear),
            applied: worn.applied,
        },
    }
}

/// How long the recording of a tape is, in seconds, before it is made.
pub fn made_length_s(content: &Content, tape: &TapeSettings, wear: &WearSettings) -> f64 {
    let rate_hz = f64::from(tape.sample_rate_hz);
    // The slack keeps rounding from adding a sample.
    let count = (content.length_s(tape) * rate_hz - 1e-6).ceil().max(0.0);
    let motion = wear::Motion::new(wear, count / rate_hz);
    motion.played_count(count as usize, rate_hz) as f64 / rate_hz
}

/// Records `bytes` as clean two-tone audio: a leader of mark; for each byte a start bit (space),
/// the data bits with the least significant first, the parity bit if there is one, the stop bits
/// and the gap (mark); a trailer of mark.
pub fn record(bytes: &[u8], settings: &TapeSettings) -> Recording {
    make(&Content::bytes(bytes), settings, &WearSettings::default()).recording
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Knobs that only say how wear would be, were it on.
    #[test]
    fn without_wear_the_samples_are_those_of_the_tones() {
        let tape = TapeSettings {
            leader_s: 0.1,
            sample_rate_hz: 44_100,
            ..Default::default()
        };
        let content = Content::Blocks(vec![b"tide".to_vec(), b"log".to_vec()]);
        let (mut maker, mut samples) = (ToneMaker::new(&tape), Vec::new());
        for part in content.parts(&tape) {
            part.each_stretch(&tape, |s| maker.run(s, &mut samples));
        }
        let off = WearSettings {
            seed: 7,
            wow_hz: 3.0,
            drop_out_depth_db: 60.0,
            hum_hz: 60.0,
            click_v: 1.0,
            ..Default::default()
        };
        let made = make(&content, &tape, &off);
        assert_eq!(made.recording.samples(), samples);
        assert_eq!(made.truth.applied, wear::Applied::default());
        assert_eq!(made.truth.bytes(), b"tidelog");
        // A leader of 0.1 s, 4 characters of 11 bits, and a leader once more.
        let fifth_s = made.truth.characters[4].at_s;
        assert!((fifth_s - 0.2 - 44.0 / 300.0).abs() < 1e-9);
    }

    #[test]
    fn the_length_is_known_before_the_tape_is_made() {
        let tape = TapeSettings {
            leader_s: 0.3333,
            gap_s: 0.0101,
            sample_rate_hz: 44_100,
            ..Default::default()
        };
        let rough = WearSettings {
            speed_percent: -3.0,
            wow_percent: 2.0,
            unsteady_percent: 5.0,
            ..Default::default()
        };
        for wear in [WearSettings::default(), rough] {
            for content in [
                Content::Blocks(vec![b"tide".to_vec(), b"log".to_vec()]),
                Content::Tone {
                    tone: Tone::Alternating,
                    length_s: 1.2345,
                },
            ] {
                let made = make(&content, &tape, &wear).recording;
                let told_s = made_length_s(&content, &tape, &wear);
                let off_samples = (told_s - made.duration_s()) * 44_100.0;
                assert!(off_samples.abs() < 1.5, "{off_samples}");
            }
        }
    }

    /// Eb/N0 is that of the bits as they are played: twice as fast, half the energy each.
    #[test]
    fn the_energy_of_a_bit_is_that_at_the_speed_of_playing() {
        let eb_n0_db = |speed_percent| {
            let wear = WearSettings {
                speed_percent,
                white_noise_db: 20.0,
                ..Default::default()
            };
            let noise = make(&Content::bytes(b"tide"), &TapeSettings::default(), &wear);
            noise.truth.applied.noise.unwrap().eb_n0_db.unwrap()
        };
        let lost_db = eb_n0_db(0.0) - eb_n0_db(50.0);
        assert!((lost_db - 10.0 * 1.5f64.log10()).abs() < 1e-9, "{lost_db}");
    }

    #[test]
    fn only_the_data_bits_of_a_byte_are_true() {
        let tape = TapeSettings {
            data_bits: 7,
            ..Default::default()
        };
        let made = make(&Content::bytes(&[0xFF]), &tape, &WearSettings::default());
        assert_eq!(made.truth.bytes(), [0x7F]);
    }
}
