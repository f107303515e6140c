//! What blood reaches, step by step of the release.
//!
//! [`network`] knows places, what joins them and how wide; the rest says what these are in an aorta.

pub mod network;
