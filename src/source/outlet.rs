//! The way of the samples out of a reader: block by block, to whoever takes them.

use super::error::Fault;
use crate::signal::{Levels, repair};
use std::ops::ControlFlow;

/// Some samples of a file, as they are read.
#[derive(Clone, Copy, Debug)]
pub struct Block<'a> {
    /// The next samples in volts, all finite.
    pub samples: &'a [f32],
    /// Samples a second.
    pub rate_hz: u32,
    /// The magnitude in volts from which on a sample may have been cut: the greatest that its
    /// encoding has on both sides.
    pub clip_v: f64,
    /// The part of the file that has been read with this block, 0 to 1, where it is known.
    pub part: Option<f32>,
    /// Samples in all that it is worth making room for.
    pub room: usize,
}

/// Takes blocks, and says whether it wants more.
pub type Take<'a> = dyn FnMut(Block<'_>) -> ControlFlow<()> + 'a;

/// What a reader knows of the samples before they come.
#[derive(Clone, Copy)]
pub(super) struct Coming {
    /// Samples a second.
    pub rate_hz: u32,
    /// The part of full scale that their encoding reaches on both sides.
    pub top: f64,
    /// How many the file promises.
    pub promised: Option<u64>,
    /// For how many of them it is worth making room.
    pub room: usize,
}

/// Where a reader puts its samples.
pub(super) struct Outlet<'a> {
    take: &'a mut Take<'a>,
    full_scale_v: f64,
    coming: Coming,
    frames: u64,
    repaired: usize,
    giving: bool,
}

impl<'a> Outlet<'a> {
    /// The way to `take` for samples that are already volts.
    pub(super) fn new(take: &'a mut Take<'a>, full_scale_v: f64) -> Self {
        Self {
            take,
            full_scale_v,
            coming: Coming {
                rate_hz: 0,
                top: 1.0,
                promised: None,
                room: 0,
            },
            frames: 0,
            repaired: 0,
            giving: false,
        }
    }

    /// Says what comes, before it does.
    pub(super) fn announce(&mut self, coming: Coming) {
        self.coming = coming;
    }

    /// Hands on the samples of `block` and empties it.
    pub(super) fn give(&mut self, block: &mut Vec<f32>) -> Result<(), Fault> {
        if block.is_empty() {
            return Ok(());
        }
        self.repaired += repair(block);
        self.frames += block.len() as u64;
        let part = |promised| (self.frames as f32 / promised as f32).min(1.0);
        let (clip_v, part) = (self.clip_v(), self.coming.promised.map(part));
        self.giving = true;
        let flow = (self.take)(Block {
            samples: block,
            rate_hz: self.coming.rate_hz,
            clip_v,
            part,
            room: self.coming.room,
        });
        self.giving = false;
        block.clear();
        match flow {
            ControlFlow::Continue(()) => Ok(()),
            ControlFlow::Break(()) => Err(Fault::Stopped),
        }
    }

    /// Whether a block is being taken at this moment.
    pub(super) fn is_giving(&self) -> bool {
        self.giving
    }

    /// Samples a second.
    pub(super) fn rate_hz(&self) -> u32 {
        self.coming.rate_hz
    }

    /// As [`Block::clip_v`].
    pub(super) fn clip_v(&self) -> f64 {
        clip_v(self.full_scale_v, self.coming.top)
    }

    /// Samples so far.
    pub(super) fn frames(&self) -> u64 {
        self.frames
    }

    /// How many of them were no voltages.
    pub(super) fn repaired(&self) -> usize {
        self.repaired
    }
}

/// As [`Block::clip_v`], of an encoding whose greatest sample is this part of full scale.
pub(super) fn clip_v(full_scale_v: f64, top: f64) -> f64 {
    // Samples are single precision: a hair below, whatever way they were rounded.
    let top_v = full_scale_v * top * (1.0 - 1e-6);
    Levels::clip_v(full_scale_v).min(top_v)
}
