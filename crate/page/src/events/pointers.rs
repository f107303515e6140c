//! The pointer on the pictures: wall map, side view and the chart of views.

use crate::app::{self, Surface};
use crate::canvas::PX_PER_MM;
use crate::host;
use crate::panels::{stage_carm, stage_graft};
use crate::pointer::Pointer;
use wasm_bindgen::JsCast;
use web_sys::{Element, PointerEvent};

/// Where a pointer is on a picture, pixels of the drawing from its upper left corner. Of the listeners the
/// map has its own; the side view comes and goes with its stage, so the document listens for it.
fn pointer(event: &PointerEvent, surface: Surface) -> Option<(Element, Pointer)> {
    let map = || event.current_target()?.dyn_into::<Element>().ok();
    let side = || {
        let target: Element = event.target()?.dyn_into().ok()?;
        target.closest(&format!("#{}", stage_graft::SIDE_VIEW)).ok()?
    };
    let (picture, scale) = match surface {
        Surface::Map => (map()?, 1.0),
        // It is shown smaller than it is drawn where there is little room.
        Surface::Side => {
            let frame = side()?;
            let drawn = frame.query_selector("svg").ok()??;
            let own = drawn.get_attribute("viewBox")?.split_whitespace().nth(2)?.parse::<f64>().ok()?;
            let shown = drawn.get_bounding_client_rect().width();
            (frame, own * PX_PER_MM / shown.max(1.0))
        }
    };
    let frame = match surface {
        Surface::Map => picture.get_bounding_client_rect(),
        Surface::Side => picture.query_selector("svg").ok()??.get_bounding_client_rect(),
    };
    let at = [f64::from(event.client_x()) - frame.left(), f64::from(event.client_y()) - frame.top()];
    Some((picture, Pointer { id: event.pointer_id(), at: at.map(|px| px * scale), shift: event.shift_key() }))
}

pub(super) fn pointer_down(event: &PointerEvent, surface: Surface) {
    let Some((picture, pointer)) = pointer(event, surface) else { return };
    let follow = app::with(|app| {
        let grips = app.grips(surface, pointer.at);
        grips && app.follower().down(pointer, event.button() == 0, event.ctrl_key())
    });
    if follow == Some(true) {
        // Refused for a pointer that is already gone; the drag then ends with the next event.
        let _ = picture.set_pointer_capture(pointer.id);
        if surface == Surface::Side {
            event.prevent_default();
            host::focus_quietly(stage_graft::SIDE_VIEW);
        }
    }
}

pub(super) fn pointer_moved(event: &PointerEvent, surface: Surface) {
    let Some((picture, pointer)) = pointer(event, surface) else { return };
    let cursor = app::with(|app| {
        let meaning = app.follower().moved(pointer);
        // The move that begins a drag is already part of it.
        if app.pointer(surface, meaning) {
            let meaning = app.follower().moved(pointer);
            app.pointer(surface, meaning);
        }
        match app.follower().dragging() {
            true => "dragging",
            // What the side view grips is drawn anew to be known: not at every move.
            false if surface == Surface::Map && app.grips(surface, pointer.at) => "grips",
            false => "",
        }
    });
    if let Some(cursor) = cursor
        && picture.get_attribute("data-cursor").as_deref() != Some(cursor)
    {
        let _ = picture.set_attribute("data-cursor", cursor);
    }
}

pub(super) fn pointer_up(event: &PointerEvent, surface: Surface) {
    let Some((_, pointer)) = pointer(event, surface) else { return };
    app::with(|app| {
        let meaning = app.follower().up(pointer);
        app.pointer(surface, meaning);
    });
}

/// A press on the chart of views, or a move with the button held, swings the C-arm there.
pub(super) fn chart_pointer(event: &PointerEvent, pressed: bool) {
    if event.buttons() & 1 == 0 || event.ctrl_key() {
        return;
    }
    let target = event.target().and_then(|target| target.dyn_into::<Element>().ok());
    let chart = target.and_then(|target| target.closest(&format!("#{}", stage_carm::CHART)).ok().flatten());
    let Some(chart) = chart else { return };
    let Some(picture) = chart.query_selector("svg").ok().flatten() else { return };
    let frame = picture.get_bounding_client_rect();
    let at = [
        (f64::from(event.client_x()) - frame.left()) / frame.width(),
        (f64::from(event.client_y()) - frame.top()) / frame.height(),
    ];
    if pressed {
        // Moves then come to the chart even from outside it; a pointer that is gone sends none.
        let _ = chart.set_pointer_capture(event.pointer_id());
        event.prevent_default();
        host::focus_quietly(stage_carm::CHART);
    }
    app::run(|app| app.swing_to(at));
}
