//! Files in and out: by the browser's own file dialog and its downloads only.
//!
//! What a file holds is told by its text, not by its name. A file that does not read changes nothing
//! but what is told; nothing is stored and nothing is sent.

use crate::action::Action;
use crate::app::{self, App, Purpose};
use crate::snapshot::Source;
use crate::state::{Notice, State};
use crate::{boundary, host};
use extrados::casefile::Case;
use extrados::casefile::case::Graft;
use extrados::casefile::{Document, document};
use extrados::fault::{Fault, Faults};
use extrados::import::{MOST_BYTES, NamedBytes};
use extrados::plan::Plan;
use extrados::quantity::Unknown;
use extrados::report::csv;
use extrados::report::records::{Landed, own_errors};
use extrados::scene::svg;
use std::sync::Arc;
use wasm_bindgen::JsCast;
use wasm_bindgen::prelude::{Closure, JsValue};
use web_sys::{File, FileList, HtmlInputElement, MouseEvent};

/// Id of the file field.
pub const FIELD: &str = "file";

/// Opens the browser's file dialog.
pub fn choose(purpose: Purpose) {
    app::with(|app| app.purpose = purpose);
    let field = host::document().ok().and_then(|document| document.get_element_by_id(FIELD));
    if let Some(field) = field.and_then(|field| field.dyn_into::<HtmlInputElement>().ok()) {
        // The same file chosen again counts as a choice.
        field.set_value("");
        // This comes from within the page's own listener for clicks, which a click that bubbled would enter again.
        if let Ok(click) = MouseEvent::new("click") {
            let _ = field.dispatch_event(&click);
        }
    }
}

/// Reads files that were chosen or dropped, and opens them when all have come.
pub fn take(chosen: &FileList) {
    let files: Vec<File> = (0..chosen.length()).filter_map(|index| chosen.get(index)).collect();
    let Some(first) = files.first().map(File::name) else { return };
    let refuse = move |name: &str, text: &str, mend: &str| {
        let fault = Fault::new("unreadable", name, text, mend);
        let notice = Notice::refused(format!("{name} was not opened. What was open stays open."), fault.into());
        app::run(|app| app.act(Action::Tell(notice)));
    };
    if files.iter().map(|file| file.size()).sum::<f64>() > MOST_BYTES as f64 {
        refuse(&first, "There are more than 64 MB.", "Choose a case, a graft or a centreline.");
        return;
    }
    let names: Vec<String> = files.iter().map(File::name).collect();
    let all = js_sys::Promise::all_iterable(&files.iter().map(|file| file.array_buffer()).collect::<js_sys::Array>());
    let read = Closure::once_into_js(move |buffers: js_sys::Array| {
        let bytes = buffers.iter().map(|buffer| js_sys::Uint8Array::new(&buffer).to_vec());
        let files = names.into_iter().zip(bytes).map(|(name, bytes)| NamedBytes { name, bytes }).collect();
        app::run(|app| {
            let action = opened(app.store().state(), files, app.purpose);
            app.act(action);
        });
    });
    let failed = Closure::once_into_js(move |_: JsValue| {
        refuse(&first, "The disk did not give the file.", "Choose it again.");
    });
    // Whatever comes of it is told by the two closures.
    let _ = js_sys::Reflect::get(&all, &"then".into())
        .and_then(|then| then.dyn_into::<js_sys::Function>())
        .and_then(|then| then.call2(&all, &read, &failed));
}

/// What opening files does. Pure: the browser has already given their bytes.
pub fn opened(state: &State, mut files: Vec<NamedBytes>, purpose: Purpose) -> Action {
    let json = |file: &NamedBytes| {
        let text = file.bytes.strip_prefix(b"\xef\xbb\xbf").unwrap_or(&file.bytes).trim_ascii_start();
        text.starts_with(b"{") || file.name.to_ascii_lowercase().ends_with(".json")
    };
    if purpose == Purpose::Any && !files.iter().any(json) {
        return Action::BeginImport(files);
    }
    if purpose == Purpose::Records {
        return records(state, files);
    }
    let a_graft = |file: &&NamedBytes| {
        let head = file.bytes.get(..4096).unwrap_or(&file.bytes);
        String::from_utf8_lossy(head).contains("\"extrados-graft\"")
    };
    if purpose == Purpose::Choice || files.iter().filter(a_graft).count() > 1 {
        return choice(&files);
    }
    // A centreline and its ostia come together; of cases and grafts one is opened at a time.
    let first = files.iter().position(json).unwrap_or(0);
    if first >= files.len() {
        return Action::Dismiss;
    }
    let NamedBytes { name, bytes } = files.swap_remove(first);
    let refuse = |what: &str, faults: Faults| {
        let count = match faults.faults.len() {
            1 => "1 fault".to_owned(),
            count => format!("{count} faults"),
        };
        Action::Tell(Notice::refused(
            format!("{name} was not opened: {what}, {count}. What was open stays open."),
            faults,
        ))
    };
    let head = String::from_utf8_lossy(bytes.get(..4096).unwrap_or(&bytes));
    if purpose == Purpose::Graft || head.contains("\"extrados-graft\"") {
        return match document::read_graft(&bytes) {
            Ok(graft) => take_graft(state, Arc::new(graft)),
            Err(faults) => refuse("no graft that can be read", faults),
        };
    }
    if head.contains("\"extrados-rules\"") {
        return match document::read_rules(&bytes) {
            Ok(set) => Action::TakeSet(set),
            Err(faults) => refuse("no rules that can be read", faults),
        };
    }
    match Document::read(&bytes) {
        Ok(document) => Action::Open { case: document.case, source: Source { name, demo: false }, notice: None },
        Err(faults) => refuse("no case that can be read", faults),
    }
}

/// How records come to be.
const RECORDS: &str = "Enter what was done on the stage Sheets, save each case, and choose them all at once.";

/// Errors of landing and rotation from cases that say what was done; a file that does not read leaves all
/// as it was.
fn records(state: &State, files: Vec<NamedBytes>) -> Action {
    let refused = |text: String, faults: Faults| Action::Tell(Notice::refused(text, faults));
    let mut landed = Vec::new();
    for NamedBytes { name, bytes } in files {
        match Document::read(&bytes) {
            Ok(document) => landed.push(Landed::of(name, &Plan::new(document.case))),
            Err(faults) => return refused(format!("{name} is no case that can be read. No record was taken."), faults),
        }
    }
    match own_errors(&landed, &state.now.case.errors) {
        Ok((errors, said)) => {
            let case = Case { errors, ..(*state.now.case).clone() };
            Action::TakeErrors(Arc::new(case), Notice { assumed: said, ..Notice::news("Errors from own records:") })
        }
        Err(Unknown(why)) => refused("No record was taken.".into(), Fault::new("few", "", why, RECORDS).into()),
    }
}

/// Grafts that are here, to be ranked; one that does not read leaves all as it was.
fn choice(files: &[NamedBytes]) -> Action {
    let mut grafts = Vec::new();
    for file in files {
        match document::read_graft(&file.bytes) {
            Ok(graft) => grafts.push((file.name.clone(), Arc::new(graft))),
            Err(faults) => {
                let text = format!("{} is no graft that can be read. None was taken.", file.name);
                return Action::Tell(Notice::refused(text, faults));
            }
        }
    }
    Action::Choice(grafts)
}

/// Puts a graft into the case: in the place of the one that is moved, else as its first.
pub fn take_graft(state: &State, graft: Arc<Graft>) -> Action {
    let component = state.moved().map_or(state.now.case.components.len(), |(index, _, _)| index);
    Action::TakeGraft { component, graft }
}

/// Saves the case as a file.
pub fn save() {
    let saved = app::with(|app| {
        let state = app.store().state();
        let done = host::download(&name_to_save(state), &document::write(&state.now.base));
        match done {
            Ok(()) => app.act(Action::Saved),
            Err(fault) => not_saved(app, &name_to_save(app.store().state()), &fault),
        }
    });
    debug_assert!(saved.is_some());
}

/// Saves the sheets, or all numbers, in another form.
pub fn export(form: &str) {
    app::run(|app| {
        app.finish();
        let state = app.store().state();
        let text = match form {
            "svg" => {
                // One drawing, page under page.
                let whole = app.sheets().into_iter().reduce(|above, below| above.with_below(below, 0.0));
                whole.map(|scene| svg::text(&scene)).ok_or(JsValue::NULL)
            }
            _ => boundary::report_text(&document::write(&state.now.case)).map(|json| match form {
                "csv" => csv::csv(&serde_json::from_str(&json).unwrap_or_default()),
                _ => json,
            }),
        };
        let name = name_to_save(state)
            .replace(".json", &format!("-{}.{form}", if form == "svg" { "sheets" } else { "report" }));
        if let Err(fault) = text.and_then(|text| host::download(&name, &text)) {
            not_saved(app, &name, &fault);
        }
    });
}

/// The browser took nothing: it is told, and the case stays unsaved.
fn not_saved(app: &mut App, name: &str, fault: &JsValue) {
    host::complain(fault);
    let fault =
        Fault::new("not_saved", "", "The browser refused the file.", "Free some memory or disk, and save again.");
    app.act(Action::Tell(Notice::refused(format!("{name} was not saved. What is open stays open."), fault.into())));
}

/// The name under which a case is saved: that of its file, else made from its label.
pub fn name_to_save(state: &State) -> String {
    let source = &state.now.source;
    if source.name.ends_with(".json") {
        return source.name.clone();
    }
    let stem = if state.now.case.label.is_empty() { &source.name } else { &state.now.case.label };
    let stem: String =
        stem.chars().map(|letter| if letter.is_alphanumeric() { letter } else { '-' }).take(60).collect();
    let stem = stem.trim_matches('-').to_lowercase();
    format!("{}.json", if stem.is_empty() { "case" } else { &stem })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::store::Store;
    use extrados::casefile::Case;

    fn store(name: &str, label: &str) -> Store {
        let case = Case { label: label.into(), ..Case::default() };
        Store::new(Arc::new(case), Source { name: name.into(), demo: false })
    }

    fn files(name: &str, bytes: &[u8]) -> Vec<NamedBytes> {
        vec![NamedBytes { name: name.into(), bytes: bytes.into() }]
    }

    #[test]
    fn a_bad_file_only_tells() {
        let store = store("a.json", "");
        for bytes in [
            &b"{"[..],
            b"",
            b"\xff\xfe\x00",
            b"[1, 2]",
            b"{\"format\": \"extrados-graft\"}",
            b"{\"format\":\"extrados-rules\"}",
        ] {
            let Action::Tell(notice) = opened(store.state(), files("bad.json", bytes), Purpose::Any) else {
                panic!("{bytes:?} was opened")
            };
            assert!(!notice.faults.is_empty());
            assert!(notice.text.contains("bad.json") && notice.text.contains("stays open"), "{}", notice.text);
        }
    }

    #[test]
    fn several_grafts_are_a_choice_and_a_bad_one_takes_none() {
        let store = store("a.json", "");
        let good = document::write_graft(&Graft { length_mm: 100.0, ..Graft::default() });
        let both = |second: &[u8]| [files("a.json", good.as_bytes()), files("b.json", second)].concat();
        let Action::Choice(grafts) = opened(store.state(), both(good.as_bytes()), Purpose::Any) else {
            panic!("two grafts are a choice")
        };
        assert_eq!(grafts.len(), 2);
        let bad = b"{\"format\": \"extrados-graft\", \"length_mm\": []}";
        assert!(matches!(opened(store.state(), both(bad), Purpose::Any), Action::Tell(_)));
    }

    #[test]
    fn a_case_is_no_graft_where_a_graft_is_asked_for() {
        let store = store("a.json", "");
        let case = document::write(&Case::default());
        assert!(matches!(opened(store.state(), files("case.json", case.as_bytes()), Purpose::Graft), Action::Tell(_)));
    }

    #[test]
    fn errors_are_taken_from_records_and_one_that_does_not_read_takes_none() {
        let mut store = store("a.json", "");
        let own = |turn: f64| {
            let done = Some(extrados::casefile::case::Done { turn_deg: Some(turn), ..Default::default() });
            files("own.json", document::write(&Case { done, ..Case::default() }).as_bytes())
        };
        let five: Vec<NamedBytes> = [2.0, -4.0, 6.0, 0.0, 1.0].into_iter().flat_map(own).collect();
        let bad = [five.clone(), files("bad.json", b"{")].concat();
        assert!(matches!(opened(store.state(), bad, Purpose::Records), Action::Tell(_)));
        assert!(matches!(opened(store.state(), own(2.0), Purpose::Records), Action::Tell(_)), "one is too few");
        let action = opened(store.state(), five, Purpose::Records);
        assert!(store.dispatch(action).case);
        let errors = &store.state().now.case.errors;
        assert!(errors.entered_by_user && errors.rotation.mean_deg == 1.0 && errors.axial_sd_mm == 4.0);
        assert!(
            store.state().notice.as_ref().is_some_and(|notice| !notice.assumed.is_empty()),
            "what was read is said"
        );
        store.dispatch(Action::Undo);
        assert!(!store.state().now.case.errors.entered_by_user);
    }

    #[test]
    fn files_of_other_programs_are_asked_about_and_refused_ones_change_nothing() {
        let mut store = store("a.json", "mine");
        let before = store.state().now.clone();
        let action = opened(store.state(), files("line.vtk", b"# vtk DataFile Version 3.0\nbroken"), Purpose::Any);
        assert!(matches!(action, Action::BeginImport(_)));
        store.dispatch(action);
        assert!(!store.dispatch(Action::Import).case);
        assert!(store.state().importing.as_ref().is_some_and(|importing| !importing.faults.is_empty()));
        assert_eq!(store.state().now, before);
        store.dispatch(Action::CancelImport);
        assert!(store.state().importing.is_none());
    }

    #[test]
    fn a_case_is_saved_under_its_file_s_name() {
        assert_eq!(name_to_save(store("own.json", "Label").state()), "own.json");
        assert_eq!(name_to_save(store("line.vtk", "Arch, steep / 2").state()), "arch--steep---2.json");
        assert_eq!(name_to_save(store("…", "").state()), "case.json");
    }
}
