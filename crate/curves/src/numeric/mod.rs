//! Numerical tools: quadrature, splines, roots. Pure mathematics on numbers and vectors.

pub mod quadrature;
pub mod roots;
pub mod shape_preserving;
pub mod smoothing;
