//! From the channels of a file to the one channel that is read.

use super::error::Fault;
use crate::settings::Channel;

/// How the channels of one frame become one value, checked against the channels there are.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Mix {
    /// The channel at this place, counted from 0.
    One(usize),
    /// The mean of this many channels.
    Mean(usize),
    /// Half of the first channel less the second.
    HalfDifference,
}

impl Mix {
    /// The mix for a choice of channel in a file of so many.
    pub(super) fn new(wanted: Channel, channels: u32) -> Result<Self, Fault> {
        match wanted {
            Channel::One(n) if (1..=channels).contains(&n) => Ok(Mix::One(n as usize - 1)),
            Channel::Sum if channels > 0 => Ok(Mix::Mean(channels as usize)),
            Channel::Difference if channels > 1 => Ok(Mix::HalfDifference),
            _ => Err(Fault::NoChannel { wanted, channels }),
        }
    }

    /// The value of one frame, given the value of each of its channels.
    #[inline]
    pub(super) fn of(self, channel: impl Fn(usize) -> f32) -> f32 {
        match self {
            Mix::One(n) => channel(n),
            Mix::Mean(channels) => {
                let sum: f64 = (0..channels).map(|n| f64::from(channel(n))).sum();
                (sum / channels as f64) as f32
            }
            Mix::HalfDifference => 0.5 * (channel(0) - channel(1)),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn each_choice_takes_the_channels_it_names() {
        let frame = [0.5, -0.25, 0.125];
        for (wanted, value) in [
            (Channel::One(1), 0.5),
            (Channel::One(3), 0.125),
            (Channel::Sum, 0.125),
            (Channel::Difference, 0.375),
        ] {
            let mix = Mix::new(wanted, 3).unwrap();
            assert_eq!(mix.of(|n| frame[n]), value, "{wanted:?}");
        }
    }

    #[test]
    fn a_channel_that_is_not_there_is_refused_with_a_sentence() {
        for (wanted, channels, says) in [
            (
                Channel::One(0),
                2,
                "no channel 0; set the source channel to 1 to 2",
            ),
            (Channel::One(3), 2, "2 channels, no channel 3"),
            (Channel::Difference, 1, "one channel, no second channel"),
        ] {
            let err = Mix::new(wanted, channels).unwrap_err().of("tide.wav");
            assert!(err.to_string().contains(says), "{err}");
        }
    }
}
