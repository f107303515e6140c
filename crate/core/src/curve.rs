//! curve
