//! Keys, by what has the focus.

use super::verbs::{help, print};
use super::{MAP, fill};
use crate::app::{self, Purpose};
use crate::keys::{self, Does, Focus, Key};
use crate::panels::{stage_carm, stage_graft};
use crate::{cell_events, files};
use wasm_bindgen::JsCast;
use web_sys::{Element, HtmlInputElement, KeyboardEvent};

pub(super) fn key_down(event: &KeyboardEvent) {
    let target = event.target().and_then(|target| target.dyn_into::<Element>().ok());
    let takes_letters = "textarea, select, input:not([type=radio]):not([type=checkbox])";
    if target.as_ref().is_some_and(|target| cell_events::key(event, target)) {
        return;
    }
    let untouched = |target: &Element| {
        target.dyn_ref::<HtmlInputElement>().is_some_and(|input| input.value() == input.default_value())
    };
    let focus = match &target {
        Some(target) if target.id() == MAP || target.id() == stage_graft::SIDE_VIEW => Focus::Map,
        Some(target) if target.matches(takes_letters) == Ok(true) && untouched(target) => Focus::Untouched,
        Some(target) if target.id() == stage_carm::CHART => Focus::Chart,
        Some(target) if target.matches(takes_letters) == Ok(true) => Focus::Field,
        _ => Focus::Elsewhere,
    };
    let name = event.key();
    let key =
        Key { name: &name, ctrl: event.ctrl_key() || event.meta_key(), shift: event.shift_key(), alt: event.alt_key() };
    let Some(does) = keys::does(key, focus) else { return };
    // An open dialog closes by Escape, which the browser does.
    if does != Does::Escape {
        event.prevent_default();
    }
    match does {
        Does::Open => files::choose(Purpose::Any),
        Does::Save => {
            leave_field(target.as_ref());
            files::save();
        }
        Does::Print => {
            leave_field(target.as_ref());
            print();
        }
        Does::Help => help(),
        Does::Undo | Does::Redo | Does::Escape | Does::Stage(_) | Does::Swing(_) | Does::Nudge { .. } => {
            app::run(|app| app.key(does));
        }
    }
}

/// What stands half typed in a field belongs to what is saved or printed.
fn leave_field(target: Option<&Element>) {
    let Some(field) = target.and_then(|target| target.dyn_ref::<HtmlInputElement>()) else { return };
    if field.value() == field.default_value() {
        return;
    }
    if let Some(pointer) = field.get_attribute("data-field") {
        fill(field, &pointer);
    } else if let Some(address) = field.get_attribute("data-cell") {
        cell_events::changed(field, &address);
    }
}
