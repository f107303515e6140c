//! The case file: what the user measured and planned, as JSON with a version.
//!
//! [`case`] holds the typed values, with [`measured`], [`device`], [`rule`] and [`procedure`]. [`fields`] is the
//! one table of fields from which checking, forms, the JSON Schema and the documentation come; [`shape`] is what
//! such a table can say. [`document`] reads and writes: [`json`] turns bytes into values and back into readable
//! text, [`check`] holds values against the table, [`consistency`] looks at what one part of a file asks of
//! another, with [`sheet_arch`] for a measuring sheet. [`difference`] says what
//! differs between two cases, [`alternative`] keeps such differences in one. [`edit`] changes one field at a
//! time, [`rows`] adds and takes rows of a graft's tables and of [`lists`], the kit and the checklist; [`taking`] takes another graft; [`hand`]
//! answers the question of the clock; [`days`] counts the age of the CT. Nothing here computes geometry.

pub mod alternative;
pub mod case;
pub mod check;
pub mod consistency;
pub mod days;
pub mod device;
pub mod difference;
pub mod document;
pub mod edit;
pub mod fields;
pub mod hand;
pub mod json;
mod layout;
pub mod lists;
pub mod measured;
pub mod procedure;
#[rustfmt::skip]
pub mod report_fields;
pub mod rows;
pub mod rule;
pub mod schema;
pub mod shape;
pub mod sheet_arch;
pub mod taking;
mod typed_value;

pub use case::Case;
pub use document::Document;
