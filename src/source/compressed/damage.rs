//! What was lost of a compressed file, and where.

use crate::units::{clock, counted};

/// Places that are named.
const NAMED: usize = 3;

/// Damaged and missing stretches of a file, as they are met.
#[derive(Default)]
pub(super) struct Damage {
    /// Packets that could not be decoded.
    packets: u64,
    /// Samples of silence that stand for lost ones.
    silence: usize,
    /// How many stretches are damaged.
    places: usize,
    /// Where the first ones are, in seconds.
    named_s: Vec<f64>,
    /// Samples before the last one.
    last: Option<u64>,
}

impl Damage {
    /// A packet cannot be decoded; so many samples came before it.
    pub fn packet(&mut self, frames: u64, rate_hz: u32) {
        self.packets += 1;
        self.at(frames, rate_hz);
    }

    /// Silence stands for samples that are lost; so many came before it.
    pub fn silence(&mut self, samples: usize, frames: u64, rate_hz: u32) {
        self.silence += samples;
        self.at(frames, rate_hz);
    }

    /// Samples of silence so far.
    pub fn silent(&self) -> usize {
        self.silence
    }

    /// Whether any packet could not be decoded.
    pub fn any_packet(&self) -> bool {
        self.packets > 0
    }

    fn at(&mut self, frames: u64, rate_hz: u32) {
        // Where nothing has come since, it is the same stretch.
        if self.last.replace(frames) == Some(frames) {
            return;
        }
        self.places += 1;
        if self.named_s.len() < NAMED {
            self.named_s.push(frames as f64 / f64::from(rate_hz.max(1)));
        }
    }

    /// The note for people; none where all is whole.
    pub fn note(&self) -> Option<String> {
        let what = match (self.silence, self.packets) {
            (0, 0) => return None,
            (0, packets) => format!("Damaged packets were left out: {packets}"),
            (silence, _) => format!(
                "Damaged or missing packets were replaced by silence: {} a channel",
                counted(silence, "sample")
            ),
        };
        Some(format!("{what}, at {}.", self.places()))
    }

    fn places(&self) -> String {
        let named: Vec<_> = self.named_s.iter().map(|s| clock(*s)).collect();
        match (self.places - named.len(), &named[..]) {
            (0, [most @ .., last]) if !most.is_empty() => {
                format!("{} and {last}", most.join(", "))
            }
            (0, _) => named.concat(),
            (more, _) => format!("{} and {}", named.join(", "), counted(more, "other place")),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn places_are_named_once_each_and_the_rest_is_counted() {
        let mut damage = Damage::default();
        assert_eq!(damage.note(), None);
        damage.packet(8000, 8000);
        damage.packet(8000, 8000);
        damage.silence(2048, 8000, 8000);
        let note = damage.note().unwrap();
        assert!(
            note.contains("2048 samples") && note.ends_with("at 0:01.000."),
            "{note}"
        );
        damage.packet(16_000, 8000);
        let note = damage.note().unwrap();
        assert!(note.ends_with("at 0:01.000 and 0:02.000."), "{note}");
        for second in 3..9 {
            damage.packet(second * 8000, 8000);
        }
        let note = damage.note().unwrap();
        assert!(note.ends_with("0:03.000 and 5 other places."), "{note}");
    }
}
