//! What joins a tunnel to its vessel: the bridging path in space and the stent to order.
//!
//! [`elastica`] integrates a line of free length that bends as little as it can; [`curve`] finds the
//! one between two poses; [`arcs`] the widest bend that any arc-line-arc between them could have.
//! [`path`] takes the poses from graft and vessel; [`vessel`] says where a stent may end in a vessel;
//! [`stent`] chooses one from the stock. Nothing here knows a rule or how a number is shown.

pub mod arcs;
pub mod curve;
mod elastica;

use crate::units::{Point3, Vec3};

/// A point with the direction in which a path runs through it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Pose {
    /// The point, LPS mm.
    pub point: Point3,
    /// Unit direction, LPS.
    pub direction: Vec3,
}
