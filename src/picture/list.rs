//! The display list: what is to be drawn, in the order of drawing.

use super::Ink;

/// A place in points, x to the right and y down.
pub type Point = [f32; 2];

/// A rectangle in points.
#[derive(Clone, Copy, Debug, PartialEq, Default)]
pub struct Rect {
    /// Left edge.
    pub x: f32,
    /// Top edge.
    pub y: f32,
    /// Width.
    pub w: f32,
    /// Height.
    pub h: f32,
}

impl Rect {
    /// Right edge.
    pub fn right(&self) -> f32 {
        self.x + self.w
    }

    /// Bottom edge.
    pub fn bottom(&self) -> f32 {
        self.y + self.h
    }

    /// Whether the point lies in it.
    pub fn contains(&self, at: Point) -> bool {
        (self.x..=self.right()).contains(&at[0]) && (self.y..=self.bottom()).contains(&at[1])
    }
}

/// An ink and how much of it: 1 covers, 0 does not show.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Paint {
    /// Which ink.
    pub ink: Ink,
    /// How much of it, 0 to 1.
    pub opacity: f32,
}

impl Paint {
    /// Some of an ink.
    pub const fn thin(ink: Ink, opacity: f32) -> Self {
        Self { ink, opacity }
    }
}

impl From<Ink> for Paint {
    fn from(ink: Ink) -> Self {
        Self { ink, opacity: 1.0 }
    }
}

/// Which side of a text stands at its place. Vertically, the place is the middle of the line.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Anchor {
    /// The text begins there.
    Start,
    /// The text is centred there.
    Middle,
    /// The text ends there.
    End,
}

/// A face of the lettering.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Font {
    /// Proportional.
    Plain,
    /// Proportional and bold.
    Bold,
    /// All letters of one width.
    Mono,
}

/// Width of a letter of [`Font::Mono`] for each point of its size.
pub const MONO_ADVANCE: f32 = 0.602_05;

/// Mean width of a letter of [`Font::Plain`] for each point of its size, measured generously.
pub const MEAN_ADVANCE: f32 = 0.56;

/// One thing to draw.
#[derive(Clone, Debug, PartialEq)]
pub enum Item {
    /// A filled rectangle.
    Fill {
        /// Where.
        rect: Rect,
        /// With what.
        paint: Paint,
        /// Radius of the corners.
        radius: f32,
    },
    /// The outline of a rectangle.
    Outline {
        /// Where.
        rect: Rect,
        /// With what.
        paint: Paint,
        /// Width of the line.
        width: f32,
        /// Radius of the corners.
        radius: f32,
    },
    /// A straight line.
    Line {
        /// Its two ends.
        ends: [Point; 2],
        /// With what.
        paint: Paint,
        /// Width of the line.
        width: f32,
        /// Lengths of stroke and gap, where it is dashed.
        dash: Option<[f32; 2]>,
    },
    /// A line through points.
    Path {
        /// The points.
        points: Vec<Point>,
        /// With what.
        paint: Paint,
        /// Width of the line.
        width: f32,
    },
    /// A filled polygon without notches.
    Polygon {
        /// Its corners.
        points: Vec<Point>,
        /// With what.
        paint: Paint,
    },
    /// A filled circle.
    Dot {
        /// Its middle.
        at: Point,
        /// Its radius.
        radius: f32,
        /// With what.
        paint: Paint,
    },
    /// Upright bars side by side, each from a top to a bottom.
    Columns {
        /// Left edge of the first.
        x: f32,
        /// Width of each.
        step: f32,
        /// Top and bottom of each; where the top lies below the bottom there is no bar.
        extents: Vec<[f32; 2]>,
        /// With what.
        paint: Paint,
    },
    /// A two-level trace.
    Steps {
        /// Left and right end.
        ends: [f32; 2],
        /// Where the level changes, from left to right.
        changes: Vec<f32>,
        /// Whether it begins at the upper level.
        starts_high: bool,
        /// Height of the upper and of the lower level.
        levels: [f32; 2],
        /// With what.
        paint: Paint,
        /// Width of the line.
        width: f32,
    },
    /// A line of text.
    Text {
        /// Where its anchor stands.
        at: Point,
        /// What it says.
        text: String,
        /// Size of the lettering.
        size: f32,
        /// The face.
        font: Font,
        /// Which side stands at its place.
        anchor: Anchor,
        /// With what.
        paint: Paint,
    },
}

impl Item {
    /// Moves it.
    fn move_by(&mut self, by: Point) {
        let shift = |p: &mut Point| *p = [p[0] + by[0], p[1] + by[1]];
        match self {
            Item::Fill { rect, .. } | Item::Outline { rect, .. } => {
                rect.x += by[0];
                rect.y += by[1];
            }
            Item::Line { ends, .. } => ends.iter_mut().for_each(shift),
            Item::Path { points, .. } | Item::Polygon { points, .. } => {
                points.iter_mut().for_each(shift);
            }
            Item::Dot { at, .. } | Item::Text { at, .. } => shift(at),
            Item::Columns { x, extents, .. } => {
                *x += by[0];
                extents.iter_mut().flatten().for_each(|y| *y += by[1]);
            }
            Item::Steps {
                ends,
                changes,
                levels,
                ..
            } => {
                ends.iter_mut().chain(changes).for_each(|x| *x += by[0]);
                levels.iter_mut().for_each(|y| *y += by[1]);
            }
        }
    }
}

/// Things to draw, in order, on a page of the given size.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct DisplayList {
    /// Width of the page.
    pub width: f32,
    /// Height of the page.
    pub height: f32,
    /// What is drawn, the first below the others.
    pub items: Vec<Item>,
}

impl DisplayList {
    /// An empty page.
    pub fn new(width: f32, height: f32) -> Self {
        Self {
            width,
            height,
            items: Vec::new(),
        }
    }

    /// Adds another list, moved by `by`.
    pub fn place(&mut self, mut other: DisplayList, by: Point) {
        for item in &mut other.items {
            item.move_by(by);
        }
        self.items.append(&mut other.items);
    }

    /// Adds a filled rectangle.
    pub fn fill(&mut self, rect: Rect, paint: impl Into<Paint>) {
        self.items.push(Item::Fill {
            rect,
            paint: paint.into(),
            radius: 0.0,
        });
    }

    /// Adds a straight line.
    pub fn line(&mut self, ends: [Point; 2], paint: impl Into<Paint>, width: f32) {
        self.items.push(Item::Line {
            ends,
            paint: paint.into(),
            width,
            dash: None,
        });
    }

    /// Adds a dashed line.
    pub fn dashed(&mut self, ends: [Point; 2], paint: impl Into<Paint>, dash: [f32; 2]) {
        self.items.push(Item::Line {
            ends,
            paint: paint.into(),
            width: 1.0,
            dash: Some(dash),
        });
    }

    /// Adds a line of plain text that begins at `at`.
    pub fn text(&mut self, at: Point, text: impl Into<String>, size: f32, ink: Ink) {
        self.text_as(at, text, size, Font::Plain, Anchor::Start, ink);
    }

    /// Adds a line of text.
    pub fn text_as(
        &mut self,
        at: Point,
        text: impl Into<String>,
        size: f32,
        font: Font,
        anchor: Anchor,
        paint: impl Into<Paint>,
    ) {
        let (text, paint) = (text.into(), paint.into());
        self.items.push(Item::Text {
            at,
            text,
            size,
            font,
            anchor,
            paint,
        });
    }
}
