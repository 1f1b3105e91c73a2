//! Opens streams: which configuration of a device is taken, and what its callbacks do.

use super::devices::{Direction, Wanted, find, id_of, name_of, sentence};
use super::ring::{Intake, Over, Signs, ring};
use super::{Format, patience, watch};
use crate::source::Sample;
use cpal::traits::{DeviceTrait, StreamTrait};
use cpal::{
    BufferSize, ErrorKind, HostId, SampleFormat, StreamConfig, SupportedBufferSize,
    SupportedStreamConfig, SupportedStreamConfigRange,
};
use std::sync::Arc;
use std::sync::atomic::Ordering;
use std::time::Instant;

/// Callbacks a second. Shorter ones lose samples where the computer is busy, longer ones make
/// characters late.
const CALLBACKS_HZ: u32 = 20;
/// How many times a second PulseAudio is made to look at its device.
const PACE_HZ: u32 = 50;

/// An input stream that runs.
pub(super) struct Input {
    pub host: Option<String>,
    pub id: String,
    pub device: String,
    pub format: Format,
    pub intake: Intake,
}

/// Opens and starts an input stream with at least so many channels, where the device has them. Its
/// samples are stamped by the clock that began at `clock`.
pub(super) fn open_input(
    wanted: Wanted,
    channels: u16,
    clock: Instant,
) -> Result<(patience::Held, Input), String> {
    let _mute = wanted.mute();
    patience::hold(patience::OPEN, "opening the device", move || {
        let device = find(&wanted, Direction::In)?;
        let name = name_of(&device);
        let failed = |e| sentence(&e, &name);
        let default = device.default_input_config().map_err(failed)?;
        let is_pulse = is_pulse(&device);
        // It makes up channels that the device does not have.
        let channels = if is_pulse { 1 } else { channels };
        let ranges = device.supported_input_configs().map_err(failed)?;
        let (config, sample) = choose(default, ranges.collect(), &wanted, channels, &name)?;
        let format = Format {
            rate_hz: config.sample_rate(),
            channels: config.channels(),
            sample,
        };
        let build = |size: BufferSize| {
            let (mut feed, intake) = ring(format);
            let signs = feed.signs();
            watch::watch(&signs, &device, &name);
            let told = name.clone();
            let mut made_ns = None;
            let stream = device.build_input_stream_raw(
                sized(&config, size),
                config.sample_format(),
                move |data, info| {
                    let came_ns = info.timestamp().callback.as_nanos() as u64;
                    // The stream's own clock, which began when it was made, is the better one.
                    let made_ns = *made_ns.get_or_insert_with(|| {
                        (clock.elapsed().as_nanos() as u64).saturating_sub(came_ns)
                    });
                    feed.push(data.bytes(), made_ns + came_ns);
                },
                move |e| heed(&signs, &e, &told, is_pulse),
                Some(patience::OPEN),
            )?;
            stream.play()?;
            Ok::<_, cpal::Error>((stream, intake))
        };
        let size = match is_pulse {
            true => BufferSize::Default,
            false => period(&config, CALLBACKS_HZ),
        };
        let (stream, intake) = build(size)
            .or_else(|e| match e.kind() {
                ErrorKind::UnsupportedConfig => build(BufferSize::Default),
                _ => Err(e),
            })
            .map_err(failed)?;
        let pace = is_pulse.then(|| pace(&device, &config)).flatten();
        let input = Input {
            host: device.id().ok().map(|id| id.host().name().to_owned()),
            id: id_of(&device),
            device: name,
            format,
            intake,
        };
        Ok(((stream, pace), input))
    })
}

/// A second stream of the device that nobody listens to. PulseAudio gives a stream that asks for
/// short blocks no more room than one of them, and drops what finds none when the computer is
/// busy; one that asks for nothing has room for many seconds, but its blocks may be seconds long.
/// With both, the device is looked at often, and nothing is lost.
fn pace(device: &cpal::Device, config: &SupportedStreamConfig) -> Option<cpal::Stream> {
    let stream = device.build_input_stream_raw(
        sized(config, period(config, PACE_HZ)),
        config.sample_format(),
        |_, _| {},
        |_| {},
        Some(patience::OPEN),
    );
    // Without it, characters come later.
    let stream = stream.ok()?;
    stream.play().ok()?;
    Some(stream)
}

/// An output device that has been found, and how it will be run.
pub(super) struct Output {
    pub name: String,
    pub config: StreamConfig,
    pub sample: Sample,
    device: cpal::Device,
    format: SampleFormat,
}

impl Output {
    /// Finds the device. May hang.
    pub fn find(wanted: &Wanted) -> Result<Self, String> {
        let device = find(wanted, Direction::Out)?;
        let name = name_of(&device);
        let failed = |e| sentence(&e, &name);
        let default = device.default_output_config().map_err(failed)?;
        let ranges = device.supported_output_configs().map_err(failed)?;
        let (config, sample) = choose(default, ranges.collect(), wanted, 1, &name)?;
        Ok(Self {
            config: sized(&config, period(&config, CALLBACKS_HZ)),
            format: config.sample_format(),
            device,
            sample,
            name,
        })
    }

    /// The same device, by its id.
    pub fn same(&self, wanted: &Wanted) -> Wanted {
        let id = self.device.id().ok();
        Wanted {
            host: id.map_or_else(|| wanted.host.clone(), |id| Some(id.host().name().into())),
            device: Some(id_of(&self.device)),
            rate_hz: wanted.rate_hz,
        }
    }

    /// Starts the stream: `fill` is given the bytes of whole frames to write, and how long they
    /// will wait before they are heard, in nanoseconds.
    pub fn start(
        &self,
        mut fill: impl FnMut(&mut [u8], u64) + Send + 'static,
        signs: Arc<Signs>,
    ) -> Result<cpal::Stream, String> {
        let failed = |e| sentence(&e, &self.name);
        let told = self.name.clone();
        let is_pulse = is_pulse(&self.device);
        watch::watch(&signs, &self.device, &self.name);
        let stream = self.device.build_output_stream_raw(
            self.config,
            self.format,
            move |data, info| {
                let at = info.timestamp();
                let wait = at.playback.saturating_duration_since(at.callback);
                fill(data.bytes_mut(), wait.as_nanos() as u64);
            },
            move |e| heed(&signs, &e, &told, is_pulse),
            Some(patience::OPEN),
        );
        let stream = stream.map_err(failed)?;
        stream.play().map_err(failed)?;
        Ok(stream)
    }
}

fn is_pulse(device: &cpal::Device) -> bool {
    device.id().map(|id| id.host()) == Ok(HostId::PulseAudio)
}

/// Takes notice of an error of a stream.
fn heed(signs: &Signs, error: &cpal::Error, name: &str, is_pulse: bool) {
    match error.kind() {
        ErrorKind::Xrun => {
            signs.overruns.fetch_add(1, Ordering::Relaxed);
        }
        // The stream goes on.
        ErrorKind::DeviceChanged | ErrorKind::RealtimeDenied => {}
        _ if signs.over.get().is_some() => {}
        _ => {
            let _ = signs.over.set(Over {
                why: sentence(error, name),
                is_broken: is_pulse && error.kind() == ErrorKind::StreamInvalidated,
            });
        }
    }
}

fn sized(config: &SupportedStreamConfig, size: BufferSize) -> StreamConfig {
    StreamConfig {
        buffer_size: size,
        ..config.config()
    }
}

/// A callback's share of a second, as near as the device allows.
fn period(config: &SupportedStreamConfig, callbacks_hz: u32) -> BufferSize {
    let frames = config.sample_rate().div_ceil(callbacks_hz);
    BufferSize::Fixed(match *config.buffer_size() {
        SupportedBufferSize::Range { min, max } => frames.clamp(min.max(1), max.max(min).max(1)),
        SupportedBufferSize::Unknown => frames,
    })
}

fn sample_of(format: SampleFormat) -> Option<Sample> {
    match format {
        SampleFormat::U8 => Some(Sample::Unsigned8),
        SampleFormat::I16 => Some(Sample::Integer16),
        SampleFormat::I32 => Some(Sample::Integer32),
        SampleFormat::F32 => Some(Sample::Float32),
        _ => None,
    }
}

/// How good an encoding is where the default one will not do.
fn rank(sample: Sample) -> u8 {
    match sample {
        Sample::Integer32 => 3,
        Sample::Float32 => 2,
        Sample::Integer16 => 1,
        Sample::Unsigned8 => 0,
    }
}

/// The default configuration where it fits, and else the nearest to it that does.
fn choose(
    default: SupportedStreamConfig,
    ranges: Vec<SupportedStreamConfigRange>,
    wanted: &Wanted,
    channels: u16,
    name: &str,
) -> Result<(SupportedStreamConfig, Sample), String> {
    let rate_hz = wanted.rate_hz.unwrap_or(default.sample_rate());
    if let Some(sample) = sample_of(default.sample_format())
        && rate_hz == default.sample_rate()
        && default.channels() >= channels
    {
        return Ok((default, sample));
    }
    let fits = ranges.into_iter().filter_map(|range| {
        let config = range.try_with_sample_rate(rate_hz)?;
        let sample = sample_of(config.sample_format())?;
        Some((config, sample))
    });
    let nearness = |(config, sample): &(SupportedStreamConfig, Sample)| {
        let enough = config.channels() >= channels;
        let same = config.sample_format() == default.sample_format();
        let extra = config.channels().abs_diff(default.channels().max(channels));
        (enough, same, std::cmp::Reverse(extra), rank(*sample))
    };
    fits.max_by_key(nearness).ok_or_else(|| {
        format!(
            "{name} does not run at {rate_hz} Hz in an encoding that is understood; its own rate is \
             {} Hz.",
            default.sample_rate()
        )
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    const ANY: SupportedBufferSize = SupportedBufferSize::Unknown;

    fn config(channels: u16, rate: u32, format: SampleFormat) -> SupportedStreamConfig {
        SupportedStreamConfig::new(channels, rate, ANY, format)
    }

    fn range(channels: u16, format: SampleFormat) -> SupportedStreamConfigRange {
        SupportedStreamConfigRange::new(channels, 8000, 96_000, ANY, format)
    }

    fn chosen(
        default: SupportedStreamConfig,
        rate_hz: Option<u32>,
        channels: u16,
    ) -> Result<(u16, u32, Sample), String> {
        let ranges = vec![
            range(1, SampleFormat::I16),
            range(2, SampleFormat::I16),
            range(2, SampleFormat::F32),
            range(4, SampleFormat::I32),
            range(2, SampleFormat::F64),
        ];
        let wanted = Wanted {
            rate_hz,
            ..Wanted::default()
        };
        let (config, sample) = choose(default, ranges, &wanted, channels, "deck")?;
        Ok((config.channels(), config.sample_rate(), sample))
    }

    #[test]
    fn the_default_is_taken_where_it_fits_and_else_the_nearest() {
        use Sample::*;
        let default = config(2, 44_100, SampleFormat::I16);
        assert_eq!(chosen(default, None, 1), Ok((2, 44_100, Integer16)));
        assert_eq!(chosen(default, Some(48_000), 1), Ok((2, 48_000, Integer16)));
        assert_eq!(chosen(default, None, 4), Ok((4, 44_100, Integer32)));
        // A format that is not understood gives way to the best of the others.
        let odd = config(2, 44_100, SampleFormat::F64);
        assert_eq!(chosen(odd, None, 1), Ok((2, 44_100, Float32)));
        let err = chosen(default, Some(192_000), 1).unwrap_err();
        assert!(
            err.contains("192000 Hz") && err.contains("44100 Hz"),
            "{err}"
        );
    }

    #[test]
    fn the_first_error_ends_a_stream_and_an_overrun_does_not() {
        let signs = Signs::default();
        let heed = |kind: ErrorKind, is_pulse| heed(&signs, &kind.into(), "deck", is_pulse);
        heed(ErrorKind::Xrun, true);
        assert_eq!(signs.overruns.load(Ordering::Relaxed), 1);
        assert_eq!(signs.over.get(), None);
        heed(ErrorKind::StreamInvalidated, true);
        heed(ErrorKind::DeviceNotAvailable, true);
        let over = signs.over.get().unwrap();
        assert!(over.why.contains("no longer valid") && over.is_broken);
    }
}
