//! The lanes on one time axis.

use super::{Anchor, DisplayList, Font, Ink, Lane, Peaks, Rect, Span};
use super::{Summary, axis, characters, far, gaps, lane_head, summary};
use crate::settings::Bench;
use crate::signal::{Recording, Traces};

/// What is shown.
#[derive(Clone, Copy, Debug)]
pub struct Scene<'a> {
    /// The recording.
    pub recording: &'a Recording,
    /// Its peaks; an empty one serves, but makes long spans slow.
    pub peaks: &'a Peaks,
    /// What the stages put out.
    pub traces: &'a Traces,
    /// The settings with which they did.
    pub bench: &'a Bench,
    /// The peaks behind the input network, for spans too long to run it for every picture.
    pub shaped: Option<&'a Peaks>,
    /// How values spread over the whole recording, for spans too long to go through it for every
    /// picture.
    pub summary: Option<&'a Summary>,
    /// Traces to show faintly behind the present ones.
    pub ghost: Option<&'a Traces>,
    /// The selected characters.
    pub selected: Option<Chosen>,
    /// Two marked instants, A and B.
    pub marks: Marks,
}

/// Two marked instants in seconds, A and B.
pub type Marks = [Option<f64>; 2];

/// Characters that are marked: the one that is selected, or all that were found together.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Chosen {
    /// The index of the first.
    pub first: usize,
    /// How many they are.
    pub count: usize,
}

impl Chosen {
    /// The same with so many more characters before them.
    pub fn after(self, count: usize) -> Self {
        Self {
            first: self.first + count,
            ..self
        }
    }

    /// Whether the character of this index is one of them.
    pub fn holds(self, index: usize) -> bool {
        (self.first..self.first + self.count).contains(&index)
    }
}

/// Where the lanes lie.
#[derive(Clone, Debug, PartialEq)]
pub struct LaneSheet {
    /// The stretch of time.
    pub span: Span,
    /// Width of the sheet with the names at its left.
    pub width: f32,
    /// Columns to a point: pixels to a point on a screen.
    pub density: f32,
    /// The lanes from top to bottom with their heights.
    pub heights: Vec<(Lane, f32)>,
    /// Voltage at the top of the source lane; none for one that suits what is shown.
    pub scale_v: Option<f64>,
}

impl LaneSheet {
    /// Room for the names at the left.
    pub const GUTTER: f32 = 122.0;
    /// Room for the time axis at the bottom.
    pub const AXIS: f32 = 26.0;

    /// Lanes with their shares of the height on a sheet of the given size.
    pub fn filling(
        span: Span,
        [width, height]: [f32; 2],
        density: f32,
        shares: impl IntoIterator<Item = (Lane, f32)>,
    ) -> Self {
        let mut heights: Vec<_> = shares.into_iter().collect();
        let total: f32 = heights.iter().map(|h| h.1).sum();
        let room = (height - Self::AXIS).max(0.0);
        heights
            .iter_mut()
            .for_each(|h| h.1 = (room * h.1 / total).floor());
        Self {
            span,
            width,
            density,
            heights,
            scale_v: None,
        }
    }

    /// Its height with the axis.
    pub fn height(&self) -> f32 {
        self.heights.iter().map(|h| h.1).sum::<f32>() + Self::AXIS
    }

    /// The lanes with the areas in which their traces are drawn.
    pub fn areas(&self) -> impl Iterator<Item = (Lane, Rect)> + '_ {
        let mut y = 0.0;
        self.heights.iter().map(move |&(lane, h)| {
            let top = y;
            y += h;
            (lane, self.strip(top, h))
        })
    }

    /// The area of all traces, without names and axis.
    pub fn traces_area(&self) -> Rect {
        self.strip(0.0, self.height() - Self::AXIS)
    }

    fn strip(&self, y: f32, h: f32) -> Rect {
        Rect {
            x: Self::GUTTER,
            y,
            w: (self.width - Self::GUTTER).max(1.0),
            h,
        }
    }
}

/// Draws the lanes.
pub fn lanes(scene: &Scene<'_>, sheet: &LaneSheet) -> DisplayList {
    let mut list = DisplayList::new(sheet.width, sheet.height());
    let all = sheet.traces_area();
    // Round times are those of the capture that the recording is a stretch of.
    let counted = sheet.span.moved(scene.recording.begins_at_s());
    axis::draw_grid(&mut list, all, counted);
    for (lane, area) in sheet.areas() {
        let columns = summary::columns(scene, lane, area, sheet);
        let far = lane.row().far.as_ref().zip(columns);
        let notes = far.as_ref().map_or(&[][..], |far| far.0.notes);
        lane_head::draw(&mut list, scene, lane, notes, area);
        match far {
            Some((far, columns)) => {
                far::draw(&mut list, scene, (lane, far), &columns, area, sheet);
                if far.is_skyline {
                    characters::draw_marks(&mut list, scene, area, sheet.span);
                }
            }
            None => (lane.row().near)(&mut list, scene, lane, area, sheet),
        }
        list.line(
            [[0.0, area.bottom()], [area.right(), area.bottom()]],
            Ink::Rule,
            1.0,
        );
    }
    let below = Rect {
        y: all.bottom(),
        h: LaneSheet::AXIS,
        ..all
    };
    axis::draw_axis(&mut list, below, counted);
    gaps::draw(&mut list, scene.recording.gaps(), all, sheet.span);
    draw_marks(&mut list, scene.marks, all, sheet.span);
    list
}

/// Draws the marked instants across all lanes.
fn draw_marks(list: &mut DisplayList, marks: Marks, area: Rect, span: Span) {
    for (time_s, letter) in marks.into_iter().zip(["A", "B"]) {
        let Some(time_s) = time_s.filter(|t| span.contains(*t)) else {
            continue;
        };
        let x = span.x_of(time_s, area.x, area.w);
        list.line([[x, area.y], [x, area.bottom()]], Ink::Selection, 1.4);
        let flag = Rect {
            x,
            y: area.y,
            w: 14.0,
            h: 15.0,
        };
        list.fill(flag, Ink::Selection);
        let at = [x + 7.0, area.y + 7.5];
        list.text_as(at, letter, 11.0, Font::Bold, Anchor::Middle, Ink::Paper);
    }
}

#[cfg(test)]
mod tests {
    use super::super::Item;
    use super::*;
    use crate::settings::TapeSettings;
    use crate::signal::Chain;
    use crate::tape;

    /// Ten seconds into a capture, a stretch of it begins a tenth before what is shown.
    #[test]
    fn times_count_from_the_beginning_of_the_capture() {
        let recording = Recording::new(vec![0.0; 800], 1000).beginning_at(9.9);
        let scene = Scene {
            recording: &recording,
            peaks: &Peaks::default(),
            traces: &Traces::default(),
            bench: &Bench::default(),
            shaped: None,
            summary: None,
            ghost: None,
            selected: None,
            marks: [None; 2],
        };
        let sheet = LaneSheet::filling(
            Span::new(0.1, 0.5),
            [722.0, 300.0],
            1.0,
            [(Lane::Long, 1.0)],
        );
        let items = lanes(&scene, &sheet).items;
        let ticks = items.iter().filter_map(|item| match item {
            Item::Text { text, at, .. } if text.contains(':') => Some((text.as_str(), at[0])),
            _ => None,
        });
        let ticks: Vec<_> = ticks.collect();
        assert_eq!((ticks[0].0, ticks[4].0), ("0:10.0", "0:10.4"));
        let apart = ticks[0].1 - LaneSheet::GUTTER;
        assert!(apart.abs() < 0.1, "{apart}");
    }

    /// At every zoom, with lanes too low for anything to be seen, every rectangle has a size and
    /// every bar stays in its lane.
    #[test]
    fn lanes_of_any_height_can_be_drawn() {
        let settings = TapeSettings {
            leader_s: 0.1,
            ..Default::default()
        };
        let recording = tape::record(b"TIDE", &settings);
        let mut bench = Bench::default();
        bench.input.high_pass_hz = 20.0;
        let traces = Chain::read(&bench, &recording);
        let scene = Scene {
            recording: &recording,
            peaks: &Peaks::default(),
            traces: &traces,
            bench: &bench,
            shaped: None,
            summary: None,
            ghost: Some(&traces),
            selected: Some(Chosen { first: 1, count: 2 }),
            marks: [Some(0.12), None],
        };
        for length_s in [1e-8, 1e-4, 0.02, 0.3, 100.0] {
            for height in (0..240).step_by(7) {
                let shares = Lane::ALL.map(|lane| (lane, lane.share()));
                let span = Span::new(0.1, length_s);
                let sheet = LaneSheet::filling(span, [300.0, height as f32], 1.0, shares);
                for item in lanes(&scene, &sheet).items {
                    match item {
                        Item::Fill { rect, .. } | Item::Outline { rect, .. } => {
                            assert!(rect.w >= 0.0 && rect.h >= 0.0, "{rect:?}");
                        }
                        Item::Steps { levels, .. } => assert!(levels[0] <= levels[1]),
                        _ => {}
                    }
                }
            }
        }
    }
}
