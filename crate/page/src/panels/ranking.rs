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
    let mut choose = el("div")
        .class("buttons")
        .child(button("rank:files".into(), "Open graft files to rank…").with("id", "ranking"));
    if !facts.demos.grafts.is_empty() {
        choose = choose.child(button("rank:demos".into(), "Rank the demo grafts"));
    }
    let made = facts.plan.grafts.iter().any(|own| own.graft.maker_steps.is_some() && !own.graft.tunnels.is_empty());
    if made {
        choose = choose.child(button("design".into(), "Make its tunnels for this arch"));
    }
    let mut all: Vec<Node> = vec![head.into(), choose.into()];
    if facts.designs {
        all.push(el("p").class("note").with("role", "status").text("Making its tunnels for this arch …").into());
    }
    let Some((standings, over)) = facts.ranking else { return all };
    if !over {
        let done = format!("{} looked at so far …", standings.len());
        all.push(el("p").class("note").text(done).into());
    }
    if standings.is_empty() {
        return all;
    }
    let row = |(place, own): (usize, &Standing)| {
        let room = if own.holds() { words::size(own, own.size) } else { words::state(own) };
        let take = over.then(|| button(format!("rank-take:{place}"), "Take it"));
        let name = if own.graft.label.is_empty() { own.name.clone() } else { words::label(own) };
        let number = if over { format!("{}. {name}: ", place + 1) } else { format!("{name}: ") };
        let at = words::place(own);
        let at = if at.is_empty() { at } else { format!(" at {at}") };
        let said = [("", words::costs(own)), ("given up: ", words::given_up(own))];
        let said = said.into_iter().filter(|(_, words)| !words.is_empty());
        el("li")
            .with("title", own.name.clone())
            .text(number)
            .child(el("strong").text(room))
            .text(at)
            .children(take.map(|take| el("span").class("buttons").text(" ").child(take)))
            .children(said.map(|(head, words)| el("small").class("hang").text(format!("{head}{words}"))))
    };
    let rows: Vec<Element> = standings.iter().enumerate().map(row).collect();
    let caption = "Each at its own best placement. Room: the largest ellipse in which every required rule holds.";
    all.push(el("p").class("note").text(caption).into());
    all.push(el("ul").class("hangs").children(rows).into());
    all
}
