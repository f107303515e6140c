//! schema
