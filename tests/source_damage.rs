//! Damaged audio files: what can be read is read, the loss is told, and nothing panics.
//!
//! Whole files are written by ffmpeg. A decoder that panics on damage is held in by the reader; its
//! message may then stand in the output of this test.

mod common;

use common::compressed_files;
use common::tools::{Tone, ffmpeg};
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

/// A packet that cannot be decoded costs itself, wherever it stands, and keeps its time; the note
/// says where it was.
#[test]
fn what_comes_after_a_damaged_packet_is_read() {
    let folder = tempfile::tempdir().unwrap();
    for (name, options) in [
        ("adpcm.wav", "-c:a adpcm_ms"),
        ("tone.m4a", "-c:a aac -b:a 64k"),
        ("tone.aac", "-c:a aac -b:a 64k"),
    ] {
        let path = folder.path().join(name);
        ffmpeg(&Tone::lasting(80_000, 1, 8_000), options, &path);
        let whole = std::fs::read(&path).unwrap();
        let read = |bytes| read_all(bytes, name, &SourceSettings::default()).unwrap();
        let sound = read(whole.clone());
        assert_eq!(sound.about.notes, [""; 0], "{name}");
        // All ones: no predictor that MS ADPCM has, and for AAC, elements that no file here has.
        for part in [0.25, 0.5, 0.75] {
            let mut bytes = whole.clone();
            let at = (bytes.len() as f64 * part) as usize;
            bytes[at..at + 1100].fill(0xFF);
            let damaged = read(bytes);
            let (got, all) = (damaged.about.frames as f64, sound.about.frames as f64);
            assert!(got > 0.8 * all, "{name} at {part}: {got} of {all}");
            let note = damaged.about.notes.join(" ");
            let at_s = place_s(&note);
            assert!((at_s - part * 10.0).abs() < 1.0, "{name} at {part}: {note}");
            if name != "tone.aac" {
                // The end is what it was, sample for sample. A bare stream of AAC has no times.
                let (a, b) = (sound.recording.samples(), damaged.recording.samples());
                assert_eq!(a.len(), b.len(), "{name}");
                assert!(
                    a[a.len() - 8000..] == b[b.len() - 8000..],
                    "{name} at {part}"
                );
            }
        }
    }
}

/// The first time in a note, in seconds.
fn place_s(note: &str) -> f64 {
    let is_time =
        |word: &&str| word.contains(':') && word.starts_with(|c: char| c.is_ascii_digit());
    let mut words = note.split([' ', ',']);
    let time = words.find(is_time).unwrap_or_else(|| panic!("{note}"));
    let (minutes, seconds) = time.split_once(':').unwrap();
    let seconds: f64 = seconds.trim_end_matches('.').parse().unwrap();
    minutes.parse::<f64>().unwrap() * 60.0 + seconds
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
