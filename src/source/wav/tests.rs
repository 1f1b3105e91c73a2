//! Headers as they should be, and as killed, streaming and careless recorders leave them.

use crate::settings::{Channel, SourceSettings};
use crate::signal::Levels;
use crate::source::{Opened, read_all};
use proptest::prelude::*;

/// A chunk, padded to even length.
fn chunk(id: &[u8; 4], body: &[u8]) -> Vec<u8> {
    let mut bytes = sized(id, body.len() as u32, body);
    bytes.extend(std::iter::repeat_n(0, body.len() % 2));
    bytes
}

/// A chunk whose header states the given size.
fn sized(id: &[u8; 4], size: u32, body: &[u8]) -> Vec<u8> {
    [&id[..], &size.to_le_bytes(), body].concat()
}

fn fmt(tag: u16, channels: u16, rate_hz: u32, frame_bytes: u16, bits: u16) -> Vec<u8> {
    let mut body = [tag, channels].map(u16::to_le_bytes).concat();
    body.extend(rate_hz.to_le_bytes());
    body.extend((rate_hz.wrapping_mul(frame_bytes.into())).to_le_bytes());
    body.extend([frame_bytes, bits].map(u16::to_le_bytes).concat());
    body
}

/// A file of the given form and chunks; the size of the form is that of a writer into a pipe.
fn file(form: &[u8; 4], chunks: &[Vec<u8>]) -> Vec<u8> {
    [&form[..], &[0xFF; 4], b"WAVE", &chunks.concat()].concat()
}

fn mono() -> Vec<u8> {
    chunk(b"fmt ", &fmt(1, 1, 48_000, 2, 16))
}

/// 16-bit samples of 0.5, -0.5, 0.25, -0.25.
const FOUR: [u8; 8] = [0, 0x40, 0, 0xC0, 0, 0x20, 0, 0xE0];
const FOUR_V: [f32; 4] = [0.5, -0.5, 0.25, -0.25];

fn read(bytes: Vec<u8>) -> Opened {
    read_all(bytes, "tide.wav", &SourceSettings::default()).unwrap()
}

/// What is read, with the one note that is expected, if any.
fn check(bytes: Vec<u8>, volts: &[f32], note: &str) {
    let opened = read(bytes);
    assert_eq!(opened.recording.samples(), volts);
    assert_eq!(opened.about.frames, volts.len() as u64);
    match (&opened.about.notes[..], note) {
        ([], "") => {}
        ([found], note) if !note.is_empty() && found.contains(note) => {}
        (found, _) => panic!("expected the note '{note}', found {found:?}"),
    }
}

fn refused(bytes: Vec<u8>, settings: &SourceSettings, says: &str) {
    let error = read_all(bytes, "tide.wav", settings)
        .unwrap_err()
        .to_string();
    assert!(error.contains(says) && error.ends_with('.'), "{error}");
    assert!(error.starts_with("'tide.wav'"), "{error}");
}

#[test]
fn sizes_that_killed_and_streaming_recorders_leave() {
    let unknown = "does not say how long";
    let (data, volts) = (FOUR.repeat(3), FOUR_V.repeat(3));
    for (size, note) in [
        (24, ""),
        (0, "counts 0 samples a channel"),
        (8, "counts 4 samples a channel"),
        (30, "promises 15 samples a channel, it holds 12"),
        (0x7FFF_F000, unknown),
        (0xFFFF_FFFF, unknown),
    ] {
        let mut bytes = file(b"RIFF", &[mono(), sized(b"data", size, &data)]);
        check(bytes.clone(), &volts, note);
        bytes[4..8].fill(0);
        check(bytes, &volts, note);
    }
}

#[test]
fn data_cut_within_a_sample() {
    let cut = sized(b"data", 8, &FOUR[..5]);
    check(file(b"RIFF", &[mono(), cut]), &FOUR_V[..2], "it holds 2");
}

#[test]
fn chunks_of_any_length_around_the_samples() {
    let data = chunk(b"data", &FOUR);
    for before in [&b""[..], b"odd", b"even"] {
        let list = chunk(b"LIST", before);
        let behind = chunk(b"odd!", b"abc");
        check(
            file(
                b"RIFF",
                &[list.clone(), mono(), list.clone(), data.clone(), behind],
            ),
            &FOUR_V,
            "",
        );
        check(file(b"RIFF", &[data.clone(), list, mono()]), &FOUR_V, "");
    }
    let unpadded = sized(b"LIST", 3, b"odd");
    check(
        file(b"RIFF", &[mono(), unpadded, data.clone()]),
        &FOUR_V,
        "",
    );
    let cut_list = sized(b"LIST", 400, b"INFO of the Saltmere log");
    check(file(b"RIFF", &[mono(), data, cut_list]), &FOUR_V, "");
}

/// EBU Tech 3306: the size of `data` is 0xFFFFFFFF and stands in `ds64`, behind that of the form.
#[test]
fn rf64_takes_the_size_from_ds64() {
    let mut sizes = vec![0; 28];
    sizes[8] = 8;
    let list = chunk(b"LIST", b"even");
    for form in [b"RF64", b"BW64"] {
        let data = sized(b"data", 0xFFFF_FFFF, &FOUR);
        check(
            file(form, &[chunk(b"ds64", &sizes), mono(), data, list.clone()]),
            &FOUR_V,
            "",
        );
    }
}

/// WAVEFORMATEXTENSIBLE: the sub-format begins with the tag; valid bits stand at the top of the
/// container.
#[test]
fn extensible_24_bits_in_32() {
    let mut body = fmt(0xFFFE, 1, 96_000, 4, 32);
    // Bytes that follow, valid bits, speaker places (two words), sub-format.
    body.extend([22u16, 24, 4, 0].map(u16::to_le_bytes).concat());
    body.extend([1, 0, 0, 0, 0, 0, 0x10, 0]);
    body.extend([0x80, 0, 0, 0xAA, 0, 0x38, 0x9B, 0x71]);
    let data = chunk(b"data", &[0, 0, 0, 0x40, 0, 0, 0, 0xC0]);
    let opened = read(file(b"RIFF", &[chunk(b"fmt ", &body), data]));
    assert_eq!(*opened.recording.samples(), [0.5, -0.5]);
    assert_eq!(opened.about.format, "WAV, 32-bit integer, 24 bits used");
    assert_eq!((opened.about.rate_hz, opened.about.channels), (96_000, 1));
}

#[test]
fn a_frame_size_that_does_not_fit_is_put_right() {
    let with = |frame_bytes| {
        let fmt = chunk(b"fmt ", &fmt(1, 1, 48_000, frame_bytes, 16));
        file(b"RIFF", &[fmt, chunk(b"data", &FOUR)])
    };
    for frame_bytes in [0, 1, 7] {
        check(with(frame_bytes), &FOUR_V, "does not fit");
    }
    // 16 bits in a container of three bytes are unusual, but fit.
    let three = read(with(3));
    assert_eq!(three.about.format, "WAV, 24-bit integer, 16 bits used");
    assert_eq!(three.about.frames, 2);
}

#[test]
fn full_scale_and_channel_are_those_of_the_settings() {
    let fmt = chunk(b"fmt ", &fmt(1, 2, 8_000, 4, 16));
    let bytes = file(b"RIFF", &[fmt, chunk(b"data", &FOUR)]);
    for (channel, volts) in [
        (Channel::One(1), [1.0, 0.5]),
        (Channel::One(2), [-1.0, -0.5]),
        (Channel::Sum, [0.0, 0.0]),
        (Channel::Difference, [1.0, 0.5]),
    ] {
        let settings = SourceSettings {
            channel,
            full_scale_v: 2.0,
        };
        let opened = read_all(bytes.clone(), "tide.wav", &settings).unwrap();
        assert_eq!(*opened.recording.samples(), volts, "{channel:?}");
    }
    let third = SourceSettings {
        channel: Channel::One(3),
        ..Default::default()
    };
    refused(bytes, &third, "has 2 channels, no channel 3");
}

#[test]
fn samples_that_are_not_numbers_are_noted() {
    let fmt = chunk(b"fmt ", &fmt(3, 1, 48_000, 4, 32));
    let values = [0.5, f32::NAN, f32::INFINITY]
        .map(f32::to_le_bytes)
        .concat();
    check(
        file(b"RIFF", &[fmt, chunk(b"data", &values)]),
        &[0.5, 0.0, 1e6],
        "to a million volts: 2 samples.",
    );
}

#[test]
fn what_cannot_be_read_gets_a_sentence() {
    let plain = SourceSettings::default();
    let data = || chunk(b"data", &FOUR);
    for (chunks, says) in [
        (vec![], "no description of its format"),
        (vec![data()], "no description of its format"),
        (vec![mono()], "its samples are missing"),
        (vec![chunk(b"fmt ", &[1, 0]), data()], "is cut short"),
        (vec![mono(), chunk(b"data", &[])], "holds no samples"),
        (
            vec![mono(), chunk(b"data", &[]), chunk(b"LIST", b"INFOtide")],
            "holds no samples",
        ),
        (
            vec![chunk(b"fmt ", &fmt(1, 1, 0, 2, 16)), data()],
            "sample rate of 0",
        ),
        (
            vec![chunk(b"fmt ", &fmt(1, 1, 7, 2, 16)), data()],
            "sample rate of 7 Hz",
        ),
        (
            vec![chunk(b"fmt ", &fmt(1, 0, 48_000, 2, 16)), data()],
            "no channels",
        ),
        (
            vec![chunk(b"fmt ", &fmt(1, 1, 48_000, 8, 64)), data()],
            "64-bit integers",
        ),
        (
            vec![chunk(b"fmt ", &fmt(0x0161, 1, 48_000, 2, 16)), data()],
            "0x0161",
        ),
    ] {
        refused(file(b"RIFF", &chunks), &plain, says);
    }
    refused(vec![], &plain, "is empty");
    refused(
        b"Saltmere tide log (invented)".to_vec(),
        &plain,
        "not an audio file",
    );
}

proptest! {
    #![proptest_config(ProptestConfig { failure_persistence: None, ..Default::default() })]

    /// Every header, however wrong, ends in samples or in a sentence.
    #[test]
    fn any_chunks_are_read_or_refused(
        tag in prop_oneof![Just(1u16), Just(3), Just(6), Just(7), Just(0xFFFE), any::<u16>()],
        channels in prop_oneof![0..4u16, any::<u16>()],
        rate_hz in prop_oneof![Just(48_000u32), any::<u32>()],
        (frame_bytes, bits) in (any::<u16>(), prop_oneof![0..70u16, any::<u16>()]),
        (fmt_size, data_size) in (any::<u32>(), any::<u32>()),
        body in proptest::collection::vec(any::<u8>(), 0..200),
        exact in any::<bool>(),
    ) {
        let fmt = fmt(tag, channels, rate_hz, frame_bytes, bits);
        let fmt_size = if exact { fmt.len() as u32 } else { fmt_size };
        let chunks = [sized(b"fmt ", fmt_size, &fmt), sized(b"data", data_size, &body)];
        for channel in [Channel::One(1), Channel::Sum, Channel::Difference] {
            let settings = SourceSettings { channel, full_scale_v: 1.0 };
            match read_all(file(b"RIFF", &chunks), "tide.wav", &settings) {
                Ok(opened) => prop_assert!(opened.about.frames > 0),
                Err(e) => prop_assert!(e.to_string().ends_with('.')),
            }
        }
    }
}

/// Single precision rounds another way at each. The greatest positive code of A-law is 0xAA, of
/// mu-law 0x80 (ITU-T G.711; the codes are from memory).
#[test]
fn clipping_is_seen_at_every_full_scale() {
    for (tag, top) in [(1, 255), (6, 0xAA), (7, 0x80)] {
        let fmt = chunk(b"fmt ", &fmt(tag, 1, 8000, 1, 8));
        let bytes = file(b"RIFF", &[fmt, chunk(b"data", &[top; 6])]);
        for full_scale_mv in 1..2000 {
            let settings = SourceSettings {
                full_scale_v: f64::from(full_scale_mv) / 1e3,
                ..SourceSettings::default()
            };
            let opened = read_all(bytes.clone(), "tide.wav", &settings).unwrap();
            let levels = Levels::of_recording(&opened.recording, opened.about.clip_v);
            assert_eq!(levels.clipped, 6, "format {tag} at {full_scale_mv} mV");
        }
    }
}
