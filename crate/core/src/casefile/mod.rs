//! The case file: what the user measured and planned, as JSON with a version.
//!
//! [`case`] holds the typed shape, [`fields`] the one table of fields from which checking, forms,
//! the JSON Schema and the documentation come, [`shape`] what such a table can say, [`document`]
//! the reading and writing. Nothing here computes geometry.

pub mod case;
pub mod document;
pub mod fields;
pub mod hand;
pub mod schema;
pub mod shape;

pub use case::Case;
pub use document::Document;
