//! Where recordings come from: audio files.
