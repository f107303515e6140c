//! The printed sheet: one landscape page that the whole room works from, in words and vectors.
//!
//! Nothing on it depends on colour or on a screen. The map is the core's SVG tree as live elements.

use super::Facts;
use super::sign::sign;
use crate::svg_tree;
use crate::tree::{Element, Node, el};
use crate::view::Paper;
use crate::words;
use extrados::carm::views::{sheet_views, views};
use extrados::carm::{step_views, words as carm_words};
use extrados::message;
use extrados::placement::tunnel::TunnelResult;
use extrados::report::words as report_words;
use extrados::rules::measure;
use extrados::rules::verdict::{Verdict, Word};
use extrados::scene::Scene;

/// Height of a line of words, mm: 11 points, 1.3 times.
const LINE_MM: f64 = 5.05;
/// Most verdicts listed beside those of the tunnels; what is not met is always listed.
const MOST_LISTED: usize = 6;

/// Letters of a line across the page, fewer than fit.
const LETTERS_A_LINE: f64 = 120.0;

/// Room of the map on a sheet, mm: what the words leave of the page. Should words wrap more than is
/// reckoned here, the print style lets the map shrink rather than run over the page.
pub fn map_room_mm(facts: &Facts<'_>, paper: Paper) -> [f64; 2] {
    let [width_mm, height_mm] = paper.room_mm();
    let head = 14.0 + if facts.plan.is_rough() { 2.0 * LINE_MM } else { 0.0 };
    let table = 7.5 + (LINE_MM + 0.9) * facts.plan.sheet_tunnels().len() as f64;
    let listed = listed(facts);
    let below = 4.0 + LINE_MM * (listed.0.len() + usize::from(listed.1 > 0)).max(4 + facts.plan.grafts.len()) as f64;
    let angles = 1.0 + LINE_MM * (angles(facts).chars().count() as f64 / LETTERS_A_LINE).ceil();
    let foot = 4.0 + 3.0 * LINE_MM + angles;
    [width_mm, (height_mm - head - table - below - foot).max(70.0)]
}

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
                    .children(rough(facts))
                    .child(el("p").text(super::head::sentence(facts))),
            )
            .child(el("div").class("whose").child(el("strong").text(label)).children(invented))
            .into(),
        el("figure").class("map").child(svg_tree::nodes(map)).into(),
        tunnels(facts).into(),
        el("div").class("below").child(rules(facts)).child(conventions(facts)).into(),
        el("p").class("angles").text(angles(facts)).into(),
        el("footer").children(foot(facts, sha256, today)).into(),
    ]
}

/// What heads the sheet of an arch rebuilt from a measuring sheet.
fn rough(facts: &Facts<'_>) -> Option<Element> {
    let fits = facts.plan.rough().map(report_words::residuals_in_a_line).unwrap_or_default();
    let heading = el("strong").text(message::ROUGH);
    facts.plan.is_rough().then(|| el("p").child(heading).text(format!(" {fits}")))
}

fn tunnels(facts: &Facts<'_>) -> Element {
    let heads = [
        "Vessel",
        "Tunnel",
        "Wired from",
        "Edge clearance along the wall",
        "Clock error",
        "Straight",
        "Stent",
        "Verdict",
    ];
    let rows = facts.plan.sheet_tunnels().into_iter().map(|tunnel| row(facts, tunnel));
    el("table")
        .child(el("thead").child(el("tr").children(heads.map(|head| el("th").with("scope", "col").text(head)))))
        .child(el("tbody").children(rows))
}

fn row(facts: &Facts<'_>, tunnel: &TunnelResult) -> Element {
    let cell = |words: String| el("td").text(words);
    let grafts = facts.plan.case.components.iter().filter_map(|component| component.graft.as_deref());
    let wired = grafts
        .flat_map(|graft| &graft.tunnels)
        .find(|own| own.id == tunnel.id)
        .and_then(|own| own.wired_from.as_deref());
    let wired = wired.map(|word| words::shown("/components/*/graft/tunnels/*/wired_from", word));
    let worst = facts
        .plan
        .verdicts
        .iter()
        .filter(|verdict| verdict.required && verdict.of == tunnel.id)
        .map(|verdict| verdict.word)
        .min();
    let verdict = match worst {
        Some(word) => el("td").child(sign(word)).text(word.as_str()),
        None => el("td").text("no rule"),
    };
    let clearance = report_words::or_unknown(&tunnel.edge_clearance_mm, |v| report_words::mm(*v));
    let several = facts.plan.possibilities().len() > 1;
    let if_it_lies = several.then(|| el("span").text(format!(" ({})", report_words::possibility(tunnel.possibility))));
    el("tr")
        .child(el("th").with("scope", "row").text(tunnel.serves.clone()))
        .child(cell(report_words::flow(tunnel.flow).into()))
        .child(cell(wired.unwrap_or_else(|| report_words::UNKNOWN.into())))
        .child(el("td").child(el("b").text(clearance)).children(if_it_lies))
        .child(cell(report_words::clock_error(tunnel)))
        .child(cell(report_words::or_unknown(&tunnel.straight_mm, |v| report_words::mm(*v))))
        .child(cell(
            facts.plan.stent_of(tunnel).map_or_else(|| report_words::UNKNOWN.into(), report_words::stent_short),
        ))
        .child(verdict)
}

/// Verdicts that are not about a tunnel, worst first, and how many more are met.
fn listed<'a>(facts: &Facts<'a>) -> (Vec<&'a Verdict>, usize) {
    let tunnel = |id: &str| facts.plan.tunnels.iter().any(|tunnel| tunnel.id == id);
    let mut all: Vec<&Verdict> = facts.plan.verdicts.iter().filter(|verdict| !tunnel(&verdict.of)).collect();
    all.sort_by_key(|verdict| verdict.word);
    let bad = all.iter().filter(|verdict| verdict.word != Word::Met).count();
    let more = all.len().saturating_sub(bad.max(MOST_LISTED));
    all.truncate(bad.max(MOST_LISTED));
    (all, more)
}

fn rules(facts: &Facts<'_>) -> Element {
    let (listed, more) = listed(facts);
    let rows = listed.into_iter().map(|verdict| {
        let name = measure::find(&verdict.measure).map_or(verdict.measure.as_str(), |measure| measure.name);
        let value = verdict
            .value
            .map_or_else(|| report_words::UNKNOWN.to_owned(), |value| report_words::with_unit(value, &verdict.unit));
        el("li").child(sign(verdict.word)).text(format!(
            "{name}, {}: {value}, {}",
            facts.name_of(&verdict.of),
            verdict.word.as_str()
        ))
    });
    let more = (more > 0).then(|| el("li").text(format!("and {more} more met")));
    el("ul").children(rows).children(more)
}

fn conventions(facts: &Facts<'_>) -> Element {
    let case = &facts.plan.case;
    let placed = facts.plan.grafts.iter().map(|graft| el("li").text(report_words::placement(case, &graft.placement)));
    let brackets = (facts.plan.possibilities().len() > 1)
        .then(|| el("li").text("worst of how it may lie; in brackets the line that keeps its length"));
    el("ul")
        .children(placed)
        .children(brackets)
        .child(el("li").text(report_words::clock_convention(case)))
        .child(el("li").text(report_words::origin(case)))
}

/// C-arm views, and those that steps name, in one paragraph.
fn angles(facts: &Facts<'_>) -> String {
    let all = views(facts.plan);
    let shown = sheet_views(facts.plan, &all);
    if shown.is_empty() {
        return String::new();
    }
    let each =
        shown.iter().map(|view| format!("{} {}", carm_words::view_name(facts.plan, view), carm_words::view(view)));
    let steps = step_views(&facts.plan.case, &all).into_iter().map(|(number, _, view)| format!("step {number} {view}"));
    let said: Vec<String> = each.chain(steps).collect();
    format!("C-arm, to begin with (CT with arms up and no wire, ostia can move by 10 mm): {}", said.join(" · "))
}

fn foot(facts: &Facts<'_>, sha256: &str, today: &str) -> Vec<Element> {
    let ct = &facts.plan.case.ct;
    let mut about = vec![format!("CT {}", ct.date.as_deref().unwrap_or("of unknown date"))];
    about.push(report_words::ct_age(&facts.plan.case));
    if !ct.measured_by.is_empty() {
        about.push(format!("measured by {}", ct.measured_by));
    }
    if !ct.checked_by.is_empty() {
        about.push(format!("checked by {}", ct.checked_by));
    }
    // The first digits of the hash tell printed pages of two states of a case apart.
    let code: String = sha256.chars().take(8).collect();
    about.push(format!("case {code}"));
    if !facts.plan.case.errors.entered_by_user {
        about.push(format!("errors of measurement {}", facts.plan.case.errors.source));
    }
    about.push(format!("printed {today}"));
    about.push(format!("extrados {}", extrados::VERSION));
    vec![
        el("p").class("caution").text(format!("{} {}", message::CAUTIONS[0], message::CAUTIONS[1])),
        el("p").text(about.join(" · ")),
    ]
}
