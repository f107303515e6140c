//! What blood reaches, step by step of the release.
//!
//! [`crate::network`] knows places, what joins them and how wide; here is said what these are in an aorta.

pub mod chamber;
pub mod editing;
pub mod false_lumen;
pub mod flow;
pub mod orders;
pub mod over_room;
pub mod release;
pub mod stage;
pub mod standing;
pub mod surprise;
pub mod templates;
pub mod words;
pub mod working;
