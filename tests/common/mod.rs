//! What several tests share; each uses its part.
#![allow(dead_code)]

pub mod tools;

use std::sync::OnceLock;
use tools::{Tone, ffmpeg};

/// One small file of every kind that symphonia reads.
pub fn compressed_files() -> &'static [(&'static str, Vec<u8>)] {
    static FILES: OnceLock<Vec<(&str, Vec<u8>)>> = OnceLock::new();
    FILES.get_or_init(|| {
        let folder = tempfile::tempdir().unwrap();
        let files = [
            ("tone.flac", "-c:a flac"),
            ("tone.mp3", "-c:a libmp3lame"),
            // Short pages, in microseconds, so that there are several to lose.
            ("tone.ogg", "-c:a libvorbis -page_duration 200000"),
            ("tone.aiff", "-c:a pcm_s16be"),
            ("tone.m4a", "-c:a aac"),
            ("lossless.m4a", "-c:a alac"),
            ("adpcm.wav", "-c:a adpcm_ms"),
        ];
        let write = |(name, options)| {
            let path = folder.path().join(name);
            ffmpeg(&Tone::lasting(24_000, 1, 8_000), options, &path);
            (name, std::fs::read(path).unwrap())
        };
        files.map(write).to_vec()
    })
}
