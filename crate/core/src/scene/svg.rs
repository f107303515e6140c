//! svg
