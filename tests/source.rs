//! The audio reader against sox and ffmpeg: both write the files, and what they read back from
//! them is what must be read here.

mod common;

use common::compressed_files;
use common::tools::{Tone, ffmpeg, ffmpeg_pipes, ffmpeg_reads, sox, sox_pipes, sox_reads};
use pulsewright::export;
use pulsewright::settings::{Channel, SourceSettings};
use pulsewright::signal::{Levels, Recording};
use pulsewright::source::{Opened, open, read_all};
use std::ops::ControlFlow;
use std::path::Path;

fn channel(path: &Path, channel: Channel) -> Opened {
    let settings = SourceSettings {
        channel,
        full_scale_v: 1.0,
    };
    open(path, &settings, &mut |_| ControlFlow::Continue(())).unwrap()
}

/// A program that writes and reads audio files.
#[derive(Clone, Copy)]
enum Tool {
    Sox,
    Ffmpeg,
}
use Tool::*;

impl Tool {
    fn write(self, tone: &Tone, options: &str, path: &Path) {
        match self {
            Sox => sox(tone, options, path),
            Ffmpeg => ffmpeg(tone, options, path),
        }
    }

    fn read(self, path: &Path) -> Vec<f32> {
        match self {
            Sox => sox_reads(path),
            Ffmpeg => ffmpeg_reads(path),
        }
    }
}

struct Case {
    writer: Tool,
    /// The other tool, where it reads the encoding.
    reader: Tool,
    /// File name, whose extension tells the tool the container.
    file: &'static str,
    /// Options of the tool for the encoding.
    options: &'static str,
    channels: u32,
    rate_hz: u32,
    /// What it must be called.
    format: &'static str,
    /// Greatest difference from what the reader reads, of full scale 1.
    from_tool: f32,
    /// Root mean square of the difference from what was given to the writer.
    from_tone: f32,
}

const STEP_8: f32 = 1.0 / 128.0;
const STEP_16: f32 = 1.0 / 32_768.0;
const STEP_24: f32 = 1.0 / 8_388_608.0;
/// Rounding of a 32-bit float near full scale.
const FLOAT: f32 = f32::EPSILON;

// The reader is the other program, so that three agree; but sox reads no M4A and no RF64, leaves
// in what an MP3 encoder puts before the sound, and rounds IMA ADPCM otherwise.
//
// Integers must be what the reader reads, to the last bit; sox takes floats through 32-bit
// integers. Transform codecs leave rounding to the decoder: -80 dB is far below any squarer. The
// rounding of a uniform quantizer is 0.29 steps in the root mean square. How far lossy codecs
// stray from the tone is their affair; the bounds only show that it is the tone.
#[rustfmt::skip]
const CASES: &[Case] = &[
    case(Sox, Ffmpeg, "u8.wav", "-b 8 -e unsigned", 1, 8_000, "WAV, 8-bit integer", [0.0, 0.3 * STEP_8]),
    case(Sox, Ffmpeg, "s16.wav", "-b 16", 1, 11_025, "WAV, 16-bit integer", [0.0, 0.3 * STEP_16]),
    case(Sox, Ffmpeg, "s24.wav", "-b 24", 2, 44_100, "WAV, 24-bit integer", [0.0, 0.5 * STEP_24]),
    case(Sox, Ffmpeg, "s32.wav", "-b 32 -e signed", 1, 96_000, "WAV, 32-bit integer", [0.0, FLOAT]),
    case(Sox, Ffmpeg, "f32.wav", "-b 32 -e float", 2, 48_000, "WAV, 32-bit float", [0.0, FLOAT]),
    case(Sox, Ffmpeg, "f64.wav", "-b 64 -e float", 1, 48_000, "WAV, 64-bit float", [0.0, FLOAT]),
    case(Sox, Ffmpeg, "a-law.wav", "-e a-law", 1, 8_000, "WAV, A-law", [0.0, 0.01]),
    case(Sox, Ffmpeg, "mu-law.wav", "-e mu-law", 2, 8_000, "WAV, mu-law", [0.0, 0.01]),
    case(Ffmpeg, Ffmpeg, "rf64.wav", "-c:a pcm_s16le -rf64 always", 1, 48_000, "WAV, 16-bit integer", [0.0, 0.3 * STEP_16]),
    case(Ffmpeg, Sox, "extensible.wav", "-c:a pcm_s24le", 6, 48_000, "WAV, 24-bit integer", [0.0, STEP_24]),
    case(Ffmpeg, Sox, "high.wav", "-c:a pcm_s16le", 1, 192_000, "WAV, 16-bit integer", [0.0, 0.3 * STEP_16]),
    case(Ffmpeg, Sox, "highest.wav", "-c:a pcm_f32le", 1, 384_000, "WAV, 32-bit float", [FLOAT, 0.0]),
    case(Ffmpeg, Sox, "f64.wav", "-c:a pcm_f64le", 2, 22_050, "WAV, 64-bit float", [FLOAT, 0.0]),
    case(Ffmpeg, Sox, "a-law.wav", "-c:a pcm_alaw", 2, 16_000, "WAV, A-law", [0.0, 0.01]),
    case(Ffmpeg, Sox, "mu-law.wav", "-c:a pcm_mulaw", 1, 16_000, "WAV, mu-law", [0.0, 0.01]),
    case(Sox, Ffmpeg, "s16.aiff", "-b 16", 2, 44_100, "AIFF, 16-bit integer", [0.0, 0.3 * STEP_16]),
    case(Ffmpeg, Sox, "s24.aiff", "-c:a pcm_s24be", 1, 48_000, "AIFF, 24-bit integer", [0.0, STEP_24]),
    case(Sox, Ffmpeg, "s16.flac", "-b 16", 1, 48_000, "FLAC", [0.0, 0.3 * STEP_16]),
    case(Sox, Ffmpeg, "s24.flac", "-b 24", 2, 96_000, "FLAC", [0.0, 0.5 * STEP_24]),
    case(Ffmpeg, Ffmpeg, "alac.m4a", "-c:a alac", 2, 44_100, "M4A, ALAC", [0.0, STEP_24]),
    case(Sox, Ffmpeg, "ms-adpcm.wav", "-e ms-adpcm", 1, 22_050, "WAV, MS ADPCM", [0.0, 0.03]),
    case(Ffmpeg, Sox, "ms-adpcm.wav", "-c:a adpcm_ms", 2, 44_100, "WAV, MS ADPCM", [0.0, 0.03]),
    case(Ffmpeg, Ffmpeg, "ima-adpcm.wav", "-c:a adpcm_ima_wav", 1, 44_100, "WAV, IMA ADPCM", [0.0, 0.03]),
    case(Ffmpeg, Ffmpeg, "tone.mp3", "-c:a libmp3lame -b:a 128k", 1, 44_100, "MP3", [1e-4, 0.05]),
    case(Ffmpeg, Ffmpeg, "tone.mp3", "-c:a libmp3lame -b:a 192k", 2, 48_000, "MP3", [1e-4, 0.05]),
    case(Ffmpeg, Sox, "tone.ogg", "-c:a libvorbis -q:a 6", 1, 48_000, "Ogg, Vorbis", [1e-4, 0.02]),
    case(Sox, Ffmpeg, "tone.ogg", "-C 6", 2, 44_100, "Ogg, Vorbis", [1e-4, 0.02]),
];

#[allow(clippy::too_many_arguments)] // One row of a table, in the order of its columns.
const fn case(
    writer: Tool,
    reader: Tool,
    file: &'static str,
    options: &'static str,
    channels: u32,
    rate_hz: u32,
    format: &'static str,
    [from_tool, from_tone]: [f32; 2],
) -> Case {
    Case {
        writer,
        reader,
        file,
        options,
        channels,
        rate_hz,
        format,
        from_tool,
        from_tone,
    }
}

fn greatest_difference(a: &[f32], b: &[f32]) -> f32 {
    let differences = a.iter().zip(b).map(|(a, b)| (a - b).abs());
    differences.fold(0.0, f32::max)
}

fn rms_difference(a: &[f32], b: &[f32]) -> f32 {
    let squares = a.iter().zip(b).map(|(a, b)| f64::from(a - b).powi(2));
    (squares.sum::<f64>() / a.len() as f64).sqrt() as f32
}

#[test]
fn every_encoding_reads_as_its_writer_reads_it() {
    let folder = tempfile::tempdir().unwrap();
    let mut failures = Vec::new();
    for case in CASES {
        let tone = Tone::new(case.channels, case.rate_hz);
        let path = folder.path().join(case.file);
        case.writer.write(&tone, case.options, &path);
        let read_back = case.reader.read(&path);
        let channels = case.channels as usize;
        for n in 0..channels {
            let opened = channel(&path, Channel::One(n as u32 + 1));
            let (about, samples) = (&opened.about, opened.recording.samples());
            let tool: Vec<f32> = read_back
                .iter()
                .skip(n)
                .step_by(channels)
                .copied()
                .collect();
            let got = (
                &about.format[..],
                about.channels,
                about.rate_hz,
                samples.len(),
            );
            let from_tool = greatest_difference(&samples, &tool);
            let from_tone = rms_difference(&samples, &tone.channel(n));
            if got != (case.format, case.channels, case.rate_hz, tool.len())
                || !about.notes.is_empty()
                || from_tool > case.from_tool
                || from_tone > case.from_tone
            {
                failures.push(format!(
                    "{} channel {}: {from_tool} from the tool, {from_tone} from the tone, \
                     {} samples of {}, {about:?}",
                    case.file,
                    n + 1,
                    samples.len(),
                    tool.len()
                ));
            }
        }
    }
    assert!(failures.is_empty(), "{}", failures.join("\n"));
}

/// An AAC encoder puts 1024 samples or more before the sound (ISO/IEC 14496-3, one frame of
/// overlap). ffmpeg leaves out as many as the edit list says.
#[test]
fn aac_begins_where_ffmpeg_begins_by_its_edit_list() {
    let folder = tempfile::tempdir().unwrap();
    for rate_hz in [8_000, 44_100, 48_000] {
        let path = folder.path().join("tone.m4a");
        let tone = Tone::new(1, rate_hz);
        ffmpeg(&tone, "-c:a aac -b:a 128k", &path);
        let opened = channel(&path, Channel::One(1));
        let (samples, tool) = (opened.recording.samples(), ffmpeg_reads(&path));
        assert_eq!(opened.about.format, "M4A, AAC");
        assert_eq!(opened.about.notes, [""; 0]);
        assert_eq!(samples.len(), tool.len(), "{rate_hz} Hz");
        // The decoders differ by the noise that AAC has them put in for what it does not store.
        assert!(greatest_difference(&samples, &tool) < 1e-3);
        // The sound itself lies where it lay: a shift by a quarter of a cycle would give more.
        assert!(rms_difference(&samples[..2000], &tone.channel(0)[..2000]) < 0.1);
    }
}

/// The same by the tag that encoders write where there is no edit list.
#[test]
fn aac_begins_where_ffmpeg_begins_by_its_tag() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("tone.m4a");
    ffmpeg(&Tone::new(1, 44_100), "-c:a aac -b:a 128k", &path);
    let mut bytes = std::fs::read(&path).unwrap();
    let list = place(&bytes, b"edts");
    bytes[list..list + 4].copy_from_slice(b"free");
    std::fs::write(&path, tagged(&bytes, 2112)).unwrap();
    let opened = channel(&path, Channel::One(1));
    let (samples, tool) = (opened.recording.samples(), ffmpeg_reads(&path));
    assert_eq!(samples.len(), tool.len());
    assert!(greatest_difference(&samples, &tool) < 1e-3);
}

/// Where these four bytes stand first.
fn place(bytes: &[u8], kind: &[u8; 4]) -> usize {
    bytes.windows(4).position(|four| four == kind).unwrap()
}

/// An M4A file whose index stands at its end, with a tag iTunSMPB that says how many samples were
/// put before the sound (its form: common practice, no source).
fn tagged(file: &[u8], before: u32) -> Vec<u8> {
    let part = |kind: &[u8; 4], body: &[u8]| {
        let size = (8 + body.len() as u32).to_be_bytes();
        [&size[..], kind, body].concat()
    };
    let value = format!(" 00000000 {before:08X} 00000000 0000000000005622");
    let named = [&[0; 4], &b"iTunSMPB"[..]].concat();
    let meaning = [&[0; 4], &b"com.apple.iTunes"[..]].concat();
    let data = [&[0, 0, 0, 1, 0, 0, 0, 0], value.as_bytes()].concat();
    let parts = [(b"mean", meaning), (b"name", named), (b"data", data)];
    let tag = part(
        b"----",
        &parts.map(|(kind, body)| part(kind, &body)).concat(),
    );
    let mut file = file.to_vec();
    for kind in [b"moov", b"udta", b"meta", b"ilst"] {
        let at = place(&file, kind) - 4;
        let size = u32::from_be_bytes(file[at..at + 4].try_into().unwrap());
        let size = size + tag.len() as u32;
        file[at..at + 4].copy_from_slice(&size.to_be_bytes());
    }
    let at = place(&file, b"ilst") + 4;
    file.splice(at..at, tag);
    file
}

/// MP3 and Vorbis are as long as what ffmpeg was given, also where that fills no block; a bare MP3,
/// which does not say how long it is, as ffmpeg reads it. (ffmpeg 5.1 reads some Vorbis files a
/// hundred samples longer or shorter than what it was given.)
#[test]
fn mp3_and_vorbis_are_as_long_as_their_sound() {
    let folder = tempfile::tempdir().unwrap();
    for (file, options) in [
        ("tone.mp3", "-c:a libmp3lame -b:a 128k"),
        ("bare.mp3", "-c:a libmp3lame -b:a 128k -write_xing 0"),
        ("tone.ogg", "-c:a libvorbis -q:a 6"),
    ] {
        for (frames, rate_hz) in [(20_377, 44_100), (10_001, 8_000), (48_754, 48_000)] {
            let path = folder.path().join(file);
            ffmpeg(&Tone::lasting(frames, 1, rate_hz), options, &path);
            let opened = channel(&path, Channel::One(1));
            let (samples, tool) = (opened.recording.samples(), ffmpeg_reads(&path));
            let length = match file {
                "bare.mp3" => tool.len(),
                _ => frames as usize,
            };
            assert_eq!(samples.len(), length, "{file}, {rate_hz} Hz");
            assert!(greatest_difference(&samples, &tool) < 1e-3, "{file}");
        }
    }
}

/// What sox and ffmpeg write into a pipe, where they cannot come back to fill in the sizes.
#[test]
fn piped_files_are_read_to_their_end() {
    let folder = tempfile::tempdir().unwrap();
    let tone = Tone::new(1, 48_000);
    let from_sox = sox_pipes(&tone, "-b 16 -t wav", folder.path());
    let from_ffmpeg = ffmpeg_pipes(&tone, "-c:a pcm_s16le -f wav", folder.path());
    let adpcm = ffmpeg_pipes(&tone, "-c:a adpcm_ms -f wav", folder.path());
    for (bytes, difference) in [(from_sox, STEP_16), (from_ffmpeg, STEP_16), (adpcm, 0.5)] {
        let opened = read_all(bytes, "standard input", &SourceSettings::default()).unwrap();
        assert_eq!(opened.about.name, "standard input");
        let samples = opened.recording.samples();
        assert!(samples.len() >= 24_000, "{} samples", samples.len());
        assert!(greatest_difference(&samples, &tone.channel(0)) <= difference);
    }
}

#[test]
fn the_channel_choice_is_that_of_the_settings_in_every_format() {
    let folder = tempfile::tempdir().unwrap();
    let tone = Tone::new(2, 48_000);
    let (left, right) = (tone.channel(0), tone.channel(1));
    let mixed = |mix: fn(f32, f32) -> f32| -> Vec<f32> {
        left.iter().zip(&right).map(|(l, r)| mix(*l, *r)).collect()
    };
    for file in ["tone.wav", "tone.flac"] {
        let path = folder.path().join(file);
        sox(&tone, "-b 24", &path);
        for (choice, expected) in [
            (Channel::One(2), right.clone()),
            (Channel::Sum, mixed(|l, r| (l + r) / 2.0)),
            (Channel::Difference, mixed(|l, r| (l - r) / 2.0)),
        ] {
            let opened = channel(&path, choice);
            let difference = greatest_difference(&opened.recording.samples(), &expected);
            assert!(
                difference <= STEP_24 + FLOAT,
                "{file}: {choice:?}: {difference}"
            );
        }
    }
}

/// The writer against sox: the file says what the recording holds, in 16-bit steps.
#[test]
fn what_is_exported_reads_in_sox() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("export.wav");
    let tone = Tone::new(1, 22_050).channel(0);
    let recording = Recording::new(tone.iter().map(|s| s * 4.0).collect(), 22_050);
    std::fs::write(&path, export::wav(&recording, 4.0).unwrap()).unwrap();
    let read = sox_reads(&path);
    assert_eq!(read.len(), tone.len());
    assert!(greatest_difference(&read, &tone) <= STEP_16 / 2.0 + FLOAT);
}

#[test]
fn what_is_no_recording_gets_a_sentence() {
    let folder = tempfile::tempdir().unwrap();
    let file = |name: &str, bytes: &[u8]| {
        let path = folder.path().join(name);
        std::fs::write(&path, bytes).unwrap();
        path
    };
    for (path, sentence) in [
        (
            folder.path().join("gone.wav"),
            "There is no file 'gone.wav'; check its name and folder.",
        ),
        (
            file("empty.wav", b""),
            "'empty.wav' is empty; record or copy it again.",
        ),
        (
            file(
                "tide.txt",
                b"The tide log of the invented Saltmere harbour station.",
            ),
            "'tide.txt' is not an audio file; give a WAV, FLAC, MP3, Ogg Vorbis, AIFF or M4A file.",
        ),
    ] {
        let error = open(&path, &SourceSettings::default(), &mut |_| {
            ControlFlow::Continue(())
        })
        .unwrap_err();
        assert_eq!(error.to_string(), sentence);
    }
    let error = open(folder.path(), &SourceSettings::default(), &mut |_| {
        ControlFlow::Continue(())
    })
    .unwrap_err();
    assert!(
        error
            .to_string()
            .ends_with("is a folder; name an audio file in it."),
        "{error}"
    );
    for (name, bytes) in compressed_files() {
        let third = SourceSettings {
            channel: Channel::One(3),
            full_scale_v: 1.0,
        };
        let error = read_all(bytes.clone(), name, &third)
            .unwrap_err()
            .to_string();
        assert_eq!(
            error,
            format!("'{name}' has one channel, no channel 3; set the source channel to 1.")
        );
    }
}

#[test]
fn progress_runs_to_the_end() {
    let folder = tempfile::tempdir().unwrap();
    for file in ["tone.wav", "tone.flac", "tone.mp3"] {
        let path = folder.path().join(file);
        ffmpeg(&Tone::new(1, 192_000 / 4), "-ac 1", &path);
        let mut steps = vec![0.0];
        open(&path, &SourceSettings::default(), &mut |now| {
            steps.push(now.part.unwrap());
            ControlFlow::Continue(())
        })
        .unwrap();
        assert!(steps.is_sorted(), "{file}: {steps:?}");
        assert_eq!(steps.last(), Some(&1.0), "{file}");
    }
}

#[test]
fn reading_ends_where_no_more_is_wanted() {
    let folder = tempfile::tempdir().unwrap();
    for file in ["tone.wav", "tone.flac"] {
        let path = folder.path().join(file);
        ffmpeg(&Tone::new(1, 192_000), "-ac 1", &path);
        let mut blocks = 0;
        let error = open(&path, &SourceSettings::default(), &mut |_| {
            blocks += 1;
            ControlFlow::Break(())
        });
        let says = format!("'{file}' was not read to its end.");
        assert_eq!((blocks, error.unwrap_err().to_string()), (1, says));
    }
}

#[test]
fn what_stops_the_taker_is_not_put_on_the_decoder() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("tone.flac");
    ffmpeg(&Tone::new(1, 48_000), "-ac 1", &path);
    let stopped = std::panic::catch_unwind(|| {
        open(&path, &SourceSettings::default(), &mut |_| {
            panic!("of its own")
        })
    });
    let why = stopped.unwrap_err();
    assert_eq!(why.downcast_ref::<&str>(), Some(&"of its own"));
}

/// A square wave at full scale is clipped at each of its flat tops and floors, whatever encoding
/// holds it; a sine of half the level is not.
#[test]
fn clipping_shows_in_every_encoding() {
    let folder = tempfile::tempdir().unwrap();
    for encoding in [
        "pcm_u8",
        "pcm_s16le",
        "pcm_s24le",
        "pcm_f32le",
        "pcm_alaw",
        "pcm_mulaw",
    ] {
        for (level, clipped) in [(1.0, 8000), (0.5, 0)] {
            let samples: Vec<f32> = (0..8000)
                .map(|i| if i / 10 % 2 == 0 { level } else { -level })
                .collect();
            let path = folder.path().join(format!("{encoding}-{clipped}.wav"));
            ffmpeg(
                &Tone::mono(samples, 8000),
                &format!("-c:a {encoding}"),
                &path,
            );
            let opened = channel(&path, Channel::One(1));
            let levels = Levels::of_recording(&opened.recording, opened.about.clip_v);
            assert_eq!(levels.clipped, clipped, "{encoding} at {level}");
        }
    }
}
