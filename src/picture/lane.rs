//! The table of the lanes: one row describes a lane for pictures, window, exports and help.

use super::{
    DisplayList, Ink, LaneSheet, Rect, Scene, analog, characters, digital, far, far::Far, lane_head,
};
use crate::settings::Bench;
use crate::signal::{Edges, Traces};

/// One of the lanes, from top to bottom in the order in which the signal runs.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Lane {
    /// The recording, before and after the input network.
    Source,
    /// The squarer's output.
    Squarer,
    /// The short one-shot's output.
    Short,
    /// The long one-shot's output with bits and sampling instants.
    Long,
    /// The characters.
    Characters,
}

/// Draws a lane's traces in an area.
pub(super) type Draw = fn(&mut DisplayList, &Scene<'_>, Lane, Rect, &LaneSheet);

/// All there is to say of a lane.
pub(super) struct Row {
    lane: Lane,
    /// The name at its head.
    name: &'static str,
    /// The word for it on the command line and in read-outs.
    word: &'static str,
    /// The name of its trace in exported files.
    file_name: &'static str,
    /// The ink of its trace.
    ink: Ink,
    /// Its share of the height, where nobody has set another.
    share: f32,
    /// The two-level trace that it shows.
    edges: Option<fn(&Traces) -> &Edges>,
    /// The trace whose edges draw the pointer and the marks.
    snaps_to: fn(&Traces) -> &Edges,
    /// What stands below its name: what its stage is set to.
    pub(super) notes: fn(&Bench) -> Vec<String>,
    /// What it shows where single edges are to be seen.
    pub(super) near: Draw,
    /// What it shows in views too long for that.
    pub(super) far: Option<Far>,
}

/// The lanes, in the order of the signal.
const ROWS: [Row; 5] = [
    Row {
        lane: Lane::Source,
        name: "Source",
        word: "source",
        file_name: "source",
        ink: Ink::Source,
        share: 2.6,
        edges: None,
        snaps_to: squarer,
        notes: lane_head::source,
        near: analog::draw,
        far: None,
    },
    Row {
        lane: Lane::Squarer,
        name: "Squarer",
        word: "squarer",
        file_name: "squarer",
        ink: Ink::Squarer,
        share: 1.0,
        edges: Some(squarer),
        snaps_to: squarer,
        notes: lane_head::squarer,
        near: digital::draw,
        far: Some(far::CYCLES),
    },
    Row {
        lane: Lane::Short,
        name: "Short one-shot",
        word: "short",
        file_name: "short_one_shot",
        ink: Ink::Short,
        share: 1.0,
        edges: Some(short),
        snaps_to: short,
        notes: lane_head::short,
        near: digital::draw,
        far: Some(far::PULSES),
    },
    Row {
        lane: Lane::Long,
        name: "Long one-shot",
        word: "long",
        file_name: "long_one_shot",
        ink: Ink::Long,
        share: 1.35,
        edges: Some(long),
        snaps_to: long,
        notes: lane_head::long,
        near: characters::draw_line,
        far: Some(far::ENDS),
    },
    Row {
        lane: Lane::Characters,
        name: "Characters",
        word: "characters",
        file_name: "character",
        ink: Ink::Character,
        share: 0.9,
        edges: None,
        snaps_to: long,
        notes: lane_head::characters,
        near: characters::draw,
        far: Some(far::MARGINS),
    },
];

fn squarer(traces: &Traces) -> &Edges {
    &traces.squarer
}

fn short(traces: &Traces) -> &Edges {
    &traces.short
}

fn long(traces: &Traces) -> &Edges {
    &traces.long
}

impl Lane {
    /// Every lane.
    pub const ALL: [Lane; ROWS.len()] = {
        let mut all = [Lane::Source; ROWS.len()];
        let mut i = 0;
        while i < all.len() {
            all[i] = ROWS[i].lane;
            i += 1;
        }
        all
    };

    /// The lanes that show a two-level trace.
    pub fn two_level() -> impl Iterator<Item = Lane> {
        Self::ALL.into_iter().filter(|l| l.row().edges.is_some())
    }

    /// The two-level traces, in the order of [`Lane::two_level`].
    pub fn all_edges(traces: &Traces) -> impl Iterator<Item = &Edges> {
        Self::ALL.into_iter().filter_map(|l| l.edges(traces))
    }

    pub(super) fn row(self) -> &'static Row {
        const { &ROWS }
            .iter()
            .find(|row| row.lane == self)
            .expect("every lane has a row")
    }

    /// The two-level trace that it shows; none for the source and the characters.
    pub fn edges(self, traces: &Traces) -> Option<&Edges> {
        self.row().edges.map(|of| of(traces))
    }

    /// The trace whose edges draw the pointer and the marks: its own, or the one that belongs to
    /// what it shows.
    pub fn snaps_to(self, traces: &Traces) -> &Edges {
        (self.row().snaps_to)(traces)
    }

    /// The name at its head.
    pub fn name(self) -> &'static str {
        self.row().name
    }

    /// The word for it on the command line and in read-outs.
    pub fn word(self) -> &'static str {
        self.row().word
    }

    /// The name of its trace in exported files.
    pub fn file_name(self) -> &'static str {
        self.row().file_name
    }

    /// The ink of its trace.
    pub fn ink(self) -> Ink {
        self.row().ink
    }

    /// Its share of the height, where nobody has set another.
    pub fn share(self) -> f32 {
        self.row().share
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Words and names in files tell lanes apart, and pointers stay on the trace that is shown.
    #[test]
    fn rows_tell_lanes_apart() {
        for (i, a) in Lane::ALL.into_iter().enumerate() {
            assert_eq!(a.row().lane, a);
            for b in &Lane::ALL[i + 1..] {
                assert!(a != *b && a.word() != b.word() && a.file_name() != b.file_name());
            }
        }
        let traces = Traces::default();
        for lane in Lane::two_level() {
            let own = lane.edges(&traces).unwrap();
            assert!(std::ptr::eq(own, lane.snaps_to(&traces)));
        }
    }
}
