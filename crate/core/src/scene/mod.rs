//! Pictures as plain data: what is drawn, in mm of paper, without saying how.
//!
//! Screen, print and command draw the same scene. A scene knows no pixel, no colour and no browser:
//! each item carries a style token, which [`style`] resolves to line, fill and hatch for every
//! output, and may be tied to a table row by an id. Coordinates are millimetres of the drawing, x to
//! the right and y down, origin at the upper left corner.

pub mod style;
pub mod svg;
pub mod wall_map;

use style::Token;

/// A picture.
#[derive(Clone, Debug, PartialEq)]
pub struct Scene {
    /// Width of the drawing, mm.
    pub width_mm: f64,
    /// Height of the drawing, mm.
    pub height_mm: f64,
    /// What it shows, in one line, for those who cannot see it.
    pub title: String,
    /// What is drawn, back to front.
    pub items: Vec<Item>,
}

/// One thing drawn.
#[derive(Clone, Debug, PartialEq)]
pub struct Item {
    /// How it is to look.
    pub token: Token,
    /// What it is.
    pub shape: Shape,
    /// Id of the table row that says the same in numbers (a tunnel's, an ostium's, …).
    pub tie: Option<String>,
}

/// A point of the drawing, mm.
pub type Spot = [f64; 2];

/// What can be drawn.
#[derive(Clone, Debug, PartialEq)]
pub enum Shape {
    /// An open line through points.
    Path(Vec<Spot>),
    /// A filled region: closed rings, even-odd.
    Area(Vec<Vec<Spot>>),
    /// Words.
    Text {
        /// Where the anchor stands, on the base line.
        at: Spot,
        /// The words.
        words: String,
        /// Which end of the words stands there.
        anchor: Anchor,
        /// Whether a patch of ground is laid under the words, so that lines do not cross them.
        patch: bool,
    },
    /// A small sign of fixed size.
    Mark {
        /// Where.
        at: Spot,
        /// Which sign.
        sign: Sign,
        /// Its size across, mm of the drawing.
        size_mm: f64,
    },
    /// A measured length with arrowheads at both ends.
    Dimension {
        /// One end.
        from: Spot,
        /// The other end.
        to: Spot,
    },
    /// Values on a grid, drawn as tints between two rows of numbers.
    Field {
        /// Upper left corner.
        from: Spot,
        /// Lower right corner.
        to: Spot,
        /// Columns of the grid.
        columns: usize,
        /// Row by row from the upper left; NaN where there is none.
        values: Vec<f32>,
        /// The values at the two ends of the tint.
        range: [f32; 2],
    },
}

/// Which end of a text stands at its place.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[allow(missing_docs)]
pub enum Anchor {
    Start,
    Middle,
    End,
}

/// Small signs.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[allow(missing_docs)]
pub enum Sign {
    Cross,
    Ring,
    CrossedRing,
    ArrowRight,
    ArrowLeft,
    Question,
    Handle,
}
