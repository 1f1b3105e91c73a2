//! The tape maker: bytes to a clean standard recording.
//!
//! Two steps: [`layout`] turns bytes into stretches of tone, [`ToneMaker`] turns stretches into
//! samples.

mod layout;
mod tone;

pub use layout::{Stretch, layout};
pub use tone::ToneMaker;

use crate::settings::TapeSettings;
use crate::signal::Recording;

/// Records `bytes` as two-tone audio: a leader of mark; for each byte a start bit (space), the
/// data bits with the least significant first, the parity bit if there is one, the stop bits and
/// the gap (mark); a trailer of mark.
///
/// The settings must lie in the ranges of the knob table. Of a byte, only as many bits are
/// recorded as there are data bits.
pub fn record(bytes: &[u8], settings: &TapeSettings) -> Recording {
    let mut maker = ToneMaker::new(settings);
    let mut samples = Vec::new();
    for stretch in layout(bytes, settings) {
        maker.run(stretch, &mut samples);
    }
    Recording::new(samples, settings.sample_rate_hz)
}
