//! What becomes of a made tape: an open recording, or files.

use crate::export;
use crate::settings::Bench;
use crate::signal::Levels;
use crate::source::About;
use crate::tape::Tape;
use crate::units;
use crate::view::opening::Document;
use std::path::PathBuf;

/// A made tape as an open recording.
pub fn as_document(tape: &Tape, bench: &Bench) -> Document {
    let recording = tape.recording.clone();
    let about = About {
        name: "made tape".into(),
        format: "from the tape maker".into(),
        channels: 1,
        rate_hz: recording.rate_hz(),
        frames: recording.len() as u64,
        clip_v: Levels::clip_v(bench.source.full_scale_v),
        gaps: Default::default(),
        notes: Vec::new(),
    };
    Document::new(PathBuf::new(), recording, about, bench.source, true)
}

/// What a file of a made tape cuts off, if anything.
pub fn clipped(tape: &Tape, bench: &Bench) -> Option<String> {
    let full_scale_v = bench.source.full_scale_v;
    let count = export::clipped(&tape.recording, full_scale_v, bench.tape.sample_format);
    let samples = units::counted(count, "sample");
    (count > 0).then(|| format!("{samples} clipped at full scale: lower the level."))
}

/// The files of a made tape: the WAV, and the truth about it.
///
/// # Errors
/// A sentence, where it does not fit into a WAV file.
pub fn as_files(tape: &Tape, bench: &Bench) -> Result<[Vec<u8>; 2], String> {
    let full_scale_v = bench.source.full_scale_v;
    let wav = export::wav_as(&tape.recording, full_scale_v, bench.tape.sample_format)?;
    Ok([wav, export::truth(tape).into_bytes()])
}
