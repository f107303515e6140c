//! What is entered at the left: the case, the sheet's clock, the graft and where it is put, the
//! alternatives, the errors. What was measured has a stage of its own. Every field is made by [`super::form`] from the field table.

use super::{Facts, alternatives, clock_faces, form};
use crate::tree::{Element, Node, el};
use extrados::casefile::case::{Graft, LengthKeptBy};
use extrados::report::words as report_words;
use extrados::units::ThreeOClock;

/// The panel.
pub fn entry(facts: &Facts<'_>) -> Vec<Node> {
    let state = facts.state;
    let case = &state.now.case;
    // An unanswered hand leaves every clock unknown: the question comes first.
    let mut said: Vec<Node> = vec![clock(facts).into()];
    said.push(
        section("Case")
            .child(form::text(state, "/label", &case.label))
            .child(form::text(state, "/diagnosis", &case.diagnosis))
            .into(),
    );
    said.extend([placement(facts), graft(facts)].map(Node::from));
    said.extend([alternatives::choice(facts), errors(facts)].map(Node::from));
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

/// Id of the head of the clock's questions, which takes the focus when both are answered.
pub const CLOCK: &str = "clock-questions";

fn clock(facts: &Facts<'_>) -> Element {
    let clock = &facts.state.now.case.clock;
    let asked = clock.three_oclock_is.is_none() || clock.twelve_oclock_is.is_none();
    let word = match clock.three_oclock_is {
        None => "not answered",
        Some(ThreeOClock::FrontLeft) => "3:00 front-left",
        Some(ThreeOClock::BackRight) => "3:00 back-right",
    };
    let open = if clock.three_oclock_is.is_some() && asked { ", 12:00 not answered" } else { "" };
    let head = el("summary")
        .with("id", CLOCK)
        .child(el("h2").text("Sheet's clock"))
        .child(el("span").class("muted").text(format!("{word}{open}")));
    // It stays where it is while it is answered, so that the focus stays in it.
    let section = el("details").flag("open", asked);
    let section = if asked { section.class("ask") } else { section }.child(head);
    section.child(clock_faces::question(clock.three_oclock_is)).child(clock_faces::meaning(clock.twelve_oclock_is))
}

fn errors(facts: &Facts<'_>) -> Element {
    let errors = &facts.state.now.case.errors;
    let whose = if errors.entered_by_user { "your own" } else { "from memory" };
    let field = |(key, value): (&str, f64)| form::number(facts.state, &format!("/errors/{key}"), Some(value));
    let rotation = &errors.rotation;
    let ct = [
        ("station_sd_mm", errors.station_sd_mm),
        ("clock_sd_deg", errors.clock_sd_deg),
        ("diameter_sd_mm", errors.diameter_sd_mm),
        ("takeoff_sd_deg", errors.takeoff_sd_deg),
    ];
    let landing = [
        ("axial_mean_mm", errors.axial_mean_mm),
        ("axial_sd_mm", errors.axial_sd_mm),
        ("rotation/mean_deg", rotation.mean_deg),
        ("rotation/small_sd_deg", rotation.small_sd_deg),
        ("rotation/large_sd_deg", rotation.large_sd_deg),
        ("rotation/large_share", rotation.large_share),
    ];
    let records = el("button").with("type", "button").with("data-do", "records").text("From own records…");
    folded("Errors", whose.into())
        .child(el("p").class("note").text("Standard deviations, on the CT first. A typed one makes all your own."))
        .children(ct.map(field))
        .child(el("p").class("note").text("Landing and rotation weigh the room and give the chance."))
        .children(landing.map(field))
        .child(records)
}
