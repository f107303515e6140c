//! The stage of the graft: the arch from the side with the graft in it, whether it can be made so, how
//! its fabric lies, and the tables in which it is edited.
//!
//! Every cell is a field of the case by its JSON pointer; rows come and go with a button. What follows
//! from the plan stands beside the tables in the library's words.

use super::sign::sign;
use super::{Facts, form};
use crate::moving::SIDE;
use crate::svg_tree;
use crate::tree::{Element, Node, el};
use extrados::casefile::case::{Component, Graft};
use extrados::casefile::fields;
use extrados::casefile::json::value_of;
use extrados::casefile::shape::Shape;
use extrados::graft::buildable::{Buildable, Survey};
use extrados::placement::footprint::Site;
use extrados::report::words as report_words;
use extrados::rules::verdict::Word;
use extrados::scene::side_view::{SideInput, side_view};
use extrados::scene::style::Medium;
use serde_json::Value;

/// Id of the side view's frame, on which a mouth or the graft is dragged.
pub const SIDE_VIEW: &str = "side-view";

/// A table of the graft: key of its list, title, what one row is, and its columns.
pub(super) type Table = (&'static str, &'static str, &'static str, &'static [(&'static str, &'static str)]);

const TABLES: &[Table] = &[
    (
        "sections",
        "Sections",
        "section",
        &[
            ("from_u_mm", "From"),
            ("to_u_mm", "To"),
            ("from_diameter_mm", "Wide"),
            ("to_diameter_mm", "to"),
            ("offset_mm", "Offset"),
            ("offset_clock_deg", "towards"),
            ("covered", "Fabric"),
            ("seals", "Seals"),
        ],
    ),
    (
        "tunnels",
        "Tunnels",
        "tunnel",
        &[
            ("id", ""),
            ("serves", "Serves"),
            ("flow", "Flow"),
            ("mouth_u_mm", "Mouth at"),
            ("mouth_clock_deg", "Clock"),
            ("mouth_along_mm", "along"),
            ("mouth_across_mm", "around"),
            ("diameter_mm", "Wide"),
            ("length_mm", "Long"),
            ("rise_deg", "Rise"),
            ("side_deg", "Side"),
            ("wired_from", "Wired from"),
        ],
    ),
    (
        "fenestrations",
        "Fenestrations",
        "fenestration",
        &[
            ("id", ""),
            ("serves", "Serves"),
            ("u_mm", "At"),
            ("clock_deg", "Clock"),
            ("along_mm", "along"),
            ("across_mm", "around"),
        ],
    ),
    (
        "scallops",
        "Scallops",
        "scallop",
        &[("id", ""), ("serves", "Serves"), ("clock_deg", "Clock"), ("width_mm", "Wide"), ("depth_mm", "Deep")],
    ),
    ("markers", "Marks", "mark", &[("name", ""), ("u_mm", "At"), ("clock_deg", "Clock")]),
    ("barbs", "Barbs", "stretch", &[("from_u_mm", "From"), ("to_u_mm", "To")]),
];

/// The stage.
pub fn stage(facts: &Facts<'_>) -> Vec<Node> {
    let Some((index, component)) = chosen(facts) else {
        return vec![el("p").class("note").text("No graft is entered yet: choose one at the left.").into()];
    };
    let Some(graft) = component.graft.as_deref() else { return Vec::new() };
    let input = SideInput::from_plan(facts.plan, facts.drawn);
    let picture = side_view(&input, SIDE, Medium::Screen, facts.tied());
    let hint = "Drag a mouth along the graft and around it, or the graft along the aorta. From the side one sees how far a \
                mouth lies from the outer curve, not whether to the front or the back: it stays on its side. Arrow keys \
                move the graft.";
    let shown = el("div")
        .child(
            el("div")
                .with("id", SIDE_VIEW)
                .with("tabindex", "0")
                .with("role", "group")
                .with("aria-label", "Side view: the arrow keys move the graft")
                .child(svg_tree::nodes(&picture)),
        )
        .child(el("p").class("note").text(hint));
    let said = el("div").children(chooser(facts)).child(made(facts, component)).children(lies(facts));
    let values = value_of(graft);
    let list = |key: &str| format!("/components/{index}/graft/{key}");
    let tables = TABLES.iter().map(|table| Node::from(table_of(facts, &list(table.0), table, &values[table.0])));
    let mut nodes = vec![
        el("div").class("from-side").child(el("div").child(shown)).child(said).into(),
        whole(facts, index, graft).into(),
    ];
    nodes.extend(tables);
    nodes.push(el("p").class("note").text("Clocks and places are the graft's own: from its reference line and its proximal fabric edge. An emptied cell is unknown.").into());
    nodes
}

/// The component whose graft is shown: the one that is moved, else the first with a graft.
fn chosen<'a>(facts: &Facts<'a>) -> Option<(usize, &'a Component)> {
    let moved = facts.state.moved().map(|(index, component, _)| (index, component));
    let mut all = facts.state.now.case.components.iter().enumerate();
    moved.or_else(|| all.find(|(_, component)| component.graft.is_some()))
}

/// Which piece is moved and shown, where there are several.
pub fn chooser(facts: &Facts<'_>) -> Option<Element> {
    let placed = |c: &&(usize, &Component)| c.1.graft.is_some() && c.1.placement.is_some();
    let components: Vec<(usize, &Component)> = facts.state.now.case.components.iter().enumerate().collect();
    let options: Vec<(usize, &Component)> = components.iter().filter(placed).copied().collect();
    let now = facts.state.moved().map(|(index, _, _)| index)?;
    (options.len() > 1).then(|| {
        let option = |(index, component): (usize, &Component)| {
            el("option").with("value", index.to_string()).text(facts.name_of(&component.id))
        };
        let select = el("select")
            .with("data-do", "component")
            .with("data-keep", "")
            .with("aria-label", "Piece that is moved")
            .with("value", now.to_string())
            .children(options.into_iter().map(option));
        el("div").class("row whole").child(select)
    })
}

/// Whether it can be made so.
fn made(facts: &Facts<'_>, component: &Component) -> Element {
    let own = facts.plan.surveys.iter().find(|(id, _)| *id == component.id);
    let section = el("section").child(el("h3").text("Can it be made so"));
    let Some((_, survey)) = own else { return section };
    let (word, says) = match survey.buildable {
        Buildable::Yes => (Word::Met, "Nothing stands against it."),
        Buildable::OneUnderAnother => (Word::Borderline, "Only with one tunnel under another."),
        Buildable::Unknown => (Word::Unknown, "A size is missing."),
        Buildable::No => (Word::Unmet, "Not as it is drawn."),
    };
    section
        .child(el("p").child(sign(word)).child(el("b").text(says)))
        .child(el("ul").children(survey.findings.iter().map(|finding| {
            let tie = finding.of.first().map_or("", String::as_str);
            el("li").tie(tie, facts.tied()).text(finding.text.clone())
        })))
        .child(el("p").class("muted").text(room(survey)))
}

/// Through-lumen, and the least fabric between openings and to the edges.
fn room(survey: &Survey) -> String {
    let mut parts = Vec::new();
    match &survey.through {
        Some(through) => parts.push(format!(
            "Through-lumen at least {} wide, {:.0} mm² free, at {} from the proximal edge",
            report_words::mm(through.free_mm),
            through.free_mm2,
            report_words::mm(through.u_mm),
        )),
        None => parts.push("Through-lumen unknown".into()),
    }
    for between in &survey.between {
        let [first, second] = &between.of;
        if let Some(mm) = between.edges_mm {
            parts.push(format!("{first} to {second} {}", report_words::mm(mm)));
        }
    }
    format!("{}.", parts.join("; "))
}

/// How the fabric lies in the possibility that is drawn: openings, spaces, pieces.
fn lies(facts: &Facts<'_>) -> Vec<Element> {
    let fabric = &facts.plan.fabric;
    let mm = |q: &extrados::quantity::Quantity| report_words::or_unknown(q, |v| report_words::mm(*v));
    let drawn = |own: Option<extrados::graft::lie::Possibility>| own.is_none() || own == facts.drawn;
    let head = |words: &[&'static str]| {
        el("thead").child(el("tr").children(words.iter().map(|w| el("th").with("scope", "col").text(*w))))
    };
    let row = |tie: &str, name: String, cells: Vec<String>| {
        el("tr")
            .tie(tie, facts.tied())
            .child(el("th").with("scope", "row").text(name))
            .children(cells.into_iter().map(|cell| el("td").text(cell)))
    };
    let table = |title: &'static str, heads: &[&'static str], rows: Vec<Element>| {
        (!rows.is_empty()).then(|| {
            let table = el("table").class("figures").child(head(heads)).child(el("tbody").children(rows));
            el("section").child(el("h3").text(title)).child(table)
        })
    };
    let openings = fabric.openings.iter().filter(|o| drawn(Some(o.possibility))).map(|o| {
        let share = report_words::or_unknown(&o.uncovered_share, |v| format!("{:.0} %", 100.0 * v));
        let turn = report_words::or_unknown(&o.clock_error, |a| report_words::turn(*a));
        let seal = o.left_of_seal_mm.map_or("–".to_owned(), report_words::mm);
        let cells = vec![share, mm(&o.edge_distance_mm), mm(&o.wall_distance_mm), turn, seal];
        row(&o.id, format!("{} over {}", o.id, o.serves), cells)
    });
    let spaces = fabric.spaces.iter().filter(|s| drawn(s.possibility) && s.site != Site::Way).map(|s| {
        let covered = report_words::or_unknown(&s.covered_share, |v| format!("{:.0} %", 100.0 * v));
        let cells = match s.component {
            Some(_) => vec![mm(&s.centre_mm), mm(&s.least_mm), mm(&s.mean_mm), covered],
            None => vec!["–".into(), "–".into(), "–".into(), covered],
        };
        row(&s.at, facts.name_of(&s.at), cells)
    });
    let overlaps = fabric.overlaps.iter().filter(|o| drawn(Some(o.possibility))).map(|o| {
        let name = format!("{} and {}", facts.name_of(&o.upstream), facts.name_of(&o.downstream));
        let oversize = match o.oversize_percent {
            Some((least, most)) => format!("{least:.0} to {most:.0} %"),
            None => "–".into(),
        };
        row(&o.downstream, name, vec![mm(&o.overlap_mm), mm(&o.inner_mm), facts.name_of(&o.inside), oversize])
    });
    let wrong = fabric.wrong.iter().map(|w| {
        let name = report_words::site(facts.plan, w.site, &w.at);
        let free = w.should == extrados::placement::components::Should::BeFree;
        let text = extrados::message::covered(free, &name, w.covered_share, w.why);
        el("li").tie(&w.at, facts.tied()).text(text)
    });
    let wrong: Vec<Element> = wrong.collect();
    let wrong = (!wrong.is_empty()).then(|| {
        el("section").child(el("h3").text("Covered or not, and should not be so")).child(el("ul").children(wrong))
    });
    [
        wrong,
        table("Openings", &["", "Uncovered", "Edge", "Off the wall", "Turn", "Seal left"], openings.collect()),
        table("Space to the wall", &["", "Centre", "Least", "Mean", "Covered"], spaces.collect()),
        table("Overlap of pieces", &["", "Centreline", "Inner curve", "Inside", "Oversize"], overlaps.collect()),
    ]
    .into_iter()
    .flatten()
    .collect()
}

/// What is said of the graft as a whole.
fn whole(facts: &Facts<'_>, index: usize, graft: &Graft) -> Element {
    let state = facts.state;
    let at = |key: &str| format!("/components/{index}/graft/{key}");
    let steps = graft.maker_steps.as_ref();
    el("section")
        .class("graft-whole")
        .child(form::text(state, &at("label"), &graft.label))
        .child(form::number(state, &at("length_mm"), Some(graft.length_mm)))
        .child(form::number(state, &at("carrier_outer_mm"), graft.carrier_outer_mm))
        .child(form::number(state, &at("tip_length_mm"), graft.tip_length_mm))
        .children(match steps {
            Some(steps) => vec![
                form::number(state, &at("maker_steps/u_mm"), Some(steps.u_mm)),
                form::number(state, &at("maker_steps/clock_deg"), Some(steps.clock_deg)),
            ],
            None => vec![
                el("button")
                    .with("data-do", format!("row-add:{}", at("maker_steps")))
                    .text("Say in which steps it is made"),
            ],
        })
}

/// One table of the graft.
pub(super) fn table_of(facts: &Facts<'_>, list: &str, (_, title, one, columns): &Table, rows: &Value) -> Element {
    let mut faults = Vec::new();
    let rows: &[Value] = rows.as_array().map_or(&[], Vec::as_slice);
    let body: Vec<Element> = rows
        .iter()
        .enumerate()
        .map(|(place, row)| {
            let name = row["id"].as_str().map_or_else(|| format!("{one} {}", place + 1), str::to_owned);
            let cells = columns.iter().map(|(column, head)| {
                let pointer = format!("{list}/{place}/{column}");
                let (input, fault) = cell(facts, &pointer, &row[*column], &format!("{head} of {name}"));
                faults.extend(fault);
                el("td").child(input)
            });
            let cells: Vec<Element> = cells.collect();
            let remove = el("button")
                .class("remove")
                .with("data-do", format!("row-drop:{list}/{place}"))
                .with("aria-label", format!("Remove {name}"))
                .text("×");
            let tr = el("tr").children(cells).child(el("td").child(remove));
            match row["id"].as_str() {
                Some(id) => tr.tie(id, facts.tied()),
                None => tr,
            }
        })
        .collect();
    let heads = columns.iter().map(|(column, head)| {
        let field = fields::lookup(&format!("{list}/0/{column}")).and_then(|place| place.field);
        el("th").with("scope", "col").with_some("title", field.map(|field| field.help)).text(*head)
    });
    let add = el("button").with("data-do", format!("row-add:{list}")).text(format!("Add a {one}"));
    let table = (!body.is_empty()).then(|| {
        let head = el("thead").child(el("tr").children(heads).child(el("td")));
        el("div").class("wide").child(el("table").class("parts").child(head).child(el("tbody").children(body)))
    });
    el("section").child(el("h3").text(*title)).children(table).children(faults).child(add)
}

/// A cell: a box, a list of words, a vessel, a clock, a number or letters, as its field says.
fn cell(facts: &Facts<'_>, pointer: &str, value: &Value, label: &str) -> (Element, Option<Element>) {
    let state = facts.state;
    let select = |options: Vec<Element>, value: &str| {
        el("select")
            .with("id", form::id(pointer))
            .with("data-field", pointer)
            .with("aria-label", label.to_owned())
            .with("value", value)
            .children(options)
    };
    let option = |word: &str, shown: &str| el("option").with("value", word).text(shown);
    let text = value.as_str().unwrap_or_default();
    match fields::lookup(pointer).map(|place| place.shape) {
        Some(Shape::Flag) => {
            let input = el("input")
                .with("type", "checkbox")
                .with("data-do", format!("flag:{pointer}"))
                .with("aria-label", label.to_owned())
                .flag("checked", value.as_bool() == Some(true));
            (input, None)
        }
        Some(Shape::Choice(words)) => {
            (select(words.iter().map(|word| option(word.word, word.shown)).collect(), text), None)
        }
        Some(Shape::Number(_)) if pointer.ends_with("clock_deg") => {
            let (input, fault, _) = form::bare_clock(state, pointer, value.as_f64(), label);
            (input, fault)
        }
        Some(Shape::Number(_)) => form::bare_number(state, pointer, value.as_f64(), label),
        _ if pointer.ends_with("/serves") => {
            let vessels = facts.state.now.case.anatomy.vessels.iter().map(|vessel| option(&vessel.id, &vessel.id));
            (select(vessels.collect(), text), None)
        }
        _ => form::bare_text(state, pointer, text, label),
    }
}
