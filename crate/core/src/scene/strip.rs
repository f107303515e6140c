//! Strip.
