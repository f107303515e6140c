//! Files in and out: by the browser's own file dialog and its downloads only.
//!
//! What a file holds is told by its text, not by its name. A file that does not read changes nothing
//! but what is told; nothing is stored and nothing is sent.

use crate::app::{self, Purpose};
use crate::host;
use crate::state::{Action, Notice, Source, State};
use extrados::casefile::case::Graft;
use extrados::casefile::{Document, document};
use extrados::fault::{Fault, Faults};
use std::sync::Arc;
use wasm_bindgen::JsCast;
use wasm_bindgen::prelude::{Closure, JsValue};
use web_sys::{File, HtmlInputElement};

/// Largest file that is read, bytes.
const MOST_BYTES: f64 = 64.0 * 1024.0 * 1024.0;

/// Id of the file field.
pub const FIELD: &str = "file";

/// Opens the browser's file dialog.
pub fn choose(purpose: Purpose) {
    app::with(|app| app.purpose = purpose);
    let field = host::document().ok().and_then(|document| document.get_element_by_id(FIELD));
    if let Some(field) = field.and_then(|field| field.dyn_into::<HtmlInputElement>().ok()) {
        // The same file chosen again counts as a choice.
        field.set_value("");
        field.click();
    }
}

/// Reads a file that was chosen or dropped, and opens it when it has come.
pub fn take(file: &File) {
    let name = file.name();
    if file.size() > MOST_BYTES {
        let fault = Fault::new(
            "too_large",
            name.clone(),
            "The file is larger than 64 MB.",
            "Choose a case, a graft or a centreline.",
        );
        app::with(|app| app.act(Action::Tell(Notice::refused(format!("{name} was not opened."), fault.into()))));
        return;
    }
    let refused = name.clone();
    let read = Closure::once(move |buffer: JsValue| {
        let bytes = js_sys::Uint8Array::new(&buffer).to_vec();
        app::with(|app| {
            let action = opened(app.store().state(), &name, &bytes, app.purpose);
            app.act(action);
        });
    });
    let failed = Closure::once(move |_: JsValue| {
        let fault = Fault::new("unreadable", refused.clone(), "The disk did not give the file.", "Choose it again.");
        app::with(|app| app.act(Action::Tell(Notice::refused(format!("{refused} was not opened."), fault.into()))));
    });
    // The promise keeps nothing after it has settled, so each closure is given away once.
    let _ = file.array_buffer().then2(&read, &failed);
    read.forget();
    failed.forget();
}

/// What opening a file does. Pure: the browser has already given its bytes.
pub fn opened(state: &State, name: &str, bytes: &[u8], purpose: Purpose) -> Action {
    let refuse = |what: &str, faults: Faults| {
        let count = faults.faults.len();
        let faults_word = if count == 1 { "1 fault".to_owned() } else { format!("{count} faults") };
        Action::Tell(Notice::refused(format!("{name} was not opened: {what}, {faults_word}. What was open stays open."), faults))
    };
    let text = String::from_utf8_lossy(bytes.get(..4096).unwrap_or(bytes));
    let says = |word: &str| text.contains(word);
    if purpose == Purpose::Graft || says("\"extrados-graft\"") {
        return match document::read_graft(bytes) {
            Ok(graft) => take_graft(state, Arc::new(graft)),
            Err(faults) => refuse("no graft that can be read", faults),
        };
    }
    if says("\"extrados-rules\"") {
        return match document::read_rules(bytes) {
            Ok(set) => Action::TakeRules(set.rules),
            Err(faults) => refuse("no rules that can be read", faults),
        };
    }
    match Document::read(bytes) {
        Ok(document) => Action::Open {
            case: document.case,
            source: Source { name: name.into(), demo: false },
            notice: None,
        },
        Err(faults) => refuse("no case that can be read", faults),
    }
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
        let done = host::download(&name_to_save(state), &document::write(&state.now.case));
        match done {
            Ok(()) => app.act(Action::Saved),
            Err(fault) => host::complain(&fault),
        }
    });
    debug_assert!(saved.is_some());
}

/// The name under which a case is saved: that of its file, else made from its label.
pub fn name_to_save(state: &State) -> String {
    let source = &state.now.source;
    if source.name.ends_with(".json") {
        return source.name.clone();
    }
    let stem = if state.now.case.label.is_empty() { &source.name } else { &state.now.case.label };
    let stem: String = stem.chars().map(|letter| if letter.is_alphanumeric() { letter } else { '-' }).take(60).collect();
    let stem = stem.trim_matches('-').to_lowercase();
    format!("{}.json", if stem.is_empty() { "case" } else { &stem })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::state::Store;
    use extrados::casefile::Case;

    fn store(name: &str, label: &str) -> Store {
        let case = Case { label: label.into(), ..Case::default() };
        Store::new(Arc::new(case), Source { name: name.into(), demo: false })
    }

    #[test]
    fn a_bad_file_only_tells() {
        let store = store("a.json", "");
        for bytes in [&b"{"[..], b"", b"\xff\xfe\x00", b"[1, 2]", b"{\"format\": \"extrados-graft\"}", b"{\"format\":\"extrados-rules\"}"] {
            let Action::Tell(notice) = opened(store.state(), "bad.json", bytes, Purpose::Any) else {
                panic!("{bytes:?} was opened")
            };
            assert!(!notice.faults.is_empty());
            assert!(notice.text.contains("bad.json") && notice.text.contains("stays open"), "{}", notice.text);
        }
    }

    #[test]
    fn a_case_is_no_graft_where_a_graft_is_asked_for() {
        let store = store("a.json", "");
        let case = document::write(&Case::default());
        assert!(matches!(opened(store.state(), "case.json", case.as_bytes(), Purpose::Graft), Action::Tell(_)));
    }

    #[test]
    fn a_case_is_saved_under_its_file_s_name() {
        assert_eq!(name_to_save(store("own.json", "Label").state()), "own.json");
        assert_eq!(name_to_save(store("line.vtk", "Arch, steep / 2").state()), "arch--steep---2.json");
        assert_eq!(name_to_save(store("…", "").state()), "case.json");
    }
}
