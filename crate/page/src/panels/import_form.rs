//! Asks for the unit and the axes of files that do not say them, and lists what is wrong.

use super::Facts;
use super::notice::{SUMMARY, faults};
use crate::importing::{DIRECTIONS, Importing};
use crate::tree::{Element, Node, el};
use extrados::import::Unit;

/// The question; empty where nothing is imported.
pub fn import_form(facts: &Facts<'_>) -> Vec<Node> {
    let Some(importing) = &facts.state.importing else { return Vec::new() };
    let names: Vec<&str> = importing.files.iter().map(|file| file.name.as_str()).collect();
    let bad = !importing.faults.is_empty();
    let said = match importing.faults.faults.len() {
        0 => format!("Import {}", names.join(", ")),
        1 => format!("{} was not imported: 1 fault. What was open stays open.", names.join(", ")),
        count => format!("{} was not imported: {count} faults. What was open stays open.", names.join(", ")),
    };
    let unit = el("label").text("Unit of the file ").child(
        list("import-unit", importing.unit.name(), Unit::ALL.iter().map(|unit| (unit.name(), unit.name()))),
    );
    let axes = ["x", "y", "z"].into_iter().enumerate().map(|(index, axis)| {
        el("label").text(format!("{axis} points ")).child(list(
            &format!("import-axis:{index}"),
            &importing.axes[index],
            DIRECTIONS,
        ))
    });
    let button = |does: &str, words: &str| el("button").with("type", "button").with("data-do", does).text(words);
    vec![
        el("div")
            .with("id", SUMMARY)
            .class(if bad { "notice bad" } else { "notice" })
            .with("role", "group")
            .with("aria-label", "Import")
            .with("tabindex", "-1")
            .child(el("p").text(said))
            .child(
                el("div")
                    .class("import")
                    .child(unit)
                    .children(axes)
                    .children(trust(importing))
                    .child(button("import", "Import").class("chief"))
                    .child(button("import-cancel", "Cancel")),
            )
            .child(el("p").class("note").text(
                "Axes of the patient: left or right, back or front, head or feet. CSV columns carry their unit in their names.",
            ))
            .children(bad.then(|| faults(&importing.faults)))
            .into(),
    ]
}

fn list<'a>(does: &str, value: &str, lines: impl IntoIterator<Item = (&'a str, &'a str)>) -> Element {
    let lines = lines.into_iter().map(|(word, says)| el("option").with("value", word).text(says));
    el("select").with("data-do", does).with("data-keep", "").with("value", value).children(lines)
}

/// Offered only once the signs spoke against the axes.
fn trust(importing: &Importing) -> Option<Element> {
    let asked = importing.trust_axes || importing.faults.faults.iter().any(|fault| fault.code.starts_with("axes_"));
    asked.then(|| {
        let input = el("input")
            .with("type", "checkbox")
            .with("data-do", "import-trust")
            .flag("checked", importing.trust_axes);
        el("label").child(input).text("these axes are right all the same")
    })
}
