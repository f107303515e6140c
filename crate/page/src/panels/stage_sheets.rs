//! The stage of the sheets: paper, which pages, what is ticked on them, and what was done. The pages
//! themselves stand below, as they are printed.

use super::stage_graft::{Table, table_of};
use super::{Facts, form};
use crate::svg_tree;
use crate::tree::{Element, Node, el};
use extrados::casefile::case::Check;
use extrados::casefile::json::value_of;
use extrados::casefile::lists;
use extrados::report::record;
use extrados::scene::Scene;
use extrados::sheet::Paper;

const LINES: &[(&str, &str)] = &[("text", "Line"), ("source", "Source")];
const STENTS: Table = (
    "/done/stents",
    "Stents that were put in",
    "stent",
    &[("serves", "Serves"), ("length_mm", "Length"), ("diameter_mm", "Diameter")],
);

/// The stage without its pages.
pub fn stage(facts: &Facts<'_>) -> Vec<Node> {
    let case = &facts.state.now.case;
    let procedure = case.procedure.as_ref();
    let fallback = procedure.and_then(|own| own.fallback.as_deref()).unwrap_or_default();
    let [kit, checklist]: [&[Check]; 2] = procedure.map_or([&[], &[]], |own| [&own.kit, &own.checklist]);
    vec![
        choices(facts).into(),
        el("details")
            .child(el("summary").child(el("h3").text("Fallback, kit and checklist")))
            .child(form::text(facts.state, "/procedure/fallback", fallback))
            .child(lines(
                facts,
                ("/procedure/kit", "Wires, balloons, plugs, rescue kit", "line", LINES),
                kit,
                lists::kit(case),
            ))
            .child(lines(
                facts,
                ("/procedure/checklist", "Checklist", "line", LINES),
                checklist,
                lists::checklist(case),
            ))
            .into(),
        done(facts).into(),
    ]
}

/// Paper, pages, exports.
fn choices(facts: &Facts<'_>) -> Element {
    let wanted = facts.state.view.sheets;
    let paper = |paper: Paper, says: &str| {
        let radio = el("input")
            .with("type", "radio")
            .with("name", "paper")
            .with("data-do", format!("sheets:{}", paper.name()))
            .flag("checked", wanted.paper == paper);
        el("label").child(radio).text(says)
    };
    let page = |word: &str, says: &str, on: bool| {
        let tick = el("input").with("type", "checkbox").with("data-do", format!("sheets:{word}")).flag("checked", on);
        el("label").child(tick).text(says)
    };
    let button = |does: &'static str, says: &str| el("button").with("type", "button").with("data-do", does).text(says);
    el("section")
        .class("choices")
        .child(paper(Paper::A4, "A4"))
        .child(paper(Paper::Letter, "Letter"))
        .child(page("lists", "pick list and checklist", wanted.lists))
        .child(page("alternatives", "alternatives", wanted.alternatives))
        .child(page("true-size", "true size", wanted.true_size))
        .child(
            el("span")
                .class("buttons")
                .child(button("print", "Print"))
                .child(button("export:svg", "Save as SVG"))
                .child(button("export:csv", "All numbers as CSV"))
                .child(button("export:json", "Report as JSON")),
        )
}

/// Lines to tick: the case's own to edit, or the program's to begin with.
fn lines(facts: &Facts<'_>, table: Table, own: &[Check], all: Vec<Check>) -> Element {
    if !own.is_empty() {
        return table_of(facts, table.0, &table, &value_of(own));
    }
    let said = all.into_iter().map(|line| el("li").text(format!("{} ({})", line.text, line.source)));
    let edit = el("button").with("data-do", format!("row-add:{}", table.0)).text("Edit these lines");
    el("section").child(el("h3").text(table.1)).child(el("ul").children(said)).child(edit)
}

/// What was done, and how it differs from the plan.
fn done(facts: &Facts<'_>) -> Element {
    let done = facts.state.now.case.done.clone().unwrap_or_default();
    let differs = record::record(facts.plan).map(|own| record::lines(&own)).unwrap_or_default();
    let differs = differs.into_iter().map(|(lead, words)| el("li").text(format!("{lead} {words}")));
    let number = |pointer: &str, value| form::number(facts.state, pointer, value);
    el("details")
        .child(el("summary").child(el("h3").text("What was done")))
        .child(
            el("div")
                .class("fields")
                .child(number("/done/landing_station_mm", done.landing_station_mm))
                .child(number("/done/turn_deg", done.turn_deg)),
        )
        .child(table_of(facts, STENTS.0, &STENTS, &value_of(&done.stents)))
        .child(el("ul").children(differs))
}

/// The pages as they are printed.
pub fn pages(scenes: &[Scene]) -> Vec<Node> {
    scenes.iter().map(|scene| el("figure").child(svg_tree::nodes(scene)).into()).collect()
}
