//! The bar at the top: what is open, and what can be done with it as a whole.

use super::Facts;
use crate::tree::{Element, Node, el};

/// The bar.
pub fn bar(facts: &Facts<'_>) -> Vec<Node> {
    let state = facts.state;
    let source = &state.now.source;
    let title = if state.now.case.label.is_empty() { source.name.clone() } else { state.now.case.label.clone() };
    let alternative = state.now.alternative.and_then(|place| state.now.base.alternatives.get(place));
    let alternative = alternative.map(|alternative| alternative.name.clone());
    let unsaved = match (state.unsaved(), state.handed) {
        (true, _) => "not saved",
        (false, true) => "handed to the browser to save",
        (false, false) => "",
    };
    vec![
        el("div")
            .class("open")
            .child(el("strong").class("product").text("Extrados"))
            .child(el("span").class("case").text(title.clone()))
            .children((title != source.name).then(|| el("span").class("muted").text(source.name.clone())))
            .children(alternative.map(|name| el("span").class("muted").text(format!("alternative: {name}"))))
            .child(el("span").class("unsaved").with("role", "status").text(unsaved))
            .into(),
        el("nav").with("aria-label", "Case").children(buttons(facts)).child(demos(facts)).into(),
    ]
}

/// The title of the window.
pub fn title(facts: &Facts<'_>) -> String {
    let state = facts.state;
    let label = if state.now.case.label.is_empty() { &state.now.source.name } else { &state.now.case.label };
    format!("{}{label} – Extrados", if state.unsaved() { "* " } else { "" })
}

fn demos(facts: &Facts<'_>) -> Element {
    let first = el("option").with("value", "").text("Demo cases");
    let cases = facts
        .demos
        .cases
        .iter()
        .enumerate()
        .map(|(index, demo)| el("option").with("value", index.to_string()).text(demo.label.clone()));
    el("select")
        .class("menu")
        .with("aria-label", "Open a demo case")
        .with("data-do", "demo")
        .with("value", "")
        .child(first)
        .children(cases)
}

fn buttons(facts: &Facts<'_>) -> Vec<Element> {
    let [undo, redo] = facts.undo;
    let button = |does: &str, words: &str, help: String, on: bool| {
        el("button").with("type", "button").with("data-do", does).with("title", help).flag("disabled", !on).text(words)
    };
    let step = |verb: &str, what: Option<&str>, key: &str| match what {
        Some(what) => format!("{verb} {what} ({key})"),
        None => format!("Nothing to {} ({key})", verb.to_lowercase()),
    };
    vec![
        button("new", "New", "Begin an empty case; Undo brings this one back".into(), true),
        button("open", "Open…", "Open a case, a graft or a centreline from a file (Ctrl + O)".into(), true),
        button("save", "Save", "Save the case as a file (Ctrl + S)".into(), true),
        button("undo", "Undo", step("Undo", undo, "Ctrl + Z"), undo.is_some()),
        button("redo", "Redo", step("Redo", redo, "Ctrl + Y"), redo.is_some()),
        button("print", "Print", "Print the sheet (Ctrl + P)".into(), true),
        button("help", "?", "Keys and what this tool does not do (?)".into(), true).with("aria-label", "Help"),
    ]
}
