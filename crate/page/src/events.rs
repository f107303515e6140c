//! Every listener of the page, registered once, at the start.
//!
//! Markup says what it does (`data-do`), what it fills (`data-field`) and what it is tied to
//! (`data-tie`); listeners on the document read that, so panels come and go without listeners of
//! their own. An event becomes an action and nothing else.

mod keyboard;
mod pointers;
mod verbs;
mod watching;

use crate::action::Action;
use crate::app::{self, App, Purpose, Surface};
use crate::cell_events;
use crate::panels::form;
use crate::{files, host};
use keyboard::key_down;
use pointers::{chart_pointer, pointer_down, pointer_moved, pointer_up};
use verbs::do_it;
use wasm_bindgen::JsCast;
use wasm_bindgen::convert::FromWasmAbi;
use wasm_bindgen::prelude::{Closure, JsValue};
use watching::{watch_ratio, watch_size};
use web_sys::{
    BeforeUnloadEvent, ClipboardEvent, DragEvent, Element, Event, EventTarget, HtmlInputElement, HtmlSelectElement,
    HtmlTextAreaElement, KeyboardEvent, PointerEvent,
};

/// Id of the map's focusable frame.
const MAP: &str = "map";

/// Registers all listeners.
///
/// # Errors
/// What is missing in the document.
pub fn listen() -> Result<(), JsValue> {
    let document = host::document()?;
    let window = host::window()?;
    let map = host::element(&document, MAP)?;
    on(&document, "click", |event: Event| clicked(&event))?;
    on(&document, "change", |event: Event| changed(&event))?;
    on(&document, "pointerover", |event: Event| tied(&event))?;
    on(&document, "focusin", |event: Event| {
        tied(&event);
        helped(&event);
    })?;
    on(&document, "paste", |event: ClipboardEvent| cell_events::paste(&event))?;
    on(&document, "keydown", |event: KeyboardEvent| key_down(&event))?;
    on(&document, "keyup", |_: Event| app::run(App::key_up))?;
    on(&map, "blur", |_: Event| app::run(App::key_up))?;
    on(&document, "dragover", |event: DragEvent| event.prevent_default())?;
    on(&document, "drop", |event: DragEvent| dropped(&event))?;
    on(&map, "pointerdown", |event: PointerEvent| pointer_down(&event, Surface::Map))?;
    on(&map, "pointermove", |event: PointerEvent| pointer_moved(&event, Surface::Map))?;
    on(&document, "pointerdown", |event: PointerEvent| pointer_down(&event, Surface::Side))?;
    on(&document, "pointermove", |event: PointerEvent| pointer_moved(&event, Surface::Side))?;
    for end in ["pointerup", "pointercancel", "lostpointercapture"] {
        on(&map, end, |event: PointerEvent| pointer_up(&event, Surface::Map))?;
        on(&document, end, |event: PointerEvent| pointer_up(&event, Surface::Side))?;
    }
    // The chart of views comes and goes with its stage, so the document listens for it.
    on(&document, "pointerdown", |event: PointerEvent| chart_pointer(&event, true))?;
    on(&document, "pointermove", |event: PointerEvent| chart_pointer(&event, false))?;
    on(&map, "pointerleave", |_: PointerEvent| app::run(|app| app.act(Action::Tie(None))))?;
    on(&window, "beforeunload", |event: BeforeUnloadEvent| {
        if app::with(|app| app.store().state().unsaved()) == Some(true) {
            event.prevent_default();
        }
    })?;
    on(&window, "beforeprint", |_: Event| {
        app::run(|app| app.prepare_sheet().unwrap_or_else(|fault| host::complain(&fault)))
    })?;
    on(&window, "afterprint", |_: Event| app::run(App::printed))?;
    watch_size(&map)?;
    watch_ratio();
    Ok(())
}

/// Registers one listener for as long as the page lives.
fn on<E: FromWasmAbi + 'static>(
    target: &EventTarget,
    name: &str,
    does: impl FnMut(E) + 'static,
) -> Result<(), JsValue> {
    let closure = Closure::<dyn FnMut(E)>::new(does);
    target.add_event_listener_with_callback(name, closure.as_ref().unchecked_ref())?;
    // Once, at the start: the page keeps it until it is closed.
    closure.forget();
    Ok(())
}

/// The nearest element at or above an event's target that has an attribute, with its value.
fn said(event: &Event, attribute: &str) -> Option<(Element, String)> {
    let target: Element = event.target()?.dyn_into().ok()?;
    let element = target.closest(&format!("[{attribute}]")).ok()??;
    let value = element.get_attribute(attribute)?;
    Some((element, value))
}

fn clicked(event: &Event) {
    cell_events::clicked(event);
    let Some((element, does)) = said(event, "data-do") else { return };
    // Radios, boxes and lists speak through `change`.
    if element.tag_name() == "BUTTON" {
        do_it(&does, "");
    }
}

fn changed(event: &Event) {
    let Some(target) = event.target() else { return };
    if let Some(input) = target.dyn_ref::<HtmlInputElement>().filter(|input| input.id() == files::FIELD) {
        if let Some(chosen) = input.files() {
            files::take(&chosen);
        }
        return;
    }
    if let Some((element, address)) = said(event, "data-cell") {
        cell_events::changed(&element, &address);
        return;
    }
    if let Some((element, does)) = said(event, "data-do") {
        let value = match (element.dyn_ref::<HtmlSelectElement>(), element.dyn_ref::<HtmlInputElement>()) {
            _ if element.dyn_ref::<HtmlTextAreaElement>().is_some() => {
                element.dyn_ref::<HtmlTextAreaElement>().map(HtmlTextAreaElement::value).unwrap_or_default()
            }
            (None, Some(input)) if input.type_() == "text" => input.value(),
            (Some(select), _) => {
                let value = select.value();
                // A list that opens something is a menu: it goes back to its first line.
                if !select.has_attribute("data-keep") {
                    select.set_value("");
                }
                value
            }
            (None, Some(input)) if input.type_() == "checkbox" => input.checked().to_string(),
            (None, Some(input)) if input.type_() != "radio" => input.value(),
            _ => String::new(),
        };
        do_it(&does, &value);
        return;
    }
    if let Some((element, pointer)) = said(event, "data-field") {
        fill(&element, &pointer);
    }
}

/// A field was filled in.
fn fill(element: &Element, pointer: &str) {
    let typed = match (element.dyn_ref::<HtmlInputElement>(), element.dyn_ref::<HtmlSelectElement>()) {
        (Some(input), _) => input.value(),
        (None, Some(select)) => select.value(),
        (None, None) => return,
    };
    app::with(|app| match form::read(&app.store().state().now.case, pointer, &typed) {
        Ok(value) => app.act(Action::Fill { pointer: pointer.into(), value, typed: typed.clone() }),
        Err(refused) => app.act(Action::Refuse(refused)),
    });
    // The field shows the value as the page writes it: back to what the last draw said, from which
    // the next draw goes on. What was refused keeps its letters.
    let refused = app::with(|app| app.store().state().refused_at(pointer).is_some()) == Some(true);
    if let Some(input) = element.dyn_ref::<HtmlInputElement>().filter(|_| !refused) {
        input.set_value(&input.default_value());
    }
}

/// The help of the field that has the focus, in one line under the tables.
fn helped(event: &Event) {
    let words = said(event, "title")
        .filter(|(element, _)| element.has_attribute("data-cell") || element.has_attribute("data-field"));
    host::set_text("field-help", &words.map(|(_, words)| words).unwrap_or_default());
    cell_events::focused(event);
}

/// Pointer or focus came to something that is tied to a shape, or to something that is not.
fn tied(event: &Event) {
    // On the map the drawing itself says what is under the pointer.
    if said(event, "id").is_some_and(|(_, id)| id == MAP || id == "map-canvas") {
        return;
    }
    let tie = said(event, "data-tie").map(|(_, tie)| tie);
    app::with(|app| app.act(Action::Tie(tie)));
}

fn dropped(event: &DragEvent) {
    event.prevent_default();
    if let Some(dropped) = event.data_transfer().and_then(|data| data.files()) {
        app::run(|app| app.purpose = Purpose::Any);
        files::take(&dropped);
    }
}
