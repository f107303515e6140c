//! An elastic rod that slides along inside a curved tube: where it comes to rest.
//!
//! It minimises ½∫κ² ds − λ·length over curves that meet each cross plane of the tube within a disc:
//! κ the rod's true curvature, its length free, λ the push along it over its bending stiffness, per
//! mm². The rod is a chain of straight pieces whose joints lie in the cross planes; energy and offsets
//! err by the square of a piece's length.
//!
//! [`energy`] is the chain's energy with both derivatives, [`banded`] the equations of one step,
//! [`solver`] finds the least energy. Nothing here knows of aortas, grafts or stations: where the
//! planes stand and how wide their discs are is the caller's business, also while the rod moves.

pub mod banded;
pub mod energy;
pub mod solver;

use crate::{Point3, Vec3};

/// A cross plane that the rod passes.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Plane {
    /// Centre of its disc, mm.
    pub centre: Point3,
    /// Two unit directions that span it, square to each other.
    pub across: [Vec3; 2],
    /// Radius of the disc that the rod stays in, mm; 0 holds it at the centre.
    pub room_mm: f64,
}

/// How the rod goes on beyond one of its ends.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum End {
    /// Its direction is given: a unit vector along the rod, from first to last plane.
    Along(Vec3),
    /// It ends there, free to turn.
    Free,
}

/// A rod and its tube.
#[derive(Clone, Debug)]
pub struct Rod {
    /// The planes in order; the rod has one joint in each.
    pub planes: Vec<Plane>,
    /// Push over bending stiffness λ, per mm².
    pub push_per_mm2: f64,
    /// Its first and last end.
    pub ends: [End; 2],
}

/// Where a joint lies in its plane, mm along the plane's two directions.
pub type Offset = [f64; 2];

impl Rod {
    /// The joint of a plane.
    pub fn joint(&self, index: usize, offset: &Offset) -> Point3 {
        let plane = &self.planes[index];
        plane.centre + plane.across[0] * offset[0] + plane.across[1] * offset[1]
    }
}
