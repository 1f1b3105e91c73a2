//! Samples for a capture without a sound card.

use pulsewright::settings::TapeSettings;
use pulsewright::{live::Feed, tape};
use std::thread::sleep;
use std::time::Duration;

/// The bytes of a tape as a sound card would give them.
pub fn tape_bytes(bytes: &[u8], rate_hz: u32) -> Vec<u8> {
    let settings = TapeSettings {
        leader_s: 0.3,
        trailer_s: 0.1,
        sample_rate_hz: rate_hz,
        ..TapeSettings::default()
    };
    let recording = tape::record(bytes, &settings);
    let samples = recording.samples();
    samples
        .iter()
        .flat_map(|v| ((v * 32_768.0).round() as i16).to_le_bytes())
        .collect()
}

/// Pushes samples as they would come from a sound card that runs in no time; the clock of the
/// stream begins at `from_s`.
pub fn push(feed: &mut Feed, bytes: &[u8], from_s: f64) {
    let block_bytes = 2 * 2400;
    for (i, block) in bytes.chunks(block_bytes).enumerate() {
        while feed.room() < block_bytes {
            sleep(Duration::from_millis(1));
        }
        let end_s = from_s + (i * block_bytes + block.len()) as f64 / 96_000.0;
        feed.push(block, (end_s * 1e9) as u64);
    }
}
