//! How long the room of a placement takes in a browser: run by the build tool's `bench`, compiled as the page
//! is. Says lines; judges nothing.
#![allow(clippy::unwrap_used)]
#![cfg(target_arch = "wasm32")]

#[path = "../../core/benches/timed/mod.rs"]
mod timed;

use wasm_bindgen_test::{console_log, wasm_bindgen_test, wasm_bindgen_test_configure};

wasm_bindgen_test_configure!(run_in_browser);

#[wasm_bindgen_test]
#[ignore = "times alone"]
fn the_room() {
    let clock = web_sys::window().and_then(|window| window.performance()).unwrap();
    for case in &timed::CASES {
        timed::times(case, &|| clock.now(), &mut |what, of, ms| {
            // A line that the build tool reads.
            console_log!(r#"{{"what": "chromium: {what}", "of": "{of}", "ms": {ms}}}"#);
        });
    }
}
