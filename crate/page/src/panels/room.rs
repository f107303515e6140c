//! How much the placement forgives: a sentence, the chart, and the way to the best placement.

use super::Facts;
use crate::svg_tree;
use crate::tree::{Element, Node, el, svg};
use extrados::casefile::Case;
use extrados::report::room as words;
use extrados::room::Forgiveness;
use extrados::room::chance::Chance;
use extrados::room::ellipse::Ellipse;
use extrados::room::plane::Move;
use extrados::scene::room_chart::{RoomInput, room_chart};
use extrados::scene::style::Medium;

/// Size of the chart, mm of the screen.
const CHART_MM: [f64; 2] = [104.0, 62.0];

/// What stands in place of the room until there is one.
pub const LOOKING: &str = "Looking how far it can be slid and turned …";

/// The room; while it is looked for, that; nothing where it is not known.
pub fn room(facts: &Facts<'_>) -> Vec<Node> {
    if facts.plan.grafts.is_empty() {
        return Vec::new();
    }
    let head = el("h2").text("What the placement forgives");
    // The sentence itself stands in the head line.
    let own = match facts.room {
        None => return vec![head.into(), el("p").class("note").text(LOOKING).into()],
        Some(Err(_)) => return Vec::new(),
        Some(Ok(own)) => own,
    };
    let mut shown: Vec<Node> = vec![head.into(), chart(facts, own).into()];
    if own.whole {
        shown.extend(best(facts, own).into_iter().map(Node::from));
        shown.extend(shifted(&facts.plan.case, own).map(Node::from));
        shown.extend(own.chance.iter().flat_map(chance));
    } else {
        shown.push(el("p").class("note").text("Coarse border; the exact one follows.").into());
    }
    shown
}

fn chart(facts: &Facts<'_>, own: &Forgiveness) -> Element {
    let case = &facts.plan.case;
    let input = RoomInput {
        holds: own.room.holds.clone(),
        surely: own.room.surely.clone(),
        fails: own.judged.iter().map(|judged| words::label(judged, case)).collect(),
        best: own.room.best.map(|best| best.centre),
        nearest: own.room.nearest,
    };
    let [width, height] = CHART_MM;
    let scene = room_chart(&input, width, height, Medium::Screen);
    let caption = "Hatched: every required rule holds. Dashed: by at least its error. Cross: as drawn; diamond: best.";
    el("figure").class("room").child(svg_tree::nodes(&scene)).child(el("figcaption").class("note").text(caption))
}

/// What sliding the graft gives and takes.
fn shifted(case: &Case, own: &Forgiveness) -> Option<Element> {
    let row = |cells: [String; 4]| {
        let [first, cells @ ..] = cells;
        let head = el("th").with("scope", "row").text(first);
        el("tr").child(head).children(cells.map(|cell| el("td").text(cell)))
    };
    let heads = words::shifted_heads().map(|words| el("th").with("scope", "col").text(words));
    let rows: Vec<Element> = own.shifted.iter().map(|shifted| row(words::shifted(shifted, case))).collect();
    let caption = "What a shift costs: the least over every way the graft may lie";
    (!rows.is_empty()).then(|| {
        el("table")
            .class("lies")
            .child(el("caption").class("muted").text(caption))
            .child(el("thead").child(el("tr").children(heads)))
            .child(el("tbody").children(rows))
    })
}

/// The chance, small and last: it rests on errors that were typed. Below it a bar for each error, from the
/// chance to what it would be without that error.
fn chance(own: &Chance) -> Vec<Node> {
    let line = |x: f64, y: [&str; 2]| {
        let at = format!("{:.1}", 100.0 * x);
        svg("line")
            .with("x1", at.clone())
            .with("x2", at)
            .with("y1", y[0])
            .with("y2", y[1])
            .with("stroke", "currentColor")
    };
    let row = |((error, share), (_, without)): ((&'static str, String), &(_, f64))| {
        let [from, to] = [own.holds.min(*without), own.holds.max(*without)].map(|share| 100.0 * share);
        let bar = svg("rect")
            .with("x", format!("{from:.1}"))
            .with("y", "3")
            .with("width", format!("{:.1}", to - from))
            .with("height", "6")
            .with("fill", "currentColor");
        let drawn = svg("svg").class("bar").with("viewBox", "0 0 100 12").with("aria-hidden", "true");
        let drawn = drawn.child(line(own.holds, ["0", "12"])).child(bar);
        el("tr")
            .child(el("th").with("scope", "row").text(error))
            .child(el("td").child(drawn))
            .child(el("td").text(share))
    };
    let rows = words::chance_without(own).into_iter().zip(&own.without).map(row);
    let caption = "The chance without one error, that which costs most first; bars from 0 to 100 %, the line as it is";
    vec![
        el("p").class("note").text(words::chance_in_words(own)).into(),
        el("table")
            .class("lies")
            .child(el("caption").class("muted").text(caption))
            .child(el("tbody").children(rows.collect::<Vec<_>>()))
            .into(),
    ]
}

/// The best placement is offered only where every required rule is known and holds, and one so far
/// upstream of it as is chosen; where it fails, the nearest that was found.
fn best(facts: &Facts<'_>, own: &Forgiveness) -> Vec<Element> {
    if !own.barred.is_empty() {
        return Vec::new();
    }
    let line = |says: String, does: &str, to: Move, room: String| {
        let place = words::placed(own, to, &facts.plan.case);
        let button = el("button").with("type", "button").with("data-do", does).text(format!("Move there: {place}"));
        let says = el("span").class("muted").text(format!("{says}{room} "));
        el("p").child(says).child(el("span").class("buttons").child(button))
    };
    let around = |ellipse: Ellipse| format!(", room {}", words::size(own, ellipse.size));
    match (own.room.best, own.room.nearest) {
        (Some(best), _) => {
            let bias = facts.state.view.bias_mm;
            let field = el("input")
                .class("number")
                .with("type", "number")
                .with("id", "bias")
                .with("data-do", "bias")
                .with("step", "1")
                .with("value", bias.to_string());
            let label = el("label").with("for", "bias").text("Offer one also so many mm upstream of it: ");
            let biased = own.upstream_of_best(f64::from(bias)).filter(|_| bias != 0);
            let none = (bias != 0 && biased.is_none()).then(|| el("span").text(" nothing holds there"));
            let mut all = vec![line("Best placement".into(), "place:best", best.centre, around(best))];
            all.push(el("div").class("limits").child(label).child(field).children(none));
            all.extend(biased.map(|own| line(format!("{bias} mm upstream"), "place:biased", own.centre, around(own))));
            all
        }
        (None, Some(nearest)) => vec![line("Nearest that holds".into(), "place:best", nearest, String::new())],
        (None, None) => Vec::new(),
    }
}
