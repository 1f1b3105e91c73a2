//! The samples of one track, as they come out of the decoder.

use super::damage::Damage;
use super::{Decoder, fault};
use crate::settings::SourceSettings;
use crate::source::error::Fault;
use crate::source::kind::Kind;
use crate::source::mix::Mix;
use crate::source::outlet::{Coming, Outlet};
use crate::source::{Found, check_rate};
use std::io::ErrorKind;
use symphonia::core::audio::GenericAudioBufferRef;
use symphonia::core::errors::Error;
use symphonia::core::formats::{FormatReader, Track};
use symphonia::core::packet::Packet;

/// Frames of silence put in for lost packets, in all: a damaged time stamp must not fill the
/// memory.
const MOST_SILENCE: usize = 1 << 24;
/// Shortest loss that time stamps show, in seconds: some containers keep time in coarse steps.
const LEAST_LOSS_S: f64 = 5e-3;
/// Frames to make room for at once; a damaged header may promise any count.
const MOST_RESERVED: u64 = 1 << 28;
/// Failures of a reader to find the next packet, one after the other, before it is given up. Each
/// takes it some bytes further, or none.
const MOST_FAILURES: u32 = 1 << 12;

/// How a stream of packets came to its end.
pub(super) enum Ending {
    Whole,
    Broken(Error),
}

/// The samples of one track.
pub(super) struct Tape<'a, 'b> {
    track: &'a Track,
    kind: Kind,
    settings: &'a SourceSettings,
    outlet: &'a mut Outlet<'b>,
    /// Rate and mix, known from the first packet that can be decoded.
    shape: Option<Shape>,
    /// What has not been handed on yet.
    samples: Vec<f32>,
    interleaved: Vec<f32>,
    /// Time stamp of the first sample.
    begins_s: Option<f64>,
    /// Seconds that the encoder put before the sound.
    lead_in_s: f64,
    /// Samples of them that have been left out.
    led_in: u64,
    damage: Damage,
    /// Why the first packet that failed could not be decoded.
    first_failure: Option<Error>,
    foreign_packets: u64,
}

#[derive(Clone, Copy, PartialEq)]
struct Shape {
    rate_hz: u32,
    channels: u32,
    mix: Mix,
}

impl<'a, 'b> Tape<'a, 'b> {
    pub fn new(
        track: &'a Track,
        kind: Kind,
        lead_in_s: f64,
        settings: &'a SourceSettings,
        outlet: &'a mut Outlet<'b>,
    ) -> Self {
        Self {
            track,
            kind,
            settings,
            outlet,
            shape: None,
            samples: Vec::new(),
            interleaved: Vec::new(),
            begins_s: None,
            lead_in_s,
            led_in: 0,
            damage: Damage::default(),
            first_failure: None,
            foreign_packets: 0,
        }
    }

    pub fn run(
        &mut self,
        reader: &mut dyn FormatReader,
        decoder: &mut Decoder<'_>,
    ) -> Result<Ending, Fault> {
        let mut failures = 0;
        loop {
            let packet = match reader.next_packet() {
                Ok(Some(packet)) if packet.track_id == self.track.id => packet,
                Ok(Some(_)) => continue,
                Ok(None) => return Ok(Ending::Whole),
                // Most readers find the next packet after damage.
                Err(e @ Error::DecodeError(_)) if failures < MOST_FAILURES => {
                    failures += 1;
                    self.fail(e);
                    continue;
                }
                Err(e) => return Ok(Ending::Broken(e)),
            };
            failures = 0;
            match decoder.decode(&packet) {
                Ok(audio) => self.append(audio, &packet)?,
                Err(e) => self.fail(e),
            }
            self.outlet.give(&mut self.samples)?;
        }
    }

    fn fail(&mut self, why: Error) {
        let rate_hz = self.shape.map_or(0, |shape| shape.rate_hz);
        self.damage.packet(self.outlet.frames(), rate_hz);
        self.first_failure.get_or_insert(why);
    }

    fn append(&mut self, audio: GenericAudioBufferRef<'_>, packet: &Packet) -> Result<(), Fault> {
        if audio.frames() == 0 {
            return Ok(());
        }
        let (rate_hz, channels) = (audio.spec().rate(), audio.num_planes() as u32);
        let shape = self.shape(rate_hz, channels)?;
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
        self.leave_out_lead_in(shape.rate_hz);
        Ok(())
    }

    /// That of the track, which is the first packet's.
    fn shape(&mut self, rate_hz: u32, channels: u32) -> Result<Shape, Fault> {
        if let Some(shape) = self.shape {
            return Ok(shape);
        }
        check_rate(rate_hz)?;
        let mix = Mix::new(self.settings.channel, channels)?;
        let promised = self.promised(rate_hz);
        self.outlet.announce(Coming {
            rate_hz,
            top: 1.0,
            promised,
            room: promised.unwrap_or(0).min(MOST_RESERVED) as usize,
        });
        Ok(*self.shape.insert(Shape {
            rate_hz,
            channels,
            mix,
        }))
    }

    /// Samples that the header promises beside the encoder's.
    fn promised(&self, rate_hz: u32) -> Option<u64> {
        let all = self.track.num_frames?;
        Some(all.saturating_sub(self.lead_in(rate_hz))).filter(|n| *n > 0)
    }

    /// Samples that the encoder put before the sound.
    fn lead_in(&self, rate_hz: u32) -> u64 {
        (self.lead_in_s * f64::from(rate_hz)).round() as u64
    }

    fn leave_out_lead_in(&mut self, rate_hz: u32) {
        let left = self.lead_in(rate_hz) - self.led_in;
        let now = left.min(self.samples.len() as u64);
        self.samples.drain(..now as usize);
        self.led_in += now;
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
        let read_s = (self.outlet.frames() + self.led_in) as f64 / f64::from(rate_hz);
        let lost_s = begins_s - read_s - *self.begins_s.get_or_insert(begins_s);
        if lost_s < LEAST_LOSS_S {
            return;
        }
        let lost = (lost_s * f64::from(rate_hz)).round() as usize;
        let lost = lost.min(MOST_SILENCE - self.damage.silent());
        self.damage.silence(lost, self.outlet.frames(), rate_hz);
        self.samples.resize(lost, 0.0);
    }

    pub fn finish(self, format: String, ending: Ending) -> Result<Found, Fault> {
        let Some(shape) = self.shape else {
            return Err(match (ending, self.first_failure) {
                (_, Some(e @ Error::Unsupported(_))) | (Ending::Broken(e), _) => {
                    fault(e, self.kind)
                }
                (Ending::Whole, _) if self.damage.any_packet() => {
                    Fault::Damaged("none of its packets can be decoded".to_owned())
                }
                (Ending::Whole, _) => Fault::NoSamples,
            });
        };
        let mut notes: Vec<_> = self.damage.note().into_iter().collect();
        if self.kind == Kind::Aac && !notes.is_empty() {
            notes.push(
                "A bare AAC stream keeps no times: what follows the damage comes earlier by as \
                 much as was lost there."
                    .to_owned(),
            );
        }
        if self.foreign_packets > 0 {
            notes.push(format!(
                "Packets with another rate or count of channels were left out: {}.",
                self.foreign_packets
            ));
        }
        let got = self.outlet.frames();
        // What a stream of AAC promises is an estimate.
        let promised = self
            .promised(shape.rate_hz)
            .filter(|_| self.kind != Kind::Aac);
        match (promised, ending) {
            (Some(promised), _) if promised > got => notes.push(format!(
                "The file is cut short or damaged: its header promises {promised} samples a \
                 channel, {got} were read."
            )),
            (_, Ending::Broken(Error::IoError(e))) if e.kind() == ErrorKind::UnexpectedEof => {
                notes.push(format!(
                    "The file is cut short: {got} samples a channel were read."
                ));
            }
            (_, Ending::Broken(_)) => notes.push(format!(
                "The file is damaged after the {got} samples a channel that were read."
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
