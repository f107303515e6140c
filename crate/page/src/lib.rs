//! The WebAssembly page: state, panels, drawing, pointer and files.
//!
//! It shows what the library computes and computes no number itself. Flow goes one way: event →
//! action → state → results → panels and scene → document and canvas, at most once a frame.

pub mod drag;
pub mod history;
pub mod keys;
pub mod patch;
pub mod pointer;
pub mod state;
pub mod tree;
pub mod view;
