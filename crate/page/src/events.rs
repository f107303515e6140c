//! Every listener of the page, registered once, at the start.
//!
//! Markup says what it does (`data-do`), what it fills (`data-field`) and what it is tied to
//! (`data-tie`); listeners on the document read that, so panels come and go without listeners of
//! their own. An event becomes an action and nothing else.

use crate::app::{self, App, Purpose, Surface};
use crate::canvas::PX_PER_MM;
use crate::cell_events;
use crate::cells::At;
use crate::importing::Answer;
use crate::keys::{self, Does, Focus, Key};
use crate::panels::{entry, form, stage_carm, stage_graft, stage_measurements, stage_release};
use crate::pointer::Pointer;
use crate::state::{Action, Notice, Source};
use crate::view::{Drags, Layer, LookAt, Show, Stage};
use crate::{files, host};
use extrados::casefile::case::Case;
use extrados::casefile::rows;
use extrados::fault::Fault;
use extrados::feed::editing as steps;
use extrados::rules::editing::{self, Limit};
use extrados::scene::axes::{Along, Around};
use extrados::sheet::Paper;
use extrados::units::ThreeOClock;
use serde_json::Value;
use std::sync::Arc;
use wasm_bindgen::JsCast;
use wasm_bindgen::convert::FromWasmAbi;
use wasm_bindgen::prelude::{Closure, JsValue};
use web_sys::{
    BeforeUnloadEvent, ClipboardEvent, DragEvent, Element, Event, EventTarget, HtmlDialogElement, HtmlInputElement,
    HtmlSelectElement, HtmlTextAreaElement, KeyboardEvent, PointerEvent, ResizeObserver,
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

/// Does what a button, radio, box or list says.
fn do_it(does: &str, value: &str) {
    let (verb, what) = does.split_once(':').unwrap_or((does, ""));
    let act = |action: Action| app::run(|app| app.act(action));
    match verb {
        "open" => files::choose(Purpose::Any),
        "new" => begin(),
        "save" => files::save(),
        "go" => drop(host::focus(what)),
        "arch" => choose_arch(what),
        "origin" => choose_origin(what),
        "twelve" => {
            fill_in("/clock/twelve_oclock_is", what.into());
            answered();
        }
        "note" => note(value),
        "remove" => {
            if let Some(at) = At::read(what) {
                act(Action::RemoveRow(at));
            }
        }
        "alternative" => act(Action::ShowAlternative(what.parse().ok())),
        "alternative-new" => act(Action::AddAlternative),
        "alternative-name" => act(Action::NameAlternative(value.into())),
        "alternative-remove" => act(Action::RemoveAlternative),
        "compare" => compare(what == "open"),
        "steps" => act(Action::Show(Show::Steps(what == "open"))),
        "drags" => {
            if let Some((drags, ..)) = Drags::ALL.into_iter().find(|(_, name, _)| *name == what) {
                act(Action::Show(Show::Drags(drags)));
            }
        }
        "print" => print(),
        "help" => help(),
        "undo" => act(Action::Undo),
        "redo" => act(Action::Redo),
        "dismiss" => act(Action::Dismiss),
        "demo" => open_demo(value),
        "graft" if value == "file" => files::choose(Purpose::Graft),
        "graft" => take_demo_graft(value),
        "hand" => {
            let front = what == "front_left";
            act(Action::AnswerHand(if front { ThreeOClock::FrontLeft } else { ThreeOClock::BackRight }));
            answered();
        }
        "import" => act(Action::Import),
        "import-cancel" => act(Action::CancelImport),
        "import-unit" => act(Action::AnswerImport(Answer::Unit(value.into()))),
        "import-axis" => {
            if let Ok(index) = what.parse() {
                act(Action::AnswerImport(Answer::Axis(index, value.into())));
            }
        }
        "import-trust" => act(Action::AnswerImport(Answer::Trust(value == "true"))),
        "place" => app::run(|app| app.place_best(what == "biased")),
        "bias" => act(Action::Show(Show::Bias(value.trim().parse().unwrap_or(0)))),
        "rank" if what == "files" => files::choose(Purpose::Choice),
        "rank" => app::run(|app| {
            let grafts = app.demos().grafts.iter().map(|demo| (demo.file.clone(), demo.what.clone())).collect();
            app.act(Action::Choice(grafts));
        }),
        "design" => app::run(App::design),
        "rank-take" => {
            if let Ok(place) = what.parse() {
                app::run(|app| app.take_ranked(place));
            }
        }
        "possibility" => {
            if let Ok(index) = what.parse() {
                act(Action::Show(Show::Possibility(index)));
            }
        }
        "along" => {
            let along = if what == "outer" { Along::OuterCurve } else { Along::Centreline };
            act(Action::Show(Show::Along(along)));
        }
        "around" => {
            let around = if what == "mm" { Around::WallLength } else { Around::Clock };
            act(Action::Show(Show::Around(around)));
        }
        "stage" => {
            if let Some(stage) = Stage::named(what) {
                act(Action::Show(Show::Stage(stage)));
            }
        }
        "carm" => {
            if let Ok(place) = what.parse() {
                act(Action::Show(Show::LookAt(LookAt::Chosen(place))));
            }
        }
        "carm-at" => app::run(|app| app.look_at_typed(value)),
        "carm-turn" => {
            if let Ok(turn) = value.trim().replace('−', "-").parse() {
                act(Action::Show(Show::LookAt(LookAt::Turn(turn))));
            }
        }
        "step" => {
            if let Ok(place) = what.parse() {
                act(Action::Show(Show::Step(place)));
            }
        }
        "step-lies" => {
            if let Ok(turn) = value.trim().replace('−', "-").parse() {
                act(Action::Show(Show::Lies(turn)));
            }
        }
        "step-template" => change_steps("steps of a template", |case, _| steps::templated(case, value)),
        "step-add" => change_steps("a step more", |case, _| Some(steps::added(case))),
        "step-up" => change_steps("moving a step", |case, at| steps::swapped(case, at, at.checked_sub(1)?)),
        "step-down" => change_steps("moving a step", |case, at| steps::swapped(case, at, at + 1)),
        "step-drop" => change_steps("a step less", steps::dropped),
        "step-place" => change_steps("where a step leaves the graft", steps::placed),
        "step-order" => {
            if let Some(order) = app::with(|app| app.order_at(what.parse().ok()?)).flatten() {
                change_steps("another order of steps", |case, _| steps::ordered(case, &order));
            }
        }
        "component" => {
            if let Ok(place) = value.parse() {
                act(Action::Show(Show::Component(place)));
            }
        }
        "flag" => act(Action::Fill { pointer: what.into(), value: (value == "true").into(), typed: value.into() }),
        "row-add" => change_rows(what, |case| rows::added(case, what)),
        "row-drop" => {
            if let Some((list, place)) = what.rsplit_once('/') {
                change_rows(list, |case| rows::removed(case, list, place.parse().ok()?));
            }
        }
        "rule" => act(Action::Show(Show::Rule(what.into()))),
        "rule-on" => act(Action::Show(Show::Rule(format!("{what}+{value}")))),
        "rule-add" => add_rule(what, value),
        "rule-drop" => {
            if let Some((list, place)) = what.rsplit_once('/') {
                change_rows(list, |case| editing::removed(case, list, place.parse().ok()?));
            }
        }
        "set-take" => {
            if let Some(set) = extrados::rules::sets::shipped(what) {
                act(Action::TakeSet(set));
            }
        }
        "set-drop" => {
            if let Ok(index) = what.parse() {
                act(Action::DropSet(index));
            }
        }
        "sheets" => choose_sheets(what, value == "true"),
        "export" => files::export(what),
        "layer" => {
            if let Some(layer) = Layer::named(what) {
                act(Action::Show(Show::Layer(layer, value == "true")));
            }
        }
        _ => {}
    }
}

/// The steps of the release change; the one that is looked at keeps the focus.
fn change_steps(what: &'static str, change: impl FnOnce(&Case, usize) -> Option<(Case, usize)>) {
    app::run(|app| {
        let state = app.store().state();
        let Some((case, place)) = change(&state.now.case, state.view.step) else { return };
        app.act(Action::Change(what, Arc::new(case)));
        app.act(Action::Show(Show::Step(place)));
        app.focus(stage_release::row_id(place));
    });
}

/// Another paper, or a page more or less.
fn choose_sheets(what: &str, shown: bool) {
    app::run(|app| {
        let mut wanted = app.store().state().view.sheets;
        match what {
            "lists" => wanted.lists = shown,
            "alternatives" => wanted.alternatives = shown,
            "true-size" => wanted.true_size = shown,
            paper => wanted.paper = Paper::named(paper).unwrap_or_default(),
        }
        app.act(Action::Show(Show::Sheets(wanted)));
    });
}

/// A table of the graft, or a list of rules, gets or loses a row.
fn change_rows(list: &str, change: impl FnOnce(&Case) -> Option<Value>) {
    app::run(|app| {
        let rows = change(&app.store().state().now.case);
        if let Some(value) = rows {
            app.act(Action::Fill { pointer: list.into(), value, typed: String::new() });
        }
    });
}

/// A rule on a measure with its first limit: `list+measure+limit`.
fn add_rule(what: &str, typed: &str) {
    let mut parts = what.split('+');
    let (Some(list), Some(measure), Some(key)) = (parts.next(), parts.next(), parts.next()) else { return };
    let read = app::with(|app| form::read(&app.store().state().now.case, &format!("/rules/0/{key}"), typed));
    match read {
        Some(Ok(value)) => {
            let Some(limit) = value.as_f64() else { return };
            let limit = if key == "at_least" { Limit::AtLeast(limit) } else { Limit::AtMost(limit) };
            let mut last = 0;
            change_rows(list, |case| {
                let rules = editing::added(case, list, measure, limit)?;
                last = rules.as_array().map_or(0, |rules| rules.len().saturating_sub(1));
                Some(rules)
            });
            // What is left to say of it stands open.
            app::run(|app| app.act(Action::Show(Show::Rule(format!("{list}/{last}")))));
        }
        Some(Err(refused)) => {
            let fault = Fault::new("no_limit", "", refused.fault, "");
            app::run(|app| app.act(Action::Tell(Notice::refused("The rule was not added.", fault.into()))));
        }
        None => {}
    }
}

/// An empty case; the question that comes first takes the focus.
fn begin() {
    app::run(|app| {
        let source = Source { name: "case.json".into(), demo: false };
        app.act(Action::Open { case: Arc::default(), source, notice: None });
        app.act(Action::Show(Show::Stage(Stage::Measurements)));
        app.act(Action::Show(Show::Steps(true)));
        app.focus("entry");
    });
}

/// Fills in one field of the case that no field of a form holds.
fn fill_in(pointer: &str, value: Value) {
    app::run(|app| app.act(Action::Fill { pointer: pointer.into(), value, typed: String::new() }));
}

/// The arch from points, which come from a file, or from the lengths of a sheet.
fn choose_arch(what: &str) {
    let has_points = app::with(|app| app.store().state().now.case.anatomy.centreline.is_some()) == Some(true);
    match what {
        "points" if !has_points => {
            files::choose(Purpose::Any);
            // Until a file is chosen the lengths stay.
            app::run(App::schedule);
        }
        "sheet" => app::run(|app| {
            let mut case = (*app.store().state().now.case).clone();
            let anatomy = Arc::make_mut(&mut case.anatomy);
            anatomy.centreline = None;
            anatomy.sheet_arch.get_or_insert_default();
            app.act(Action::Change("the arch from a sheet", Arc::new(case)));
        }),
        _ => {}
    }
}

/// The questions of the clock fold when both are answered: their head takes the focus then.
fn answered() {
    app::run(|app| {
        let clock = &app.store().state().now.case.clock;
        if clock.three_oclock_is.is_some() && clock.twelve_oclock_is.is_some() {
            app.focus(entry::CLOCK);
        }
    });
}

/// What lies at station 0.
fn choose_origin(word: &str) {
    let of_sheet = app::with(|app| app.store().state().now.case.anatomy.centreline.is_none()) == Some(true);
    let pointer = if of_sheet { "/anatomy/sheet_arch/origin" } else { "/anatomy/centreline/origin" };
    fill_in(pointer, word.into());
}

/// Free words that are kept with the case.
fn note(words: &str) {
    /// Longer texts belong into a file of their own.
    const MOST_CHARS: usize = 20_000;
    app::run(|app| {
        let mut case = (*app.store().state().now.case).clone();
        let words: String = words.chars().take(MOST_CHARS).collect();
        match words.trim().is_empty() {
            true => drop(case.notes.remove(stage_measurements::NOTE)),
            false => drop(case.notes.insert(stage_measurements::NOTE.into(), words.into())),
        }
        app.act(Action::Change("the notes", Arc::new(case)));
    });
}

/// Alternatives side by side: among the measurements.
fn compare(shown: bool) {
    app::run(|app| {
        app.act(Action::Show(Show::Compare(shown)));
        if shown {
            app.act(Action::Show(Show::Stage(Stage::Measurements)));
        }
    });
}

/// The help of the field that has the focus, in one line under the tables.
fn helped(event: &Event) {
    let words = said(event, "title")
        .filter(|(element, _)| element.has_attribute("data-cell") || element.has_attribute("data-field"));
    host::set_text("field-help", &words.map(|(_, words)| words).unwrap_or_default());
    cell_events::focused(event);
}

fn open_demo(value: &str) {
    app::with(|app| {
        let demo = value.parse::<usize>().ok().and_then(|index| app.demos().cases.get(index));
        let opened = demo.map(|demo| (demo.what.clone(), demo.file.clone()));
        if let Some((case, name)) = opened {
            app.act(Action::Open { case, source: Source { name, demo: true }, notice: None });
        }
    });
}

fn take_demo_graft(value: &str) {
    app::with(|app| {
        let graft = value.parse::<usize>().ok().and_then(|index| app.demos().grafts.get(index));
        if let Some(graft) = graft.map(|demo| demo.what.clone()) {
            let action = files::take_graft(app.store().state(), graft);
            app.act(action);
        }
    });
}

fn print() {
    if let Ok(window) = host::window()
        && let Err(fault) = window.print()
    {
        host::complain(&fault);
    }
}

fn help() {
    let dialog = host::document().ok().and_then(|document| document.get_element_by_id("keys"));
    if let Some(dialog) = dialog.and_then(|dialog| dialog.dyn_into::<HtmlDialogElement>().ok())
        && !dialog.open()
    {
        // Refused only while it is open already.
        let _ = dialog.show_modal();
    }
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

fn key_down(event: &KeyboardEvent) {
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

fn dropped(event: &DragEvent) {
    event.prevent_default();
    if let Some(dropped) = event.data_transfer().and_then(|data| data.files()) {
        app::run(|app| app.purpose = Purpose::Any);
        files::take(&dropped);
    }
}

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

fn pointer_down(event: &PointerEvent, surface: Surface) {
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

fn pointer_moved(event: &PointerEvent, surface: Surface) {
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

fn pointer_up(event: &PointerEvent, surface: Surface) {
    let Some((_, pointer)) = pointer(event, surface) else { return };
    app::with(|app| {
        let meaning = app.follower().up(pointer);
        app.pointer(surface, meaning);
    });
}

/// A press on the chart of views, or a move with the button held, swings the C-arm there.
fn chart_pointer(event: &PointerEvent, pressed: bool) {
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

/// Follows the size of the map's frame.
fn watch_size(map: &Element) -> Result<(), JsValue> {
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
fn watch_ratio() {
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
