//! message
