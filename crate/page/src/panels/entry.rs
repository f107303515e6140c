//! What is entered: the case, the sheet's clock, the graft and where it is put, the CT, the ostia,
//! the errors. Every field is made by [`super::form`] from the field table.

use super::{Facts, clock_faces, form};
use crate::tree::{Element, Node, el};
use crate::view::Paper;
use extrados::casefile::case::{Graft, LengthKeptBy, TwelveOClock};
use extrados::report::words as report_words;
use extrados::units::ThreeOClock;

/// The panel.
pub fn entry(facts: &Facts<'_>) -> Vec<Node> {
    let state = facts.state;
    let case = &state.now.case;
    let asked = case.clock.three_oclock_is.is_none();
    let mut said: Vec<Node> = Vec::new();
    // An unanswered hand leaves every clock unknown: the question comes first.
    if asked {
        said.push(clock(facts).into());
    }
    said.push(
        section("Case")
            .child(form::text(state, "/label", &case.label))
            .child(form::text(state, "/diagnosis", &case.diagnosis))
            .into(),
    );
    said.extend([placement(facts), graft(facts)].map(Node::from));
    if !asked {
        said.push(clock(facts).into());
    }
    said.extend([ostia(facts), aorta(facts), ct(facts), errors(facts), paper(facts)].map(Node::from));
    said
}

fn section(title: &str) -> Element {
    el("section").child(el("h2").text(title))
}

fn folded(title: &str, note: String) -> Element {
    el("details").child(el("summary").child(el("h2").text(title)).child(el("span").class("muted").text(note)))
}

fn placement(facts: &Facts<'_>) -> Element {
    let section = section("Placement");
    let Some((index, _, placement)) = facts.state.moved() else {
        return section.child(el("p").class("note").text("No graft is placed yet: choose one below."));
    };
    let pointer = |key: &str| format!("/components/{index}/placement/{key}");
    section
        .children(super::stage_graft::chooser(facts))
        .child(form::number(facts.state, &pointer("station_mm"), Some(placement.station_mm)))
        .child(form::clock(facts.state, &pointer("clock_deg"), Some(placement.clock_deg)))
        .child(form::number(facts.state, &pointer("held_u_mm"), Some(placement.held_u_mm)))
        .child(el("p").class("note").text("Drag the graft on the map, or use the arrow keys there."))
}

fn graft(facts: &Facts<'_>) -> Element {
    let index = facts.state.moved().map_or(0, |(index, _, _)| index);
    let own = facts.state.moved().and_then(|(_, component, _)| component.graft.as_deref());
    let own_label = match own {
        Some(graft) if graft.label.is_empty() => "graft without a label".to_owned(),
        Some(graft) => graft.label.clone(),
        None => "none yet".to_owned(),
    };
    let demos = facts
        .demos
        .grafts
        .iter()
        .enumerate()
        .map(|(index, demo)| el("option").with("value", index.to_string()).text(demo.label.clone()));
    let select = el("select")
        .with("id", "graft")
        .with("data-do", "graft")
        .with("value", "")
        .child(el("option").with("value", "").text(own_label))
        .children(demos)
        .child(el("option").with("value", "file").text("From a file…"));
    let section = section("Graft").child(el("div").class("row whole").child(select.with("aria-label", "Graft")));
    let Some(own) = own else { return section };
    let kept = match own.length_kept_by {
        LengthKeptBy::Axis => "axis",
        LengthKeptBy::OuterLine => "outer_line",
        LengthKeptBy::Unknown => "unknown",
    };
    section
        .child(form::choice(facts.state, &format!("/components/{index}/graft/length_kept_by"), Some(kept)))
        .child(el("p").class("note").text(summary(own)))
}

/// Length, diameters at both ends, tunnels.
fn summary(graft: &Graft) -> String {
    let mut parts = vec![format!("{} long", report_words::mm(graft.length_mm))];
    if let (Some(first), Some(last)) = (graft.sections.first(), graft.sections.last()) {
        parts.push(format!("{} → {} mm wide", first.from_diameter_mm, last.to_diameter_mm));
    }
    let tunnels: Vec<String> =
        graft.tunnels.iter().map(|tunnel| format!("{} {}", tunnel.serves, report_words::flow(tunnel.flow))).collect();
    parts.push(if tunnels.is_empty() { "no tunnels".into() } else { format!("tunnels: {}", tunnels.join(", ")) });
    format!("{}.", parts.join("; "))
}

fn clock(facts: &Facts<'_>) -> Element {
    let clock = &facts.state.now.case.clock;
    let twelve = clock.twelve_oclock_is.map(|twelve| match twelve {
        TwelveOClock::ArchPlane => "arch_plane",
        TwelveOClock::LocalBend => "local_bend",
        TwelveOClock::StraightUp => "straight_up",
    });
    let section = match clock.three_oclock_is {
        None => section("Sheet's clock").class("ask"),
        Some(hand) => {
            let word = match hand {
                ThreeOClock::FrontLeft => "3:00 front-left",
                ThreeOClock::BackRight => "3:00 back-right",
            };
            folded("Sheet's clock", word.into())
        }
    };
    section.child(clock_faces::question(clock.three_oclock_is)).child(form::choice(
        facts.state,
        "/clock/twelve_oclock_is",
        twelve,
    ))
}

fn ostia(facts: &Facts<'_>) -> Element {
    let ostia = &facts.state.now.case.anatomy.ostia;
    let heads = ["", "Station", "Clock", "Along", "Across"].map(|head| el("th").with("scope", "col").text(head));
    let mut faults = Vec::new();
    let rows: Vec<Element> = ostia
        .iter()
        .enumerate()
        .map(|(index, ostium)| {
            let name = facts.name_of(&ostium.id);
            let pointer = |key: &str| format!("/anatomy/ostia/{index}/{key}");
            let label = |what: &str| format!("{what} of {name}");
            let mut cell = |(input, fault): (Element, Option<Element>)| {
                faults.extend(fault);
                el("td").child(input)
            };
            let number = |key: &str, value: Option<f64>, what: &str| {
                form::bare_number(facts.state, &pointer(key), value, &label(what))
            };
            let (input, fault, side) =
                form::bare_clock(facts.state, &pointer("clock_deg"), ostium.clock_deg, &label("Clock"));
            el("tr")
                .tie(&ostium.id, facts.tied())
                .child(el("th").with("scope", "row").text(name.clone()))
                .child(cell(number("station_mm", Some(ostium.station_mm), "Station, mm,")))
                .child(cell((input, fault)).child(el("small").text(side)))
                .child(cell(number("along_mm", ostium.along_mm, "Length along the flow, mm,")))
                .child(cell(number("across_mm", ostium.across_mm, "Length around, mm,")))
        })
        .collect();
    let table =
        el("table").class("ostia").child(el("thead").child(el("tr").children(heads))).child(el("tbody").children(rows));
    folded("Ostia", format!("{}, mm", ostia.len())).child(table).children(faults)
}

fn ct(facts: &Facts<'_>) -> Element {
    let state = facts.state;
    let ct = &state.now.case.ct;
    folded("CT", ct.date.clone().unwrap_or_else(|| "no date".into()))
        .child(form::date(state, "/ct/date", ct.date.as_deref()))
        .child(form::text(state, "/ct/phase", ct.phase.as_deref().unwrap_or_default()))
        .child(form::number(state, "/ct/slice_mm", ct.slice_mm))
        .child(form::text(state, "/ct/measured_by", &ct.measured_by))
        .child(form::text(state, "/ct/checked_by", &ct.checked_by))
}

fn aorta(facts: &Facts<'_>) -> Element {
    let Some(line) = &facts.state.now.case.anatomy.centreline else {
        return folded("Aorta", "no centreline".into());
    };
    let range = facts.plan.anatomy.as_ref().ok().map(|anatomy| anatomy.course.line().range_mm());
    let reach = range.map(|(from, to)| {
        let words = format!("Measured from {} to {}.", report_words::mm(from), report_words::mm(to));
        el("p").class("note").text(words)
    });
    folded("Aorta", format!("{} points", line.points_lps_mm.len()))
        .child(form::number(facts.state, "/anatomy/centreline/origin_at_mm", line.origin_at_mm))
        .child(form::text(facts.state, "/anatomy/centreline/origin", &line.origin))
        .child(form::number(facts.state, "/anatomy/centreline/smoothing_length_mm", Some(line.smoothing_length_mm)))
        .children(reach)
}

fn errors(facts: &Facts<'_>) -> Element {
    let errors = &facts.state.now.case.errors;
    let whose = if errors.entered_by_user { "your own" } else { "from memory" };
    let field = |key: &str, value: f64| form::number(facts.state, &format!("/errors/{key}"), Some(value));
    folded("CT's errors", whose.into())
        .child(el("p").class("note").text("One standard deviation each. A typed one makes them your own."))
        .child(field("station_sd_mm", errors.station_sd_mm))
        .child(field("clock_sd_deg", errors.clock_sd_deg))
        .child(field("diameter_sd_mm", errors.diameter_sd_mm))
}

fn paper(facts: &Facts<'_>) -> Element {
    let choice = |paper: Paper, word: &str, says: &str| {
        let radio = el("input")
            .with("type", "radio")
            .with("name", "paper")
            .with("data-do", format!("paper:{word}"))
            .flag("checked", facts.state.view.paper == paper);
        el("label").child(radio).text(says)
    };
    section("Paper of the sheet").child(el("div").class("choices").child(choice(Paper::A4, "a4", "A4")).child(choice(
        Paper::Letter,
        "letter",
        "Letter",
    )))
}
