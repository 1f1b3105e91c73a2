//! Which lanes are shown, how high, and how many volts high the source is.

use super::{Lane, LaneSheet, Span};
use crate::units::{self, Unit};
use std::ops::RangeInclusive;

/// What is chosen of the lanes.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct LaneChoice {
    /// Each lane with its share of the height, and whether it is shown.
    pub lanes: [(Lane, f32, bool); Lane::ALL.len()],
    /// Voltage at the top of the source lane; none for one that suits what is shown.
    pub scale_v: Option<f64>,
}

impl Default for LaneChoice {
    fn default() -> Self {
        Self {
            lanes: Lane::ALL.map(|lane| (lane, lane.share(), true)),
            scale_v: None,
        }
    }
}

impl LaneChoice {
    /// The shares of the height that a lane may have.
    pub const SHARES: RangeInclusive<f32> = 0.3..=50.0;
    /// The voltages that the top of the source lane may stand for.
    pub const VOLTS: RangeInclusive<f64> = 1e-3..=1e3;

    /// Reads lanes as a command line gives them, `source=3.5,squarer,characters`: those are shown,
    /// in the order of the signal, with these shares of the height where one is given.
    ///
    /// # Errors
    /// A sentence, without its end, on the first word that does not fit.
    pub fn parse(text: &str) -> Result<Self, String> {
        let mut choice = Self::default();
        choice.lanes.iter_mut().for_each(|lane| lane.2 = false);
        for word in text.split(',') {
            let (name, share) = match word.split_once('=') {
                Some((name, share)) => (name, Some(share)),
                None => (word, None),
            };
            let name = name.trim();
            let lane = choice
                .lanes
                .iter_mut()
                .find(|l| l.0.word().eq_ignore_ascii_case(name))
                .ok_or_else(|| {
                    let words = Lane::ALL.map(Lane::word).join(", ");
                    format!("there is no lane '{name}'; the lanes are {words}")
                })?;
            lane.2 = true;
            if let Some(share) = share {
                let read = share.trim().parse().ok();
                lane.1 = read.filter(|s| Self::SHARES.contains(s)).ok_or_else(|| {
                    format!(
                        "'{share}' is no share of the height; it takes {} to {}",
                        Self::SHARES.start(),
                        Self::SHARES.end()
                    )
                })?;
            }
        }
        Ok(choice)
    }

    /// Reads the voltage at the top of the source lane.
    ///
    /// # Errors
    /// A sentence, without its end.
    pub fn parse_volts(text: &str) -> Result<f64, String> {
        let volts = units::parse(text, Unit::Volts).map_err(|e| e.to_string())?;
        if Self::VOLTS.contains(&volts) {
            return Ok(volts);
        }
        let show = |v: f64| units::show(v, Unit::Volts);
        let (least, most) = (show(*Self::VOLTS.start()), show(*Self::VOLTS.end()));
        Err(format!("it takes {least} to {most}"))
    }

    /// The lanes that are shown, with their shares of the height.
    pub fn shown(&self) -> impl Iterator<Item = (Lane, f32)> + '_ {
        self.lanes.iter().filter(|l| l.2).map(|l| (l.0, l.1))
    }

    /// A sheet of these lanes.
    pub fn sheet(&self, span: Span, size: [f32; 2], density: f32) -> LaneSheet {
        let mut sheet = LaneSheet::filling(span, size, density, self.shown());
        sheet.scale_v = self.scale_v;
        sheet
    }

    /// Moves the lower edge of a lane by a share of the height: what the lane gains, the next one
    /// shown loses.
    pub fn move_edge(&mut self, lane: Lane, by: f32) {
        let shown: Vec<usize> = (0..self.lanes.len()).filter(|&i| self.lanes[i].2).collect();
        let pair = shown.windows(2).find(|p| self.lanes[p[0]].0 == lane);
        let Some(&[above, below]) = pair else { return };
        let least = *Self::SHARES.start();
        let (most_up, most_down) = (
            (self.lanes[above].1 - least).max(0.0),
            (self.lanes[below].1 - least).max(0.0),
        );
        let by = by.clamp(-most_up, most_down);
        self.lanes[above].1 += by;
        self.lanes[below].1 -= by;
    }

    /// Makes a lane so many times as high against the others.
    pub fn grow(&mut self, lane: Lane, factor: f32) {
        for (_, share, _) in self.lanes.iter_mut().filter(|l| l.0 == lane) {
            *share = (*share * factor).clamp(*Self::SHARES.start(), *Self::SHARES.end());
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn lanes_are_read_as_they_are_written() {
        let choice = LaneChoice::parse("characters, Source=3.5").unwrap();
        let shown: Vec<_> = choice.shown().collect();
        assert_eq!(shown, [(Lane::Source, 3.5), (Lane::Characters, 0.9)]);
        let all = Lane::ALL.map(Lane::word).join(",");
        assert_eq!(LaneChoice::parse(&all), Ok(LaneChoice::default()));
        for (text, says) in [
            (
                "sauce",
                "there is no lane 'sauce'; the lanes are source, squarer",
            ),
            ("", "there is no lane ''"),
            (
                "source=big",
                "'big' is no share of the height; it takes 0.3 to 50",
            ),
            ("long=NaN", "no share"),
            ("long=0", "no share"),
        ] {
            assert!(
                LaneChoice::parse(text).unwrap_err().contains(says),
                "{text}"
            );
        }
        assert_eq!(LaneChoice::parse_volts("200mV"), Ok(0.2));
        assert_eq!(
            LaneChoice::parse_volts("0").unwrap_err(),
            "it takes 1 mV to 1 kV"
        );
    }

    #[test]
    fn an_edge_moves_between_the_two_lanes_that_are_shown_beside_it() {
        let mut choice = LaneChoice::default();
        choice.lanes[1].2 = false;
        choice.move_edge(Lane::Source, -0.6);
        let shares = |c: &LaneChoice| c.lanes.map(|l| l.1);
        assert_eq!(shares(&choice), [2.6 - 0.6, 1.0, 1.0 + 0.6, 1.35, 0.9]);
        choice.move_edge(Lane::Source, 9.0);
        assert!((choice.lanes[2].1 - 0.3).abs() < 1e-6);
        let before = choice;
        choice.move_edge(Lane::Characters, 1.0);
        choice.move_edge(Lane::Squarer, 1.0);
        assert_eq!(choice, before);
    }

    #[test]
    fn a_lane_grows_within_limits() {
        let mut choice = LaneChoice::default();
        choice.grow(Lane::Long, 2.0);
        assert_eq!(choice.lanes[3].1, 2.7);
        choice.grow(Lane::Long, 1e-9);
        assert_eq!(choice.lanes[3].1, 0.3);
    }
}
