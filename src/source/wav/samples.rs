//! How WAV files write samples, and how these become numbers with full scale at 1.

use crate::source::mix::Mix;

/// How a sample is written. Integers are little-endian and stand at the top of their container,
/// as WAVEFORMATEXTENSIBLE asks, so that the container's width alone gives the full scale.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(in crate::source) enum Encoding {
    /// One byte, offset by 128.
    Unsigned8,
    /// Two's complement in two bytes.
    Integer16,
    /// Two's complement in three bytes.
    Integer24,
    /// Two's complement in four bytes.
    Integer32,
    /// IEEE 754 single precision.
    Float32,
    /// IEEE 754 double precision.
    Float64,
    /// ITU-T G.711 A-law.
    ALaw,
    /// ITU-T G.711 mu-law.
    MuLaw,
}

impl Encoding {
    /// Bytes a sample.
    pub(in crate::source) fn bytes(self) -> usize {
        match self {
            Encoding::Unsigned8 | Encoding::ALaw | Encoding::MuLaw => 1,
            Encoding::Integer16 => 2,
            Encoding::Integer24 => 3,
            Encoding::Integer32 | Encoding::Float32 => 4,
            Encoding::Float64 => 8,
        }
    }

    /// The part of full scale that it reaches on both sides.
    pub(in crate::source) fn top(self) -> f64 {
        let greatest = |table: &[f32; 256]| table.iter().copied().fold(0.0, f32::max);
        match self {
            Encoding::Unsigned8 => 127.0 / 128.0,
            Encoding::Integer16 => 32_767.0 / 32_768.0,
            Encoding::ALaw => f64::from(greatest(&A_LAW)),
            Encoding::MuLaw => f64::from(greatest(&MU_LAW)),
            _ => 1.0,
        }
    }

    /// The integer encoding in a container of so many bytes.
    pub(super) fn integer(bytes: usize) -> Option<Self> {
        [
            Encoding::Unsigned8,
            Encoding::Integer16,
            Encoding::Integer24,
            Encoding::Integer32,
        ]
        .into_iter()
        .find(|e| e.bytes() == bytes)
    }

    /// What it is called.
    pub(in crate::source) fn name(self) -> &'static str {
        match self {
            Encoding::Unsigned8 => "8-bit integer",
            Encoding::Integer16 => "16-bit integer",
            Encoding::Integer24 => "24-bit integer",
            Encoding::Integer32 => "32-bit integer",
            Encoding::Float32 => "32-bit float",
            Encoding::Float64 => "64-bit float",
            Encoding::ALaw => "A-law",
            Encoding::MuLaw => "mu-law",
        }
    }

    /// Appends the mix of every whole frame in `bytes` times `full_scale`.
    pub(in crate::source) fn append(
        self,
        bytes: &[u8],
        channels: usize,
        mix: Mix,
        full_scale: f32,
        out: &mut Vec<f32>,
    ) {
        let shares = |steps: f32| full_scale / steps;
        match self {
            Encoding::Unsigned8 => {
                let step = shares(128.0);
                frames(bytes, channels, mix, out, |[b]| {
                    (f32::from(b) - 128.0) * step
                });
            }
            Encoding::Integer16 => {
                let step = shares(32_768.0);
                frames(bytes, channels, mix, out, |b| {
                    f32::from(i16::from_le_bytes(b)) * step
                });
            }
            Encoding::Integer24 => {
                let step = shares(2_147_483_648.0);
                frames(bytes, channels, mix, out, |[a, b, c]| {
                    i32::from_le_bytes([0, a, b, c]) as f32 * step
                });
            }
            Encoding::Integer32 => {
                let step = shares(2_147_483_648.0);
                frames(bytes, channels, mix, out, |b| {
                    i32::from_le_bytes(b) as f32 * step
                });
            }
            Encoding::Float32 => frames(bytes, channels, mix, out, |b| {
                f32::from_le_bytes(b) * full_scale
            }),
            Encoding::Float64 => frames(bytes, channels, mix, out, |b| {
                f64::from_le_bytes(b) as f32 * full_scale
            }),
            Encoding::ALaw => frames(bytes, channels, mix, out, |[b]| {
                A_LAW[usize::from(b)] * full_scale
            }),
            Encoding::MuLaw => frames(bytes, channels, mix, out, |[b]| {
                MU_LAW[usize::from(b)] * full_scale
            }),
        }
    }
}

fn frames<const N: usize>(
    bytes: &[u8],
    channels: usize,
    mix: Mix,
    out: &mut Vec<f32>,
    value: impl Fn([u8; N]) -> f32,
) {
    let samples = bytes.as_chunks::<N>().0;
    if channels == 1 {
        // Every mix of one channel is that channel; without strides this loop runs several
        // samples at a time.
        out.extend(samples.iter().map(|s| value(*s)));
    } else {
        let frames = samples.chunks_exact(channels);
        out.extend(frames.map(|frame| mix.of(|n| value(frame[n]))));
    }
}

/// G.711 A-law: sign, three bits of segment, four of step; even bits inverted on the line. Values
/// of 13 bits, here of full scale 1.
static A_LAW: [f32; 256] = {
    let mut table = [0.0; 256];
    let mut code = 0;
    while code < 256 {
        let bits = code as i32 ^ 0x55;
        let (segment, step) = ((bits >> 4) & 7, bits & 15);
        let magnitude = if segment == 0 {
            2 * step + 1
        } else {
            (2 * step + 33) << (segment - 1)
        };
        let sign = if bits & 0x80 != 0 { 1.0 } else { -1.0 };
        table[code] = sign * magnitude as f32 / 4096.0;
        code += 1;
    }
    table
};

/// G.711 mu-law: sign, three bits of segment, four of step; all bits inverted on the line. Values
/// of 14 bits, here of full scale 1.
static MU_LAW: [f32; 256] = {
    let mut table = [0.0; 256];
    let mut code = 0;
    while code < 256 {
        let bits = code as i32 ^ 0xFF;
        let (segment, step) = ((bits >> 4) & 7, bits & 15);
        let magnitude = ((2 * step + 33) << segment) - 33;
        let sign = if bits & 0x80 != 0 { -1.0 } else { 1.0 };
        table[code] = sign * magnitude as f32 / 8192.0;
        code += 1;
    }
    table
};

#[cfg(test)]
mod tests {
    use super::*;

    fn one(encoding: Encoding, bytes: &[u8]) -> Vec<f32> {
        let mut out = Vec::new();
        encoding.append(bytes, 1, Mix::One(0), 1.0, &mut out);
        out
    }

    /// ITU-T G.711 tables 1 and 2 (from memory): the greatest decoder output is 4032 of 4096 for
    /// A-law, 8031 of 8192 for mu-law; the code words of positive full scale are 0xAA and 0x80.
    #[test]
    fn the_ends_of_the_g711_scales() {
        assert_eq!(one(Encoding::ALaw, &[0xAA, 0x2A]), [0.984_375, -0.984_375]);
        assert_eq!(
            one(Encoding::ALaw, &[0xD5, 0x55]),
            [1.0 / 4096.0, -1.0 / 4096.0]
        );
        let top = 8031.0 / 8192.0;
        assert_eq!(one(Encoding::MuLaw, &[0x80, 0x00, 0xFF]), [top, -top, 0.0]);
    }

    #[test]
    fn integers_reach_from_less_one_to_just_under_one() {
        assert_eq!(
            one(Encoding::Unsigned8, &[0, 128, 255]),
            [-1.0, 0.0, 127.0 / 128.0]
        );
        assert_eq!(one(Encoding::Integer16, &[0, 0x80, 0, 0x40]), [-1.0, 0.5]);
        assert_eq!(
            one(Encoding::Integer24, &[0, 0, 0x80, 0, 0, 0x40]),
            [-1.0, 0.5]
        );
        assert_eq!(
            one(Encoding::Integer32, &[0, 0, 0, 0x80, 0, 0, 0, 0x40]),
            [-1.0, 0.5]
        );
    }

    #[test]
    fn a_frame_cut_short_is_left_out() {
        let mut out = Vec::new();
        Encoding::Integer16.append(
            &[0, 0x40, 0, 0x20, 0, 0x40],
            2,
            Mix::HalfDifference,
            2.0,
            &mut out,
        );
        assert_eq!(out, [0.25]);
    }
}
