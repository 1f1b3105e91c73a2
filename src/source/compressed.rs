//! Everything but plain WAV, through symphonia.

use super::error::Fault;
use super::kind::Kind;
use super::mix::Mix;
use super::{Decoded, check_rate};
use crate::settings::SourceSettings;
use std::panic::{AssertUnwindSafe, catch_unwind};
use symphonia::core::audio::GenericAudioBufferRef;
use symphonia::core::codecs::audio::{AudioDecoder, AudioDecoderOptions};
use symphonia::core::errors::Error;
use symphonia::core::formats::probe::Hint;
use symphonia::core::formats::{FormatOptions, FormatReader, Track, TrackType};
use symphonia::core::io::{MediaSource, MediaSourceStream};
use symphonia::core::meta::MetadataOptions;
use symphonia::core::packet::Packet;

/// Longest stretch of silence put in for one damaged packet, in seconds: more than any codec
/// packs into one, so that a damaged length cannot fill the memory.
const LONGEST_GAP_S: f64 = 1.0;
/// Frames to make room for at once; a damaged header may promise any count.
const MOST_RESERVED: u64 = 1 << 28;

/// Reads a file of the given kind from its beginning.
pub(super) fn read(
    source: impl MediaSource + 'static,
    kind: Kind,
    settings: &SourceSettings,
    progress: &mut dyn FnMut(f32),
) -> Result<Decoded, Fault> {
    let stream = MediaSourceStream::new(Box::new(source), Default::default());
    // The decoders are not ours: what stops one of them must not stop the program.
    catch_unwind(AssertUnwindSafe(|| {
        decode(stream, kind, settings, progress)
    }))
    .unwrap_or_else(|_| Err(Fault::Damaged("its decoder gave up on it".to_owned())))
}

fn decode(
    stream: MediaSourceStream<'static>,
    kind: Kind,
    settings: &SourceSettings,
    progress: &mut dyn FnMut(f32),
) -> Result<Decoded, Fault> {
    let mut hint = Hint::new();
    hint.with_extension(&kind.name().to_ascii_lowercase());
    let options = (FormatOptions::default(), MetadataOptions::default());
    let mut reader = symphonia::default::get_probe()
        .probe(&hint, stream, options.0, options.1)
        .map_err(|e| fault(e, kind))?;
    let no_audio = || Fault::Encoding(format!("{} without a known sound track", kind.name()));
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
    let mut tape = Tape::new(&track, settings);
    let ending = tape.run(reader.as_mut(), decoder, progress)?;
    tape.finish(kind, ending)
}

/// How a stream of packets came to its end.
enum Ending {
    Whole,
    Broken(Error),
}

/// The samples of one track, as they come out of the decoder.
struct Tape<'a> {
    track: &'a Track,
    settings: &'a SourceSettings,
    /// Rate and mix, known from the first packet that can be decoded.
    shape: Option<Shape>,
    codec: &'static str,
    samples: Vec<f32>,
    interleaved: Vec<f32>,
    damaged_packets: u64,
    foreign_packets: u64,
}

#[derive(Clone, Copy, PartialEq)]
struct Shape {
    rate_hz: u32,
    channels: u32,
    mix: Mix,
}

impl<'a> Tape<'a> {
    fn new(track: &'a Track, settings: &'a SourceSettings) -> Self {
        let frames = track.num_frames.unwrap_or(0).min(MOST_RESERVED);
        Self {
            track,
            settings,
            shape: None,
            codec: "",
            samples: super::reserve(frames).unwrap_or_default(),
            interleaved: Vec::new(),
            damaged_packets: 0,
            foreign_packets: 0,
        }
    }

    fn run(
        &mut self,
        reader: &mut dyn FormatReader,
        mut decoder: Box<dyn AudioDecoder>,
        progress: &mut dyn FnMut(f32),
    ) -> Result<Ending, Fault> {
        self.codec = decoder.codec_info().long_name;
        loop {
            let packet = match reader.next_packet() {
                Ok(Some(packet)) if packet.track_id == self.track.id => packet,
                Ok(Some(_)) => continue,
                Ok(None) => return Ok(Ending::Whole),
                Err(e) => return Ok(Ending::Broken(e)),
            };
            match decoder.decode(&packet) {
                Ok(audio) => self.append(audio)?,
                Err(Error::DecodeError(_) | Error::IoError(_)) => self.skip(&packet),
                Err(Error::ResetRequired) => {
                    decoder.reset();
                    self.skip(&packet);
                }
                Err(e) => return Ok(Ending::Broken(e)),
            }
            if let Some(frames) = self.track.num_frames.filter(|n| *n > 0) {
                progress((self.samples.len() as f32 / frames as f32).min(1.0));
            }
        }
    }

    fn append(&mut self, audio: GenericAudioBufferRef<'_>) -> Result<(), Fault> {
        if audio.frames() == 0 {
            return Ok(());
        }
        let (rate_hz, channels) = (audio.spec().rate(), audio.num_planes() as u32);
        let shape = match self.shape {
            Some(shape) => shape,
            None => {
                check_rate(rate_hz)?;
                let mix = Mix::new(self.settings.channel, channels)?;
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
        audio.copy_to_vec_interleaved(&mut self.interleaved);
        let full_scale = self.settings.full_scale_v as f32;
        let frames = self.interleaved.chunks_exact(channels as usize);
        self.samples
            .extend(frames.map(|frame| shape.mix.of(|n| frame[n]) * full_scale));
        Ok(())
    }

    /// Puts silence for a packet that cannot be decoded, so that what follows keeps its time.
    fn skip(&mut self, packet: &Packet) {
        self.damaged_packets += 1;
        let (Some(shape), Some(base)) = (self.shape, self.track.time_base) else {
            return;
        };
        let length_s = base.calc_duration_saturating(packet.dur).as_secs_f64();
        let frames = length_s.clamp(0.0, LONGEST_GAP_S) * f64::from(shape.rate_hz);
        let end = self.samples.len() + frames.round() as usize;
        self.samples.resize(end, 0.0);
    }

    fn finish(self, kind: Kind, ending: Ending) -> Result<Decoded, Fault> {
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
        if self.damaged_packets > 0 {
            notes.push(format!(
                "Packets that are damaged were replaced by silence: {}.",
                self.damaged_packets
            ));
        }
        if self.foreign_packets > 0 {
            notes.push(format!(
                "Packets with another rate or count of channels were left out: {}.",
                self.foreign_packets
            ));
        }
        let got = self.samples.len() as u64;
        match (self.track.num_frames, ending) {
            (Some(promised), _) if promised > got => notes.push(format!(
                "The file is cut short or damaged: its header promises {promised} samples a \
                 channel, {got} were read."
            )),
            (_, Ending::Broken(e)) => notes.push(format!(
                "The file is damaged behind the {got} samples a channel that were read ({e})."
            )),
            _ => {}
        }
        Ok(Decoded {
            samples: self.samples,
            format: name(kind, self.codec),
            channels: shape.channels,
            rate_hz: shape.rate_hz,
            notes,
        })
    }
}

/// "M4A, Advanced Audio Coding", but "FLAC" where container and codec belong together.
fn name(kind: Kind, codec: &str) -> String {
    match kind {
        Kind::Flac | Kind::Mp3 | Kind::Aac => kind.name().to_owned(),
        _ => format!("{}, {codec}", kind.name()),
    }
}

fn fault(error: Error, kind: Kind) -> Fault {
    match error {
        Error::Unsupported(what) => Fault::Encoding(format!("{} ({what})", kind.name())),
        Error::IoError(e) if e.kind() == std::io::ErrorKind::UnexpectedEof => {
            Fault::Damaged("it ends before its first sample".to_owned())
        }
        Error::IoError(e) => Fault::Unreadable(e.to_string()),
        other => Fault::Damaged(other.to_string()),
    }
}
