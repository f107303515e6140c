//! fields
