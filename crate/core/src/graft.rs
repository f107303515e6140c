//! graft
