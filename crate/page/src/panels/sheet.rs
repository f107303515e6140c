//! The printed sheet: one landscape page that the whole room works from, in words and vectors.
//!
//! Nothing on it depends on colour or on a screen. The map is the core's SVG tree as live elements.

use super::Facts;
use super::sign::sign;
use crate::svg_tree;
use crate::tree::{Element, Node, el};
use crate::words;
use extrados::message;
use extrados::placement::tunnel::TunnelResult;
use extrados::report::words as report_words;
use extrados::scene::Scene;

/// The sheet, with the map drawn for its paper and the hash of the case's text.
pub fn sheet(facts: &Facts<'_>, map: &Scene, sha256: &str, today: &str) -> Vec<Node> {
    let case = &facts.plan.case;
    let label = if case.label.is_empty() { "case without a label" } else { &case.label };
    let invented = case.invented.then(|| el("strong").text(message::INVENTED));
    vec![
        el("header")
            .child(
                el("div")
                    .child(el("h1").text(report_words::head_line(facts.plan)))
                    .child(el("p").text(super::head::sentence(facts))),
            )
            .child(el("div").class("whose").child(el("strong").text(label)).children(invented))
            .into(),
        el("figure").class("map").child(svg_tree::nodes(map)).into(),
        tunnels(facts).into(),
        el("div").class("below").child(rules(facts)).child(conventions(facts)).into(),
        el("footer").children(foot(facts, sha256, today)).into(),
    ]
}

fn tunnels(facts: &Facts<'_>) -> Element {
    let heads = ["Vessel", "Tunnel", "Wired from", "Edge clearance along the wall", "Clock error", "Straight", "Verdict"];
    let rows = facts.plan.sheet_tunnels().into_iter().map(|tunnel| row(facts, tunnel));
    el("table")
        .child(el("thead").child(el("tr").children(heads.map(|head| el("th").with("scope", "col").text(head)))))
        .child(el("tbody").children(rows))
}

fn row(facts: &Facts<'_>, tunnel: &TunnelResult) -> Element {
    let cell = |words: String| el("td").text(words);
    let grafts = facts.plan.case.components.iter().filter_map(|component| component.graft.as_deref());
    let wired = grafts.flat_map(|graft| &graft.tunnels).find(|own| own.id == tunnel.id).and_then(|own| own.wired_from.as_deref());
    let wired = wired.map(|word| words::shown("/components/*/graft/tunnels/*/wired_from", word));
    let worst = facts.plan.verdicts.iter().filter(|verdict| verdict.of == tunnel.id).map(|verdict| verdict.word).min();
    let verdict = match worst {
        Some(word) => el("td").child(sign(word)).text(word.as_str()),
        None => el("td").text("no rule"),
    };
    let several = facts.plan.possibilities().len() > 1;
    let if_it_lies = several.then(|| el("small").text(format!("if {}", report_words::kept(tunnel.possibility))));
    el("tr")
        .child(el("th").with("scope", "row").text(tunnel.serves.clone()))
        .child(cell(report_words::flow(tunnel.flow).into()))
        .child(cell(wired.unwrap_or_else(|| report_words::UNKNOWN.into())))
        .child(cell(report_words::or_unknown(&tunnel.edge_clearance_mm, |v| report_words::mm(*v))).children(if_it_lies))
        .child(cell(report_words::clock_error(tunnel)))
        .child(cell(report_words::or_unknown(&tunnel.straight_mm, |v| report_words::mm(*v))))
        .child(verdict)
}

/// Rules that are not about a tunnel, and every one that is not met.
fn rules(facts: &Facts<'_>) -> Element {
    let tunnel = |id: &str| facts.plan.tunnels.iter().any(|tunnel| tunnel.id == id);
    let rows = facts.plan.verdicts.iter().filter(|verdict| !tunnel(&verdict.of)).map(|verdict| {
        let name = extrados::rules::measure::find(&verdict.measure).map_or(verdict.measure.as_str(), |measure| measure.name);
        let value = verdict.value.map_or_else(
            || report_words::UNKNOWN.to_owned(),
            |value| report_words::with_unit(value, &verdict.unit),
        );
        el("li")
            .child(sign(verdict.word))
            .text(format!("{name}, {}: {value}, {}", facts.name_of(&verdict.of), verdict.word.as_str()))
    });
    el("ul").children(rows)
}

fn conventions(facts: &Facts<'_>) -> Element {
    let case = &facts.plan.case;
    let placed = facts.plan.grafts.iter().map(|graft| el("li").text(report_words::placement(case, &graft.placement)));
    el("ul")
        .children(placed)
        .child(el("li").text(report_words::clock_convention(case)))
        .child(el("li").text(report_words::origin(case)))
}

fn foot(facts: &Facts<'_>, sha256: &str, today: &str) -> Vec<Element> {
    let ct = &facts.plan.case.ct;
    let mut about = vec![format!("CT {}", ct.date.as_deref().unwrap_or("of unknown date"))];
    if !ct.measured_by.is_empty() {
        about.push(format!("measured by {}", ct.measured_by));
    }
    if !ct.checked_by.is_empty() {
        about.push(format!("checked by {}", ct.checked_by));
    }
    // The first digits of the hash tell printed pages of two states of a case apart.
    let code: String = sha256.chars().take(8).collect();
    about.push(format!("case {code}"));
    about.push(format!("printed {today}"));
    about.push(format!("extrados {}", extrados::VERSION));
    vec![el("p").class("caution").text(format!("{} {}", message::CAUTIONS[0], message::CAUTIONS[1])), el("p").text(about.join(" · "))]
}
