//! The stage of the extent: stages against ways with what still flows, what each act is needed for, both
//! lumens in sections, surgery of the neck vessels, the cord.

use super::sign::sign;
use super::{Facts, form};
use crate::svg_tree;
use crate::tree::{Element, Node, el};
use extrados::casefile::case::{Component, FedFrom};
use extrados::dissection::flow::Flow;
use extrados::dissection::lumens::LumensAt;
use extrados::dissection::stages::{StageEnd, WayAt};
use extrados::dissection::{Extent, words};
use extrados::message;
use extrados::quantity::Quantity;
use extrados::report::extent::{size, without};
use extrados::report::words as report_words;
use extrados::rules::verdict::Word;
use extrados::scene::Scene;
use extrados::scene::section::{SectionInput, section};
use extrados::scene::style::Medium;

/// Size of a section, mm of the drawing.
const SECTION_MM: f64 = 62.0;
/// Names of the sections that are drawn at most, each once on the page.
const SECTIONS: [&str; 6] = ["section-1", "section-2", "section-3", "section-4", "section-5", "section-6"];

/// The stage.
pub fn stage(facts: &Facts<'_>) -> Vec<Node> {
    let extent = match Extent::of(facts.plan) {
        Ok(extent) => extent,
        Err(unknown) => return vec![el("p").class("note").text(unknown.0).into()],
    };
    let mut said: Vec<Node> = vec![stages(facts, &extent).into()];
    said.extend(left_out(&extent).map(Node::from));
    said.push(pieces(facts, &extent).into());
    said.extend(sections(facts, &extent).map(Node::from));
    said.push(vessels(facts, &extent).into());
    said.extend(surgery(&extent).map(Node::from));
    said.push(cord(&extent).into());
    let sentences = extent.remarks.iter().chain(&extent.assumed);
    said.push(el("ul").class("note").children(sentences.map(|sentence| el("li").text(sentence.clone()))).into());
    said
}

fn titled(title: &'static str) -> Element {
    el("section").child(el("h3").text(title))
}

fn heads(words: impl IntoIterator<Item = String>) -> Element {
    el("thead").child(el("tr").children(words.into_iter().map(|word| el("th").with("scope", "col").text(word))))
}

fn table(heading: impl IntoIterator<Item = String>, rows: impl IntoIterator<Item = Element>) -> Element {
    let table = el("table").class("extent").child(heads(heading)).child(el("tbody").children(rows));
    el("div").class("wide").child(table)
}

fn row(name: Element, cells: impl IntoIterator<Item = Element>) -> Element {
    el("tr").child(name.with("scope", "row")).children(cells)
}

fn own(words: &[&str]) -> Vec<String> {
    words.iter().map(|word| (*word).to_owned()).collect()
}

/// The end of a stage as a column's head.
fn head(end: &StageEnd) -> String {
    if end.stage == 0 { "Before the plan".into() } else { format!("Stage {}", end.stage) }
}

/// Ways, vessels and lengths against stages.
fn stages(facts: &Facts<'_>, extent: &Extent) -> Element {
    let ends = &extent.stages;
    let mut heading = vec![String::new()];
    heading.extend(ends.iter().map(head));
    let done = ends.iter().map(|end| el("td").class("done").text(end.done.join("; ")));
    let mut rows = vec![row(el("th").text("Done"), done)];
    for (index, way) in extent.ways.iter().enumerate() {
        let name = el("th").child(el("b").text(way.id.clone())).text(format!(" {}, {}", way.name, size(way)));
        let cells = ends.iter().filter_map(|end| end.ways.get(index)).map(|at| flow(facts, at));
        rows.push(row(name, cells).tie(&way.id, facts.tied()));
    }
    if !extent.ways.is_empty() {
        let left = ends.iter().map(|end| {
            let [flows, purpose, unknown] = end.remaining();
            let word = match (flows.is_empty(), unknown.is_empty(), purpose.is_empty()) {
                (false, ..) => Word::Unmet,
                (_, false, _) => Word::Unknown,
                (_, _, false) => Word::Borderline,
                _ => Word::Met,
            };
            el("td").child(sign(word)).child(el("b").text(words::remaining(&flows, &purpose, &unknown)))
        });
        rows.push(row(el("th").text("What still flows"), left).class("sum"));
    }
    for (index, (vessel, _)) in ends.first().map_or(&[][..], |end| &end.vessels).iter().enumerate() {
        let cells = ends.iter().filter_map(|end| end.vessels.get(index)).map(|(id, flow)| fed(id, flow));
        rows.push(row(el("th").text(format!("{vessel}, fed")), cells).tie(vessel, facts.tied()));
    }
    for (place, name) in ["Covered", "Of it beyond the LSA", "Free above the coeliac"].into_iter().enumerate() {
        let length = |end: &StageEnd| {
            let covered = &end.covered;
            let all = [&covered.covered_mm, &covered.beyond_lsa_mm, &covered.free_mm];
            let none = all[place].why() == Some(words::NO_FABRIC);
            el("td").text(if none { "–".to_owned() } else { words::range(all[place]) })
        };
        rows.push(row(el("th").text(name), ends.iter().map(length)));
    }
    let none = extent.ways.is_empty().then(|| el("p").class("note").text("No way of a false lumen is entered."));
    titled("Stage by stage: what still flows at each end").children(none).child(table(heading, rows))
}

/// What a way does at a stage's end.
fn flow(facts: &Facts<'_>, at: &WayAt) -> Element {
    let lies = at.hangs_on.map(|own| format!(" ({})", report_words::possibility(own))).unwrap_or_default();
    let (word, says, why) = match &at.flow {
        Flow::Flows(_) if at.on_purpose => (Word::Borderline, "left on purpose".to_owned(), String::new()),
        Flow::Flows(through) => {
            let through = through.iter().map(|id| facts.name_of(id)).collect::<Vec<_>>().join(", ");
            let through = if through.is_empty() { through } else { format!(", through {through}") };
            (Word::Unmet, format!("flows{through}{lies}"), String::new())
        }
        Flow::Shut if at.by.is_empty() => (Word::Met, "closed".to_owned(), String::new()),
        Flow::Shut => {
            let by = at.by.iter().map(|id| facts.name_of(id)).collect::<Vec<_>>().join(", ");
            (Word::Met, format!("closed by {by}"), String::new())
        }
        Flow::Unknown(why) => (Word::Unknown, words::UNKNOWN.to_owned(), why.clone()),
    };
    let cell = el("td").child(sign(word)).text(says);
    if why.is_empty() { cell } else { cell.with("title", why.clone()).child(el("small").text(why)) }
}

fn fed(id: &str, flow: &Flow) -> Element {
    let cell = el("td").text(words::fed(id, flow));
    match flow {
        Flow::Shut => cell.class("unfed"),
        Flow::Unknown(why) => cell.class("query").with("title", why.clone()),
        Flow::Flows(_) => cell,
    }
}

fn left_out(extent: &Extent) -> Option<Element> {
    let rows = extent.left_out.iter().map(|left| row(el("th").text(left.act.clone()), [el("td").text(without(left))]));
    let rows: Vec<Element> = rows.collect();
    let heading = own(&["If this is left out", "then at the end of the plan"]);
    (!rows.is_empty()).then(|| titled("What each act is needed for").child(table(heading, rows)))
}

/// The pieces down to the coeliac artery, and the stage of each, to be entered.
fn pieces(facts: &Facts<'_>, extent: &Extent) -> Element {
    let rows = extent.pieces.iter().map(|own| {
        let overlap = own.overlap_mm.as_ref().map(|(up, mm)| format!("{} with {up}", words::range(mm)));
        let whole = own
            .whole_percent
            .map_or(words::UNKNOWN.to_owned(), |percent| words::percent(&Quantity::exact([percent; 2])));
        let cells = [
            words::range(&own.from_mm),
            words::range(&own.to_mm),
            overlap.unwrap_or("–".to_owned()),
            words::percent(&own.distal_percent),
            whole,
        ];
        row(el("th").text(facts.name_of(&own.component)), cells.map(|cell| el("td").text(cell)))
    });
    let rows: Vec<Element> = rows.collect();
    let heading = own(&["Piece", "From", "To", "Overlap", "Distal oversize", "over the whole aorta"]);
    let table = (!rows.is_empty()).then(|| table(heading, rows));
    let field = |(index, component): (usize, &Component)| {
        let pointer = format!("/components/{index}/stage");
        let label = format!("Stage of {}", component.id);
        let (input, fault) = form::bare_number(facts.state, &pointer, component.stage.map(f64::from), &label);
        el("div")
            .class("row")
            .child(el("label").with("for", form::id(&pointer)).text(component.id.clone()))
            .child(input)
            .children(fault)
    };
    let all = facts.state.now.case.components.iter().enumerate().map(field);
    let stages = el("div").class("stage-of").child(el("b").text("Stage of")).children(all);
    titled("Pieces down to the coeliac artery").children(table).child(stages)
}

/// Both lumens: sections where they were measured, and the numbers.
fn sections(facts: &Facts<'_>, extent: &Extent) -> Option<Element> {
    let drawn = extent.lumens.iter().zip(SECTIONS).map(|(own, name)| {
        let input = SectionInput::from_plan(facts.plan, own.station_mm, facts.drawn);
        let picture = Scene { name, ..section(&input, SECTION_MM, Medium::Screen) };
        el("div").child(svg_tree::nodes(&picture))
    });
    let case = &facts.plan.case;
    let rows = extent.lumens.iter().map(|own: &LumensAt| {
        let mm = |value: Option<f64>| value.map_or(words::UNKNOWN.to_owned(), report_words::mm);
        let clock = own.centre.map_or(words::UNKNOWN.to_owned(), |clock| report_words::clock(case, clock));
        let flap = own.flap.map_or(words::UNKNOWN.to_owned(), |[a, b]| {
            format!("{} to {}", report_words::clock(case, a), report_words::clock(case, b))
        });
        let cells = [mm(own.true_mm), mm(own.false_mm), mm(own.whole_mm), clock, flap];
        row(el("th").text(report_words::mm(own.station_mm)), cells.map(|cell| el("td").text(cell)))
    });
    let rows: Vec<Element> = rows.collect();
    let heading = own(&[
        "Station",
        "True lumen",
        "False lumen, as a circle",
        "Whole aorta",
        "True lumen towards",
        "Flap at the wall",
    ]);
    let pictures = el("div").class("lumens").children(drawn);
    (!rows.is_empty()).then(|| titled("Both lumens").child(pictures).child(table(heading, rows)))
}

fn vessels(facts: &Facts<'_>, extent: &Extent) -> Element {
    let mm = |value: Option<f64>| value.map_or(words::UNKNOWN.to_owned(), report_words::mm);
    let rows = extent.vessels.iter().map(|vessel| {
        let fed = match vessel.fed_from {
            Some(FedFrom::TrueLumen) => "true lumen",
            Some(FedFrom::FalseLumen) => "false lumen",
            Some(FedFrom::Both) => "both lumens",
            None => words::UNKNOWN,
        };
        let landing = match &vessel.landing {
            Ok(landing) => format!(
                "{} to {} ({})",
                report_words::mm(landing.from_mm),
                report_words::mm(landing.farthest_mm),
                landing.farthest_is
            ),
            Err(_) => words::UNKNOWN.to_owned(),
        };
        let cells = [fed.to_owned(), mm(vessel.dissected_mm), landing].map(|cell| el("td").text(cell));
        row(el("th").text(vessel.id.clone()), cells).tie(&vessel.id, facts.tied())
    });
    let minded = extent.minded.iter().map(|sentence| el("li").text(sentence.clone()));
    let heading = own(&["Vessel", "Fed from", "Dissected for", "A stent may land from … to"]);
    titled("Vessels").child(table(heading, rows)).child(el("ul").children(minded))
}

fn surgery(extent: &Extent) -> Option<Element> {
    let rows = extent.surgeries.iter().map(|own| {
        let stage = match own.stage {
            Some(0) => "done".to_owned(),
            Some(stage) => stage.to_string(),
            None => words::UNKNOWN.to_owned(),
        };
        let cells = [stage, own.landing.clone(), own.feed.clone(), own.rules.clone()];
        row(el("th").text(own.name.clone()), cells.map(|cell| el("td").text(cell)))
    });
    let rows: Vec<Element> = rows.collect();
    let heading = own(&["Surgery", "Stage", "Landing", "Feed", "Rules"]);
    (!rows.is_empty()).then(|| titled("Surgery of the neck vessels").child(table(heading, rows)))
}

fn cord(extent: &Extent) -> Element {
    let rows = extent.cord.iter().map(|line| {
        let source = (!line.source.is_empty()).then(|| el("small").text(format!(" ({})", line.source)));
        let published = el("td").text(line.published).children(source);
        row(el("th").text(line.what), [el("td").text(line.here.clone()), published])
    });
    let heading = own(&["", "In this plan", "Published"]);
    titled("Spinal cord").child(table(heading, rows)).child(el("p").class("note").text(message::NO_CORD_VERDICT))
}
