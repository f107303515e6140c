//! Numerical tools: quadrature, splines, roots. Pure mathematics on numbers and vectors; nothing
//! here knows of an aorta.

pub mod contour;
pub mod periodic;
pub mod quadrature;
pub mod roots;
pub mod shape_preserving;
pub mod smoothing;
