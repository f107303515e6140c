//! anatomy
