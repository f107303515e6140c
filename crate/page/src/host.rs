//! The few things the page asks of the browser, each in one small function.

use js_sys::{Array, Date};
use wasm_bindgen::prelude::*;
use web_sys::{
    Blob, BlobPropertyBag, Document, Element, HtmlAnchorElement, HtmlCanvasElement, HtmlElement, HtmlInputElement, Url,
    Window,
};

#[wasm_bindgen]
extern "C" {
    /// The start-up glue keeps the case ready to save should the program die.
    #[wasm_bindgen(catch, js_name = extradosKeep)]
    fn glue_keep(text: &str, name: &str, unsaved: bool) -> Result<(), JsValue>;

    /// The start-up glue blanks every result and offers the kept case.
    #[wasm_bindgen(catch, js_name = extradosDied)]
    fn glue_died(reason: &str) -> Result<(), JsValue>;

    #[wasm_bindgen(js_namespace = console, js_name = error)]
    fn console_error(what: &JsValue);
}

/// The window.
///
/// # Errors
/// Outside a page.
pub fn window() -> Result<Window, JsValue> {
    web_sys::window().ok_or_else(|| JsValue::from_str("There is no window."))
}

/// The document.
///
/// # Errors
/// Outside a page.
pub fn document() -> Result<Document, JsValue> {
    window()?.document().ok_or_else(|| JsValue::from_str("There is no document."))
}

/// An element of the page's own markup.
///
/// # Errors
/// Where it is missing.
pub fn element(document: &Document, id: &str) -> Result<Element, JsValue> {
    document.get_element_by_id(id).ok_or_else(|| JsValue::from_str(&format!("The page has no place called {id}.")))
}

/// A canvas of the page's own markup.
///
/// # Errors
/// Where it is missing.
pub fn canvas(document: &Document, id: &str) -> Result<HtmlCanvasElement, JsValue> {
    Ok(element(document, id)?.dyn_into()?)
}

/// Pixels of the screen for a CSS pixel.
pub fn pixel_ratio() -> f64 {
    window().map_or(1.0, |window| window.device_pixel_ratio())
}

/// Milliseconds since the page was opened; only to keep frames short.
pub fn now() -> f64 {
    window().ok().and_then(|window| window.performance()).map_or(0.0, |clock| clock.now())
}

/// Sets a mark on the browser's own timeline, where a measuring script finds it; the last of each name alone.
pub fn mark(name: &str) {
    if let Some(clock) = window().ok().and_then(|window| window.performance()) {
        clock.clear_marks_with_mark_name(name);
        let _ = clock.mark(name);
    }
}

/// Hands the case to the glue, and whether it differs from its file. Without glue (in a test) nothing is kept.
pub fn keep(text: &str, name: &str, unsaved: bool) {
    let _ = glue_keep(text, name, unsaved);
}

/// Tells the glue that the program has panicked.
pub fn died(reason: &str) {
    let _ = glue_died(reason);
}

/// Writes a fault of the page itself to the console; the user sees the page as it was.
pub fn complain(fault: &JsValue) {
    console_error(fault);
}

/// The title of the window.
pub fn set_title(title: &str) {
    if let Ok(document) = document()
        && document.title() != title
    {
        document.set_title(title);
    }
}

/// The paper of the sheet, as a class that the print style reads.
///
/// # Errors
/// Where there is no body.
pub fn set_paper(class: &str) -> Result<(), JsValue> {
    let root = document()?.document_element().ok_or_else(|| JsValue::from_str("The document is empty."))?;
    root.set_attribute("data-paper", class)
}

/// Says in the document which stage is shown, so that the style leaves out the others.
///
/// # Errors
/// What is missing in the document.
pub fn set_stage(name: &str) -> Result<(), JsValue> {
    element(&document()?, "plan")?.set_attribute("data-stage", name)
}

/// Today, `2026-08-01`, by the machine's own calendar. Only printed, never computed with.
pub fn today() -> String {
    let now = Date::new_0();
    format!("{}-{:02}-{:02}", now.get_full_year(), now.get_month() + 1, now.get_date())
}

/// Gives the focus to an element and brings it into sight; to the first field in it where it takes
/// none itself. Says whether there is such an element.
pub fn focus(id: &str) -> bool {
    const FIELDS: &str = "input, select, textarea, button, summary";
    let Some(place) = document().ok().and_then(|document| document.get_element_by_id(id)) else { return false };
    let inside = || {
        place
            .query_selector(".blank input")
            .ok()
            .flatten()
            .or(place.query_selector("input, select, textarea, button").ok().flatten())
    };
    let takes = place.has_attribute("tabindex") && place.id() != "entry" || place.matches(FIELDS) == Ok(true);
    let target = if takes { Some(place.clone()) } else { inside() };
    if let Some(target) = target.and_then(|target| target.dyn_into::<HtmlElement>().ok()) {
        // A place that cannot take the focus leaves it where it was.
        let _ = target.focus();
        // A window that lies behind another tells nobody of its focus: a cell is selected here too.
        if let Some(cell) = target.dyn_ref::<HtmlInputElement>().filter(|cell| cell.has_attribute("data-cell")) {
            cell.select();
        }
        if !takes || target.has_attribute("tabindex") {
            place.scroll_into_view();
        }
    }
    true
}

/// Puts words into an element of the page's own markup.
pub fn set_text(id: &str, words: &str) {
    let place = document().ok().and_then(|document| document.get_element_by_id(id));
    if let Some(place) = place.filter(|place| place.text_content().as_deref() != Some(words)) {
        place.set_text_content(Some(words));
    }
}

/// Gives the focus to an element where it stands.
pub fn focus_quietly(id: &str) {
    let place = document().ok().and_then(|document| document.get_element_by_id(id));
    if let Some(place) = place.and_then(|place| place.dyn_into::<HtmlElement>().ok()) {
        let _ = place.focus();
    }
}

/// Hands a text to the user as a file.
///
/// # Errors
/// What the browser refuses.
pub fn download(name: &str, text: &str) -> Result<(), JsValue> {
    let kind = BlobPropertyBag::new();
    kind.set_type("application/json");
    let blob = Blob::new_with_str_sequence_and_options(&Array::of1(&JsValue::from_str(text)), &kind)?;
    let address = Url::create_object_url_with_blob(&blob)?;
    let link: HtmlAnchorElement = document()?.create_element("a")?.dyn_into()?;
    link.set_href(&address);
    link.set_download(name);
    link.click();
    // The browser reads the blob after the click; a minute is enough for any disk.
    let release = Closure::once_into_js(move || {
        let _ = Url::revoke_object_url(&address);
    });
    window()?.set_timeout_with_callback_and_timeout_and_arguments_0(release.unchecked_ref(), 60_000)?;
    Ok(())
}

thread_local! {
    static FRAME: Closure<dyn FnMut()> = Closure::new(|| {
        if let Some(Some(id)) = crate::app::with(crate::app::App::frame) {
            focus(&id);
        }
    });
}

/// Asks for the next frame.
///
/// # Errors
/// Outside a page.
pub fn next_frame() -> Result<(), JsValue> {
    FRAME.with(|frame| window()?.request_animation_frame(frame.as_ref().unchecked_ref())).map(|_| ())
}
