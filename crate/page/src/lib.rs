//! The WebAssembly page.
