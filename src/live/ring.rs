//! From the callback of a sound card to the thread that takes its samples, without a lock.
//!
//! The callback copies: bytes as they are into one ring by whole slices, a stamp of fixed size into
//! another. It allocates nothing, waits for nothing and calls nothing else.

use super::Format;
use rtrb::{Consumer, Producer, RingBuffer};
use std::sync::atomic::{AtomicU64, Ordering};
use std::sync::{Arc, OnceLock};

/// What the ring holds while nobody takes it, in seconds.
const RING_S: usize = 8;
/// Stamps that it holds.
const STAMPS: usize = 1 << 13;

/// What one callback brought.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Stamp {
    /// Bytes in the ring.
    pub bytes: usize,
    /// Frames that found no room before these, since the beginning.
    pub missed_frames: u64,
    /// When the callback came, on the clock of the stream, in nanoseconds.
    pub arrival_ns: u64,
}

/// Why a stream is over.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) struct Over {
    /// A sentence.
    pub why: String,
    /// Whether its connection to the sound server broke, so that another stream may go on.
    pub is_broken: bool,
}

/// What a stream tells beside samples.
#[derive(Debug, Default)]
pub(super) struct Signs {
    /// Why it is over: the first error only, since some systems repeat it a million times.
    pub over: OnceLock<Over>,
    /// How often the system itself said that samples were lost.
    pub overruns: AtomicU64,
}

/// The end at which samples come in: a sound card's callback, or whatever stands for one.
pub struct Feed {
    bytes: Producer<u8>,
    stamps: Producer<Stamp>,
    frame_bytes: usize,
    missed_frames: u64,
    signs: Arc<Signs>,
}

impl Feed {
    /// Takes what a callback brought at `arrival_ns`. What finds no room is counted, not waited for.
    pub fn push(&mut self, data: &[u8], arrival_ns: u64) {
        if self.bytes.slots() < data.len() || self.stamps.slots() == 0 {
            self.missed_frames += (data.len() / self.frame_bytes) as u64;
            return;
        }
        // There is room for both: nobody else puts anything in.
        let _ = self.bytes.push_entire_slice(data);
        let _ = self.stamps.push(Stamp {
            bytes: data.len(),
            missed_frames: self.missed_frames,
            arrival_ns,
        });
    }

    /// Bytes that find room now.
    pub fn room(&self) -> usize {
        match self.stamps.slots() {
            0 => 0,
            _ => self.bytes.slots(),
        }
    }

    /// Ends the stream for a reason, as a sound card's error does.
    pub fn fail(&self, why: &str) {
        let _ = self.signs.over.set(Over {
            why: why.to_owned(),
            is_broken: false,
        });
    }

    pub(super) fn signs(&self) -> Arc<Signs> {
        Arc::clone(&self.signs)
    }
}

/// The end at which they are taken out.
pub(super) struct Intake {
    bytes: Consumer<u8>,
    stamps: Consumer<Stamp>,
    signs: Arc<Signs>,
}

impl Intake {
    /// Adds what the next callback brought to `block`.
    pub fn next(&mut self, block: &mut Vec<u8>) -> Option<Stamp> {
        let stamp = self.stamps.pop().ok()?;
        let from = block.len();
        block.resize(from + stamp.bytes, 0);
        // The bytes of a stamp lie in the ring before it does.
        let _ = self.bytes.pop_entire_slice(&mut block[from..]);
        Some(stamp)
    }

    /// How many callbacks' samples wait to be taken.
    pub fn waiting(&self) -> usize {
        self.stamps.slots()
    }

    /// Why the stream is over, if it is.
    pub fn over(&self) -> Option<&Over> {
        self.signs.over.get()
    }

    /// Whether the other end is gone, so that nothing more can come.
    pub fn is_abandoned(&self) -> bool {
        self.stamps.is_abandoned()
    }

    /// How often the system said that samples were lost.
    pub fn overruns(&self) -> u64 {
        self.signs.overruns.load(Ordering::Relaxed)
    }
}

/// The two ends for a stream of this format.
pub(super) fn ring(format: Format) -> (Feed, Intake) {
    let frame_bytes = format.frame_bytes();
    let (bytes, bytes_out) = RingBuffer::new(RING_S * format.rate_hz as usize * frame_bytes);
    let (stamps, stamps_out) = RingBuffer::new(STAMPS);
    let signs = Arc::new(Signs::default());
    let feed = Feed {
        bytes,
        stamps,
        frame_bytes,
        missed_frames: 0,
        signs: Arc::clone(&signs),
    };
    let intake = Intake {
        bytes: bytes_out,
        stamps: stamps_out,
        signs,
    };
    (feed, intake)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::source::Sample;

    const FORMAT: Format = Format {
        rate_hz: 100,
        channels: 1,
        sample: Sample::Integer16,
    };

    #[test]
    fn what_goes_in_comes_out_and_what_finds_no_room_is_counted() {
        let (mut feed, mut intake) = ring(FORMAT);
        let room = feed.room();
        let data: Vec<u8> = (0..room).map(|i| i as u8).collect();
        feed.push(&data, 1);
        feed.push(&[1, 2, 3, 4], 2);
        let mut block = Vec::new();
        assert_eq!(intake.next(&mut block).unwrap().missed_frames, 0);
        assert_eq!(block, data);
        block.clear();
        feed.push(&[5, 6], 3);
        let stamp = intake.next(&mut block).unwrap();
        assert_eq!((stamp.missed_frames, stamp.arrival_ns), (2, 3));
        assert_eq!(block, [5, 6]);
        assert_eq!(intake.next(&mut block), None);
    }

    #[test]
    fn the_first_error_counts() {
        let (feed, intake) = ring(FORMAT);
        assert_eq!(intake.over(), None);
        feed.fail("one");
        feed.fail("two");
        assert_eq!(intake.over().map(|over| &*over.why), Some("one"));
        drop(feed);
        assert!(intake.is_abandoned());
    }
}
