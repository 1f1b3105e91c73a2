//! Everything but plain WAV, through symphonia.

mod damage;
mod decoder;
mod lead_in;
mod tape;

use super::error::Fault;
use super::kind::Kind;
use super::outlet::Outlet;
use super::reason::reason;
use super::{Found, check_rate};
use crate::settings::SourceSettings;
use decoder::Decoder;
use std::io::ErrorKind;
use std::panic::{AssertUnwindSafe, catch_unwind, resume_unwind};
use symphonia::core::codecs::CodecInfo;
use symphonia::core::errors::Error;
use symphonia::core::formats::probe::Hint;
use symphonia::core::formats::{FormatOptions, TrackType};
use symphonia::core::io::{MediaSource, MediaSourceStream, ReadOnlySource};
use symphonia::core::meta::MetadataOptions;
use tape::Tape;

/// Reads a file of the given kind from its beginning.
pub(super) fn read(
    mut source: impl MediaSource + 'static,
    kind: Kind,
    settings: &SourceSettings,
    outlet: &mut Outlet<'_>,
) -> Result<Found, Fault> {
    let cut = kind == Kind::Aiff && is_cut(&mut source);
    let length = source.byte_len().unwrap_or(0);
    let edited_s = (kind == Kind::M4a)
        .then(|| lead_in::by_edit_list(&mut source, length))
        .flatten();
    source.rewind().map_err(|e| Fault::Unreadable(reason(&e)))?;
    // Where it can, the AIFF reader first looks at what follows the samples, and gives up where
    // the file ends before that.
    let source: Box<dyn MediaSource> = match cut {
        true => Box::new(ReadOnlySource::new(source)),
        false => Box::new(source),
    };
    let stream = MediaSourceStream::new(source, Default::default());
    // The decoders are not ours: what stops one of them must not stop the program. What stops
    // those who take the samples is none of theirs.
    catch_unwind(AssertUnwindSafe(|| {
        decode(stream, kind, edited_s, settings, outlet)
    }))
    .unwrap_or_else(|panic| match outlet.is_giving() {
        true => resume_unwind(panic),
        false => Err(Fault::Damaged("its decoder gave up on it".to_owned())),
    })
}

/// Whether an IFF file is shorter than its form, whose size stands in its bytes 4 to 8.
fn is_cut(source: &mut impl MediaSource) -> bool {
    let mut head = [0; 8];
    let read = source.rewind().and_then(|()| source.read_exact(&mut head));
    let [_, _, _, _, size @ ..] = head;
    let form_bytes = 8 + u64::from(u32::from_be_bytes(size));
    read.is_ok() && source.byte_len().is_some_and(|length| length < form_bytes)
}

fn decode(
    stream: MediaSourceStream<'static>,
    kind: Kind,
    edited_s: Option<f64>,
    settings: &SourceSettings,
    outlet: &mut Outlet<'_>,
) -> Result<Found, Fault> {
    let mut hint = Hint::new();
    hint.with_extension(&kind.name().to_ascii_lowercase());
    let options = (FormatOptions::default(), MetadataOptions::default());
    let mut reader = symphonia::default::get_probe()
        .probe(&hint, stream, options.0, options.1)
        .map_err(|e| fault(e, kind))?;
    let no_audio = || Fault::Encoding(format!("{}: no sound track", kind.name()));
    let track = reader
        .default_track(TrackType::Audio)
        .ok_or_else(no_audio)?
        .clone();
    let parameters = track
        .codec_params
        .as_ref()
        .and_then(|p| p.audio())
        .ok_or_else(no_audio)?;
    if let Some(rate_hz) = parameters.sample_rate {
        check_rate(rate_hz)?;
    }
    let tagged_s = || match (kind, parameters.sample_rate) {
        (Kind::M4a, Some(rate_hz)) => lead_in::by_tag(reader.as_mut(), rate_hz),
        _ => None,
    };
    let lead_in_s = edited_s.or_else(tagged_s).unwrap_or(0.0);
    let mut decoder = Decoder::new(parameters, kind)?;
    let format = name(kind, decoder.info());
    let mut tape = Tape::new(&track, kind, lead_in_s, settings, outlet);
    let ending = tape.run(reader.as_mut(), &mut decoder)?;
    tape.finish(format, ending)
}

/// "Ogg, Vorbis", but "FLAC" where container and codec belong together.
fn name(kind: Kind, codec: &CodecInfo) -> String {
    match kind {
        Kind::Flac | Kind::Mp3 | Kind::Aac => kind.name().to_owned(),
        _ => format!("{}, {}", kind.name(), codec_name(codec)),
    }
}

fn codec_name(codec: &CodecInfo) -> String {
    let name = match codec.short_name {
        "aac" => "AAC",
        "adpcm_ima_qt" | "adpcm_ima_wav" => "IMA ADPCM",
        "adpcm_ms" => "MS ADPCM",
        "alac" => "ALAC",
        "pcm_alaw" => "A-law",
        "pcm_mulaw" => "mu-law",
        other => {
            // "pcm_s16be" and its like.
            let kind = match other.get(..5) {
                Some("pcm_s" | "pcm_u") => "integer",
                Some("pcm_f") => "float",
                _ => return codec.long_name.to_owned(),
            };
            let bits: String = other.chars().filter(char::is_ascii_digit).collect();
            return format!("{bits}-bit {kind}");
        }
    };
    name.to_owned()
}

fn fault(error: Error, kind: Kind) -> Fault {
    match error {
        Error::Unsupported(_) => {
            Fault::Encoding(format!("{} of a kind not known here", kind.name()))
        }
        Error::IoError(e) if e.kind() == ErrorKind::UnexpectedEof => {
            Fault::Damaged("it ends before its first sample".to_owned())
        }
        Error::IoError(e) => Fault::Unreadable(reason(&e)),
        _ => Fault::Damaged("what stands before its samples makes no sense".to_owned()),
    }
}
