//! Numerical tools that know of angles, beside those of the crate of curves. Pure mathematics: nothing
//! here knows of an aorta.

pub mod contour;
pub mod periodic;

pub use extrados_curves::numeric::{quadrature, roots, shape_preserving, smoothing};
