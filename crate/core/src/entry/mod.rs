//! Entry: what a person types, as changes to a case.
//!
//! [`typed`] reads the letters of one field; [`table`] shows a part of the case as rows and cells,
//! changes it and takes what is pasted; [`tables`] says which tables there are; [`edges`] turns a
//! distance to an ostium's edge into its centre. Knows no browser and draws nothing.

pub mod edges;
pub mod table;
pub mod tables;
pub mod typed;
