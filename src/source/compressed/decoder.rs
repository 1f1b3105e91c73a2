//! A decoder that goes on after damage.

use super::fault;
use crate::source::error::Fault;
use crate::source::kind::Kind;
use std::panic::{AssertUnwindSafe, catch_unwind};
use symphonia::core::audio::GenericAudioBufferRef;
use symphonia::core::codecs::CodecInfo;
use symphonia::core::codecs::audio::{AudioCodecParameters, AudioDecoder, AudioDecoderOptions};
use symphonia::core::errors::Error;
use symphonia::core::packet::Packet;

/// After so many failures one after the other, a decoder is made again: damage may have left it in
/// a state in which it takes no packet. Fewer are usual, where one packet leans on those before it.
const FAILURES: u32 = 8;

/// A decoder of a library, which may give up in any way on damaged packets.
pub(super) struct Decoder<'a> {
    parameters: &'a AudioCodecParameters,
    decoder: Box<dyn AudioDecoder>,
    failures: u32,
}

impl<'a> Decoder<'a> {
    pub fn new(parameters: &'a AudioCodecParameters, kind: Kind) -> Result<Self, Fault> {
        Ok(Self {
            parameters,
            decoder: make(parameters).map_err(|e| fault(e, kind))?,
            failures: 0,
        })
    }

    pub fn info(&self) -> &CodecInfo {
        self.decoder.codec_info()
    }

    /// Decodes the next packet. Whatever the error, the one after it can be given.
    pub fn decode(&mut self, packet: &Packet) -> Result<GenericAudioBufferRef<'_>, Error> {
        // What stops the decoder must not stop the program.
        let decoded = catch_unwind(AssertUnwindSafe(|| self.decoder.decode(packet).map(|_| ())));
        match decoded {
            Ok(Ok(())) => {
                self.failures = 0;
                Ok(self.decoder.last_decoded())
            }
            Ok(Err(e)) => {
                self.failures += 1;
                if matches!(e, Error::ResetRequired) {
                    self.decoder.reset();
                }
                if self.failures.is_multiple_of(FAILURES) {
                    self.begin_again();
                }
                Err(e)
            }
            Err(_) => {
                self.failures += 1;
                self.begin_again();
                Err(Error::DecodeError("its decoder gave up on it"))
            }
        }
    }

    fn begin_again(&mut self) {
        if let Ok(fresh) = make(self.parameters) {
            self.decoder = fresh;
        }
    }
}

fn make(parameters: &AudioCodecParameters) -> Result<Box<dyn AudioDecoder>, Error> {
    symphonia::default::get_codecs().make_audio_decoder(parameters, &AudioDecoderOptions::default())
}
