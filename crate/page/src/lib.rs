//! The WebAssembly page: state, panels, drawing, pointer and files.
//!
//! It shows what the library computes and computes no number itself. Flow goes one way: event →
//! action → state → results → panels and scene → document and canvas, at most once a frame.

pub mod action;
pub mod app;
pub mod boundary;
pub mod canvas;
pub mod cell_events;
pub mod cells;
pub mod compare;
pub mod demos;
pub mod drag;
pub mod events;
pub mod files;
pub mod history;
pub mod hit;
pub mod host;
pub mod importing;
pub mod keys;
pub mod measured_drag;
pub mod mouth_drag;
pub mod moving;
pub mod panels;
pub mod patch;
pub mod pointer;
pub mod results;
pub mod snapshot;
pub mod state;
pub mod store;
pub mod svg_tree;
pub mod tree;
pub mod view;
pub mod words;

use wasm_bindgen::prelude::*;

/// The report of a case, for researchers and tests; see `www/extrados.d.ts`.
///
/// # Errors
/// A JavaScript `Error` with all faults of the case under `faults`.
#[wasm_bindgen]
pub fn report(case: &JsValue) -> Result<JsValue, JsValue> {
    boundary::report(case)
}

/// Panics in the midst of the page's work. Only a script calls it: the test of what is left then.
#[wasm_bindgen(js_name = panicForTest)]
#[allow(clippy::panic)]
pub fn panic_for_test() {
    app::run(|_| panic!("asked for by a test"));
}

/// Starts the page where its markup is present.
///
/// # Errors
/// What is missing in the document.
#[wasm_bindgen(start)]
pub fn start() -> Result<(), JsValue> {
    std::panic::set_hook(Box::new(|panic| {
        console_error_panic_hook::hook(panic);
        host::died(&panic.to_string());
    }));
    // In a test the library runs without the page.
    if host::document()?.get_element_by_id("page").is_none() {
        return Ok(());
    }
    app::start()?;
    events::listen()
}
