//! Everything but plain WAV, through symphonia.

use super::error::Fault;
use super::kind::Kind;
use super::mix::Mix;
use super::outlet::{Coming, Outlet};
use super::{Found, check_rate};
use crate::settings::SourceSettings;
use crate::units::counted;
use std::io::ErrorKind;
use std::panic::{AssertUnwindSafe, catch_unwind, resume_unwind};
use symphonia::core::audio::GenericAudioBufferRef;
use symphonia::core::codecs::CodecInfo;
use symphonia::core::codecs::audio::{AudioDecoder, AudioDecoderOptions};
use symphonia::core::errors::Error;
use symphonia::core::formats::probe::Hint;
use symphonia::core::formats::{FormatOptions, FormatReader, Track, TrackType};
use symphonia::core::io::{MediaSource, MediaSourceStream, ReadOnlySource};
use symphonia::core::meta::MetadataOptions;
use symphonia::core::packet::Packet;

/// Frames of silence put in for lost packets, in all: a damaged time stamp must not fill the
/// memory.
const MOST_SILENCE: usize = 1 << 24;
/// Shortest loss that time stamps show, in seconds: some containers keep time in coarse steps.
const LEAST_LOSS_S: f64 = 5e-3;
/// Frames to make room for at once; a damaged header may promise any count.
const MOST_RESERVED: u64 = 1 << 28;

/// Reads a file of the given kind from its beginning.
pub(super) fn read(
    mut source: impl MediaSource + 'static,
    kind: Kind,
    settings: &SourceSettings,
    outlet: &mut Outlet<'_>,
) -> Result<Found, Fault> {
    let cut = kind == Kind::Aiff && is_cut(&mut source);
    source
        .rewind()
        .map_err(|e| Fault::Unreadable(e.to_string()))?;
    // Where it can, the AIFF reader first looks at what follows the samples, and gives up where
    // the file ends before that.
    let source: Box<dyn MediaSource> = match cut {
        true => Box::new(ReadOnlySource::new(source)),
        false => Box::new(source),
    };
    let stream = MediaSourceStream::new(source, Default::default());
    // The decoders are not ours: what stops one of them must not stop the program. What stops
    // those who take the samples is none of theirs.
    catch_unwind(AssertUnwindSafe(|| decode(stream, kind, settings, outlet))).unwrap_or_else(
        |panic| match outlet.is_giving() {
            true => resume_unwind(panic),
            false => Err(Fault::Damaged("its decoder gave up on it".to_owned())),
        },
    )
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
    let decoder = symphonia::default::get_codecs()
        .make_audio_decoder(parameters, &AudioDecoderOptions::default())
        .map_err(|e| fault(e, kind))?;
    let format = name(kind, decoder.codec_info());
    let mut tape = Tape::new(&track, settings, outlet);
    let ending = tape.run(reader.as_mut(), decoder)?;
    tape.finish(kind, format, ending)
}

/// How a stream of packets came to its end.
enum Ending {
    Whole,
    Broken(Error),
}

/// The samples of one track, as they come out of the decoder.
struct Tape<'a, 'b> {
    track: &'a Track,
    settings: &'a SourceSettings,
    outlet: &'a mut Outlet<'b>,
    /// Rate and mix, known from the first packet that can be decoded.
    shape: Option<Shape>,
    /// What has not been handed on yet.
    samples: Vec<f32>,
    interleaved: Vec<f32>,
    /// Time stamp of the first sample.
    begins_s: Option<f64>,
    /// Samples of silence that stand for lost ones.
    silence: usize,
    damaged_packets: u64,
    foreign_packets: u64,
}

#[derive(Clone, Copy, PartialEq)]
struct Shape {
    rate_hz: u32,
    channels: u32,
    mix: Mix,
}

impl<'a, 'b> Tape<'a, 'b> {
    fn new(track: &'a Track, settings: &'a SourceSettings, outlet: &'a mut Outlet<'b>) -> Self {
        Self {
            track,
            settings,
            outlet,
            shape: None,
            samples: Vec::new(),
            interleaved: Vec::new(),
            begins_s: None,
            silence: 0,
            damaged_packets: 0,
            foreign_packets: 0,
        }
    }

    fn run(
        &mut self,
        reader: &mut dyn FormatReader,
        mut decoder: Box<dyn AudioDecoder>,
    ) -> Result<Ending, Fault> {
        loop {
            let packet = match reader.next_packet() {
                Ok(Some(packet)) if packet.track_id == self.track.id => packet,
                Ok(Some(_)) => continue,
                Ok(None) => return Ok(Ending::Whole),
                Err(e) => return Ok(Ending::Broken(e)),
            };
            match decoder.decode(&packet) {
                Ok(audio) => self.append(audio, &packet)?,
                Err(Error::DecodeError(_) | Error::IoError(_)) => self.damaged_packets += 1,
                Err(Error::ResetRequired) => {
                    decoder.reset();
                    self.damaged_packets += 1;
                }
                Err(e) => return Ok(Ending::Broken(e)),
            }
            self.outlet.give(&mut self.samples)?;
        }
    }

    fn append(&mut self, audio: GenericAudioBufferRef<'_>, packet: &Packet) -> Result<(), Fault> {
        if audio.frames() == 0 {
            return Ok(());
        }
        let (rate_hz, channels) = (audio.spec().rate(), audio.num_planes() as u32);
        let shape = match self.shape {
            Some(shape) => shape,
            None => {
                check_rate(rate_hz)?;
                let mix = Mix::new(self.settings.channel, channels)?;
                let promised = self.track.num_frames.filter(|n| *n > 0);
                self.outlet.announce(Coming {
                    rate_hz,
                    top: 1.0,
                    promised,
                    room: promised.unwrap_or(0).min(MOST_RESERVED) as usize,
                });
                *self.shape.insert(Shape {
                    rate_hz,
                    channels,
                    mix,
                })
            }
        };
        if (shape.rate_hz, shape.channels) != (rate_hz, channels) {
            self.foreign_packets += 1;
            return Ok(());
        }
        self.make_up_loss(packet, shape.rate_hz);
        audio.copy_to_vec_interleaved(&mut self.interleaved);
        let full_scale = self.settings.full_scale_v as f32;
        let frames = self.interleaved.chunks_exact(channels as usize);
        self.samples
            .extend(frames.map(|frame| shape.mix.of(|n| frame[n]) * full_scale));
        Ok(())
    }

    /// Puts silence where packets are missing before this one, so that it keeps its time.
    fn make_up_loss(&mut self, packet: &Packet, rate_hz: u32) {
        let Some(base) = self.track.time_base else {
            return;
        };
        let begins_s = base.calc_time_saturating(packet.pts).as_secs_f64()
            + base
                .calc_duration_saturating(packet.trim_start)
                .as_secs_f64();
        let read_s = self.outlet.frames() as f64 / f64::from(rate_hz);
        let lost_s = begins_s - read_s - *self.begins_s.get_or_insert(begins_s);
        if lost_s < LEAST_LOSS_S {
            return;
        }
        let lost = (lost_s * f64::from(rate_hz)).round() as usize;
        let lost = lost.min(MOST_SILENCE - self.silence);
        self.silence += lost;
        self.samples.resize(lost, 0.0);
    }

    fn finish(self, kind: Kind, format: String, ending: Ending) -> Result<Found, Fault> {
        let Some(shape) = self.shape else {
            return Err(match ending {
                Ending::Broken(e) => fault(e, kind),
                Ending::Whole if self.damaged_packets > 0 => {
                    Fault::Damaged("none of its packets can be decoded".to_owned())
                }
                Ending::Whole => Fault::NoSamples,
            });
        };
        let mut notes = Vec::new();
        if self.silence > 0 {
            notes.push(format!(
                "Damaged or missing stretches were replaced by silence: {} a channel.",
                counted(self.silence, "sample")
            ));
        } else if self.damaged_packets > 0 {
            notes.push(format!(
                "Damaged packets were left out: {}.",
                self.damaged_packets
            ));
        }
        if self.foreign_packets > 0 {
            notes.push(format!(
                "Packets with another rate or count of channels were left out: {}.",
                self.foreign_packets
            ));
        }
        let got = self.outlet.frames();
        match (self.track.num_frames, ending) {
            (Some(promised), _) if promised > got => notes.push(format!(
                "The file is cut short or damaged: its header promises {promised} samples a \
                 channel, {got} were read."
            )),
            (_, Ending::Broken(Error::IoError(e))) if e.kind() == ErrorKind::UnexpectedEof => {
                notes.push(format!(
                    "The file is cut short: {got} samples a channel were read."
                ));
            }
            (_, Ending::Broken(e)) => notes.push(format!(
                "The file is damaged behind the {got} samples a channel that were read ({e})."
            )),
            _ => {}
        }
        Ok(Found {
            format,
            channels: shape.channels,
            notes,
        })
    }
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
        Error::Unsupported(what) => Fault::Encoding(format!("{}: {what}", kind.name())),
        Error::IoError(e) if e.kind() == ErrorKind::UnexpectedEof => {
            Fault::Damaged("it ends before its first sample".to_owned())
        }
        Error::IoError(e) => Fault::Unreadable(e.to_string()),
        other => Fault::Damaged(other.to_string()),
    }
}
