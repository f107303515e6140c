//! Curves in space: splines and their lengths, directions carried along them without twist, the axis of a
//! graft as a chain of cubics, and elastic curves: [`rod`] comes to rest in a tube, [`elastica`] is a line
//! of free length that bends least.
//!
//! A crate of its own because a drag spends most of its time here: the page compiles it for speed and
//! everything else for size. It knows points and directions, no aorta, no fabric and no clock.

pub mod axis;
pub mod curve;
pub mod elastica;
pub mod frame;
pub mod numeric;
pub mod rod;

/// A vector in space, mm or a direction.
pub type Vec3 = nalgebra::Vector3<f64>;
/// A point in space, mm.
pub type Point3 = nalgebra::Point3<f64>;
