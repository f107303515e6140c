//! Named alternatives of a case: which is shown, and all of them side by side with what differs.

use super::Facts;
use super::sign::sign;
use crate::tree::{Element, el};
use extrados::casefile::Case;
use extrados::plan::Plan;
use extrados::report::words as report_words;
use extrados::rules::verdict::Word;
use extrados::sheet::alternatives as sheet;
use std::sync::Arc;

/// The measure that the rows of tunnels are about.
const CLEARANCE: &str = "tunnel.edge_clearance_mm";

/// The choice, at the left.
pub fn choice(facts: &Facts<'_>) -> Element {
    let now = &facts.state.now;
    let radio = |place: Option<usize>, says: &str| {
        let does = place.map_or("alternative:case".to_owned(), |place| format!("alternative:{place}"));
        let radio = el("input")
            .with("type", "radio")
            .with("name", "alternative")
            .with("data-do", does)
            .flag("checked", now.alternative == place);
        el("label").child(radio).text(says)
    };
    let named = now.base.alternatives.iter().enumerate().map(|(place, alternative)| {
        radio(Some(place), if alternative.name.is_empty() { "without a name" } else { &alternative.name })
    });
    let some = !now.base.alternatives.is_empty();
    let button = |does: &str, says: &str| el("button").with("type", "button").with("data-do", does).text(says);
    let name = now.alternative.and_then(|place| now.base.alternatives.get(place)).map(|alternative| {
        el("div").class("row").child(el("label").with("for", "alternative-name").text("Its name")).child(
            el("input")
                .with("id", "alternative-name")
                .class("words")
                .with("data-do", "alternative-name")
                .with("value", alternative.name.clone()),
        )
    });
    let compared = facts.state.view.compare;
    el("section")
        .class("alternatives")
        .child(el("h2").text("Alternatives"))
        .children(some.then(|| el("div").class("listed").child(radio(None, "the case itself")).children(named)))
        .children(name)
        .child(
            el("div")
                .class("buttons")
                .child(button("alternative-new", "New from this"))
                .children(now.alternative.map(|_| button("alternative-remove", "Remove")))
                .children(some.then(|| {
                    let says = if compared { "Hide comparison" } else { "Side by side" };
                    button(if compared { "compare:close" } else { "compare:open" }, says)
                })),
        )
}

/// All of them side by side; nothing while it is not asked for.
pub fn side_by_side(facts: &Facts<'_>) -> Element {
    let section = el("section").class("compare").with("id", "compare");
    if !facts.state.view.compare || facts.state.now.base.alternatives.is_empty() {
        return section.flag("hidden", true);
    }
    let base = &facts.state.now.base;
    let compared = facts.compared;
    let name = |place: usize| match place.checked_sub(1) {
        None => "the case itself".to_owned(),
        Some(place) => base.alternatives.get(place).map_or(String::new(), |a| a.name.clone()),
    };
    let count = base.alternatives.len() + 1;
    let head = (0..count).map(|place| el("th").with("scope", "col").text(name(place)));
    let plan = |place: usize| compared.get(place).and_then(|plan: &Option<Arc<Plan>>| plan.as_deref());
    let row = |label: String, cell: &dyn Fn(&Plan) -> Element| {
        let cells = (0..count).map(|place| match plan(place) {
            Some(plan) => cell(plan),
            None => el("td").class("muted").text("computing…"),
        });
        el("tr").child(el("th").with("scope", "row").text(label)).children(cells)
    };
    let mut rows = vec![row("Verdicts".into(), &|plan| el("td").text(report_words::head_line(plan)))];
    let mut tunnels: Vec<(String, String)> = Vec::new();
    for plan in compared.iter().flatten() {
        for tunnel in plan.sheet_tunnels() {
            let own = (tunnel.id.clone(), tunnel.serves.clone());
            if !tunnels.contains(&own) {
                tunnels.push(own);
            }
        }
    }
    for (id, serves) in tunnels {
        rows.push(row(format!("{serves}: edge clearance"), &|plan| clearance(plan, &id)));
    }
    let differs = (0..count).map(|place| match place.checked_sub(1).map(|place| base.as_alternative(place)) {
        None => el("td").class("muted").text("–"),
        Some(Ok(shown)) => el("td").child(el("ul").children(differences(base, &shown))),
        Some(Err(faults)) => el("td").text(faults.faults.first().map(|f| f.text.clone()).unwrap_or_default()),
    });
    rows.push(el("tr").child(el("th").with("scope", "row").text("What differs")).children(differs));
    section.child(el("h3").text("Alternatives side by side")).child(
        el("div").class("wide").child(
            el("table")
                .class("compared")
                .child(el("thead").child(el("tr").child(el("td")).children(head)))
                .child(el("tbody").children(rows)),
        ),
    )
}

fn clearance(plan: &Plan, id: &str) -> Element {
    let Some(tunnel) = plan.sheet_tunnels().into_iter().find(|tunnel| tunnel.id == id) else {
        return el("td").class("muted").text("not there");
    };
    // The row is about the clearance, so only what judges the clearance gives it a word.
    let own =
        plan.verdicts.iter().filter(|verdict| verdict.of == id && verdict.required && verdict.measure == CLEARANCE);
    let worst = own.map(|verdict| verdict.word).min();
    let said = report_words::or_unknown(&tunnel.edge_clearance_mm, |mm| report_words::mm(*mm));
    let word = worst.map(|word: Word| el("span").text(" ").child(sign(word)).text(format!(" {}", word.as_str())));
    el("td").child(el("b").text(said)).children(word)
}

/// What differs, a line each.
fn differences(base: &Case, shown: &Case) -> Vec<Element> {
    let line = |[what, how]: [String; 2]| el("li").child(el("span").class("muted").text(what)).text(how);
    sheet::differences(base, shown).into_iter().map(line).collect()
}
