//! document
pub struct Document;
