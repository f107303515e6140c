//! The space between fabric and wall as a grid of cells: from where blood can get into it, and how wide
//! the widest way is from there to each opening of the wall.
//!
//! A cell is a point of the wall with its space to the fabric over it ([`crate::placement::space`] says
//! what that is). Where several grafts lie over a point there is a layer between each and the next; two
//! neighbouring cells are joined in layers that no fabric of both parts, as wide as the narrower of the
//! two. Beyond an edge of fabric a layer opens into the lumen, so an end that does not seal and a gap in
//! the fabric need no rule of their own: they are as wide as the space there.
//!
//! Knows fabric as it lies at one moment; not what a step is, which vessel needs blood, nor a limit.

mod ground;
mod laying;

pub use ground::Ground;

use crate::casefile::case::Graft;
use crate::graft::lie::GraftLie;
use crate::network::Width;
use crate::units::Angle;

/// A graft that is in place at a moment.
#[derive(Clone, Debug)]
pub struct Piece<'a> {
    /// The graft.
    pub graft: &'a Graft,
    /// Where it lies.
    pub lie: &'a GraftLie,
    /// How far it is open, mm from its proximal edge.
    pub open_to_mm: f64,
    /// Radius to which the rest is held, mm.
    pub held_mm: Option<f64>,
    /// Whether the rest is still in its carrier: no blood runs through it.
    pub carried: bool,
    /// By how much it is turned beyond where it lies.
    pub turned: Angle,
}

/// From where blood gets into the chamber.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Source {
    /// The lumen, by its stretch; 0 is the one that the heart fills.
    Lumen(usize),
    /// The mouth of a tunnel, in a stretch of lumen.
    Mouth(String, usize),
    /// A fenestration or a scallop, in a stretch of lumen.
    Opening(String, usize),
}

/// Where it gets to.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Sink {
    /// An opening of the wall, by its id.
    Site(String),
    /// A stretch of lumen.
    Lumen(usize),
}

/// A place on the wall.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Place {
    /// Station, mm.
    pub station_mm: f64,
    /// Clock.
    pub clock: Angle,
}

/// A way from a source to a sink.
#[derive(Clone, Debug, PartialEq)]
pub struct Passage {
    /// From.
    pub from: Source,
    /// To.
    pub to: Sink,
    /// How wide it is where it is narrowest.
    pub width: Width,
    /// Where that is; `None` where nothing on it is measured.
    pub at: Option<Place>,
    /// Whether it runs through the space, and not straight from the lumen or an opening.
    pub by_space: bool,
}

/// What joins lumen, mouths and openings with the openings of the wall.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Chamber {
    /// Everything that blood may get in from.
    pub sources: Vec<Source>,
    /// Every way, source by source.
    pub passages: Vec<Passage>,
    /// How many stretches of lumen there are that fabric in its carrier parts.
    pub lumens: usize,
}
