//! Damaged audio files: what can be read is read, the loss is told, and nothing panics.
//!
//! Whole files are written by ffmpeg. A decoder that panics on damage is held in by the reader; its
//! message may then stand in the output of this test.

mod common;

use common::compressed_files;
use proptest::prelude::*;
use pulsewright::settings::SourceSettings;
use pulsewright::source::read_all;

/// A stretch of zeros in a file costs the packets that it touches, a cut what is behind it; the
/// rest is kept and the loss is told. (Lossless and ADPCM packets carry no check: zeros are read
/// as sound. The index of an M4A file stands at its end, and is lost by a cut.)
#[test]
fn what_is_damaged_is_noted_and_the_rest_is_kept() {
    let read = |name, bytes| {
        let opened = read_all(bytes, name, &SourceSettings::default()).unwrap();
        (opened.about.frames as f64, opened.about.notes)
    };
    for (name, bytes) in compressed_files() {
        let (whole, notes) = read(name, bytes.clone());
        assert_eq!(notes, [""; 0], "{name}");
        let middle = bytes.len() / 2;
        if ["tone.flac", "tone.mp3", "tone.ogg", "tone.m4a"].contains(name) {
            let mut damaged = bytes.clone();
            damaged[middle..middle + 60].fill(0);
            let (frames, notes) = read(name, damaged);
            assert!(
                frames > 0.5 * whole && !notes.is_empty(),
                "{name}: {frames} of {whole}"
            );
        }
        if !name.ends_with("m4a") {
            let (frames, notes) = read(name, bytes[..middle].to_vec());
            assert!(
                (0.2..0.7).contains(&(frames / whole)),
                "{name}: {frames} of {whole}"
            );
            let told = notes.iter().any(|note| note.contains("cut short"));
            assert!(told, "{name}: {notes:?}");
        }
    }
}

/// Whatever the bytes: samples that are numbers, or a sentence.
fn is_read_or_refused(bytes: Vec<u8>, name: &str) -> Result<(), TestCaseError> {
    match read_all(bytes, name, &SourceSettings::default()) {
        Ok(opened) => {
            let samples = opened.recording.samples();
            prop_assert_eq!(opened.about.frames, samples.len() as u64);
            prop_assert!(!samples.is_empty() && samples.iter().all(|s| s.is_finite()));
        }
        Err(error) => prop_assert!(error.to_string().ends_with('.')),
    }
    Ok(())
}

proptest! {
    #![proptest_config(ProptestConfig { failure_persistence: None, ..Default::default() })]

    #[test]
    fn random_bytes_are_read_or_refused(
        start in 0..9usize,
        bytes in proptest::collection::vec(any::<u8>(), 0..2000),
    ) {
        let starts: [&[u8]; 9] = [
            b"", b"RIFF\0\0\0\0WAVEfmt ", b"RF64\0\0\0\0WAVEds64", b"fLaC", b"OggS",
            b"FORM\0\0\0\0AIFF", b"\0\0\0\x18ftypM4A ", b"\xFF\xFB\x90\x64", b"ID3",
        ];
        is_read_or_refused([starts[start], &bytes].concat(), "tide.mp3")?;
    }

    #[test]
    fn damaged_files_are_read_or_refused(
        file in 0..7usize,
        damage in proptest::collection::vec((any::<prop::sample::Index>(), any::<u8>()), 1..30),
        near_start in any::<bool>(),
        keep in prop_oneof![Just(1.0), 0.0..1.0f64],
    ) {
        let (name, bytes) = &compressed_files()[file];
        let mut bytes = bytes.clone();
        let reach = if near_start { bytes.len().min(300) } else { bytes.len() };
        for (at, value) in damage {
            bytes[at.index(reach)] = value;
        }
        bytes.truncate((bytes.len() as f64 * keep) as usize);
        is_read_or_refused(bytes, name)?;
    }
}
