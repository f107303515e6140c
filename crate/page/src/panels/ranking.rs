//! Which graft forgives most: those that are here, each at its own best placement.

use super::Facts;
use crate::tree::{Element, Node, el};
use extrados::ranking::Standing;
use extrados::report::ranking as words;

/// The grafts in their order, or as far as they are ranked; how to choose some.
pub fn ranking(facts: &Facts<'_>) -> Vec<Node> {
    if facts.plan.anatomy.is_err() {
        return Vec::new();
    }
    let button = |does: String, says: &str| el("button").with("type", "button").with("data-do", does).text(says);
    let head = el("h2").text("Which graft forgives most");
    let mut choose = el("p").child(button("rank:files".into(), "These are here: open graft files"));
    if !facts.demos.grafts.is_empty() {
        choose = choose.text(" ").child(button("rank:demos".into(), "Demo grafts"));
    }
    let mut all: Vec<Node> = vec![head.into(), choose.into()];
    let Some((standings, over)) = facts.ranking else { return all };
    if !over {
        let done = format!("{} of {} looked at …", standings.len(), facts.state.choice.len());
        all.push(el("p").class("note").text(done).into());
    }
    if standings.is_empty() {
        return all;
    }
    let heads = ["Graft", "Room", "Best at", "Costs most", "Given up", ""];
    let heads = heads.map(|words| el("th").with("scope", "col").text(words));
    let row = |(place, own): (usize, &Standing)| {
        let room = if own.holds() { words::size(own, own.size) } else { words::state(own) };
        let take = over.then(|| button(format!("rank-take:{place}"), "Take it"));
        let name = if own.graft.label.is_empty() { own.name.clone() } else { own.graft.label.clone() };
        let number = if over { format!("{}. {name}", place + 1) } else { name };
        el("tr")
            .child(el("th").with("scope", "row").with("title", own.name.clone()).text(number))
            .children(
                [room, words::place(own), words::costs(own), words::given_up(own)].map(|cell| el("td").text(cell)),
            )
            .child(el("td").children(take))
    };
    let rows: Vec<Element> = standings.iter().enumerate().map(row).collect();
    let caption = "Each at its own best placement. Room: the largest ellipse in which every required rule holds.";
    let table = el("table")
        .class("lies")
        .child(el("caption").class("muted").text(caption))
        .child(el("thead").child(el("tr").children(heads)))
        .child(el("tbody").children(rows));
    all.push(table.into());
    all
}
