//! What markup says is to be done (`data-do`): a verb, what it is about, and the value of the control.

use crate::action::Action;
use crate::app::{self, App, Purpose};
use crate::cells::At;
use crate::importing::Answer;
use crate::panels::{entry, form, stage_measurements, stage_release};
use crate::snapshot::Source;
use crate::state::Notice;
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
use web_sys::HtmlDialogElement;

/// Does what a button, radio, box or list says.
pub(super) fn do_it(does: &str, value: &str) {
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
        "records" => files::choose(Purpose::Records),
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

pub(super) fn print() {
    if let Ok(window) = host::window()
        && let Err(fault) = window.print()
    {
        host::complain(&fault);
    }
}

pub(super) fn help() {
    let dialog = host::document().ok().and_then(|document| document.get_element_by_id("keys"));
    if let Some(dialog) = dialog.and_then(|dialog| dialog.dyn_into::<HtmlDialogElement>().ok())
        && !dialog.open()
    {
        // Refused only while it is open already.
        let _ = dialog.show_modal();
    }
}
