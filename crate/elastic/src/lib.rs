//! Elastic curves: [`rod`] comes to rest in a tube, [`elastica`] is a line of free length that bends least.
//!
//! A crate of its own because a drag spends most of its time here: the page compiles it for speed and
//! everything else for size. It knows curves and planes in space, no aorta, no graft and no clock.

pub mod elastica;
pub mod rod;

/// A vector in space, mm or a direction.
pub type Vec3 = nalgebra::Vector3<f64>;
/// A point in space, mm.
pub type Point3 = nalgebra::Point3<f64>;
