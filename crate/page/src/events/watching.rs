//! The size of the map's frame and the screen's pixel ratio, which change without an event of the page.

use crate::app::{self, App};
use crate::host;
use wasm_bindgen::JsCast;
use wasm_bindgen::prelude::{Closure, JsValue};
use web_sys::{Element, ResizeObserver};

/// Follows the size of the map's frame.
pub(super) fn watch_size(map: &Element) -> Result<(), JsValue> {
    let frame = map.clone();
    let resized = Closure::<dyn FnMut()>::new(move || {
        let size = [f64::from(frame.client_width()), f64::from(frame.client_height())];
        app::with(|app| app.resize(size));
    });
    let observer = ResizeObserver::new(resized.as_ref().unchecked_ref())?;
    observer.observe(map);
    resized.forget();
    Ok(())
}

/// Follows the screen's pixel ratio: the window may go to another screen, or be zoomed.
pub(super) fn watch_ratio() {
    let query = format!("(resolution: {}dppx)", host::pixel_ratio());
    let Some(list) = host::window().ok().and_then(|window| window.match_media(&query).ok().flatten()) else { return };
    // A query answers for one ratio; at a new one, another is asked.
    let closure = Closure::once_into_js(|| {
        app::with(App::schedule);
        watch_ratio();
    });
    let once = web_sys::AddEventListenerOptions::new();
    once.set_once(true);
    let _ =
        list.add_event_listener_with_callback_and_add_event_listener_options("change", closure.unchecked_ref(), &once);
}
