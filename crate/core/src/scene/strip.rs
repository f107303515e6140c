//! strip
