//! The arch: from points of a file, or from the lengths of a measuring sheet; and where station 0 lies.

use super::{Facts, form};
use crate::tree::{Element, Node, el, svg};
use extrados::casefile::fields::anatomy::ORIGINS;
use extrados::message;
use extrados::report::words as report_words;

/// Pointer of the sheet's lengths.
const SHEET: &str = "/anatomy/sheet_arch";
/// Pointer of the points.
const POINTS: &str = "/anatomy/centreline";

/// The section. `fresh`: whether the plan is that of this very state.
pub fn arch(facts: &Facts<'_>, fresh: bool) -> Element {
    let anatomy = &facts.state.now.case.anatomy;
    let radio = |word: &str, says: &str, chosen: bool| {
        let radio = el("input")
            .with("type", "radio")
            .with("name", "arch")
            .with("data-do", format!("arch:{word}"))
            .flag("checked", chosen);
        el("label").child(radio).text(says)
    };
    let choice = el("fieldset")
        .class("choices")
        .child(el("legend").class("for-readers").text("Where the arch comes from"))
        .child(radio("points", "points of a centreline, from a file", anatomy.centreline.is_some()))
        .child(radio("sheet", "lengths from a measuring sheet", anatomy.sheet_arch.is_some()));
    let inside: Vec<Node> = match (&anatomy.centreline, &anatomy.sheet_arch) {
        (Some(_), _) => points(facts, fresh),
        (None, Some(_)) => sheet(facts, fresh),
        (None, None) => vec![el("p").class("note").text("Choose one. The other can still be chosen later.").into()],
    };
    el("section").class("arch").with("id", "arch").child(el("h3").text("The arch")).child(choice).children(inside)
}

fn points(facts: &Facts<'_>, fresh: bool) -> Vec<Node> {
    let state = facts.state;
    let Some(line) = &state.now.case.anatomy.centreline else { return Vec::new() };
    let range = facts.plan.anatomy.as_ref().ok().filter(|_| fresh).map(|anatomy| anatomy.course.line().range_mm());
    let measured =
        range.map(|(from, to)| format!(", measured from {} to {}", report_words::mm(from), report_words::mm(to)));
    let said = format!("{} points{}.", line.points_lps_mm.len(), measured.unwrap_or_default());
    let field = |key: &str| format!("{POINTS}/{key}");
    vec![
        el("p").class("note").text(said).into(),
        origin(&field("origin"), Some(&line.origin), line.origin_at_mm.is_some()).into(),
        el("div")
            .class("fields")
            .child(form::number(state, &field("origin_at_mm"), line.origin_at_mm))
            .child(form::number(state, &field("smoothing_length_mm"), Some(line.smoothing_length_mm)))
            .into(),
    ]
}

fn sheet(facts: &Facts<'_>, fresh: bool) -> Vec<Node> {
    let state = facts.state;
    let Some(sheet) = &state.now.case.anatomy.sheet_arch else { return Vec::new() };
    let rough = facts.plan.rough().filter(|_| fresh);
    let number = |key: &str, value: Option<f64>| {
        let held = rough.and_then(|rough| rough.residuals.iter().find(|residual| residual.key == key));
        let held = held.map(|residual| el("small").text(report_words::residual_in_short(residual)));
        form::number(state, &format!("{SHEET}/{key}"), value).children(held)
    };
    let lengths = [
        ("from_station_mm", sheet.from_station_mm),
        ("to_station_mm", sheet.to_station_mm),
        ("inner_mm", sheet.inner_mm),
        ("outer_mm", sheet.outer_mm),
        ("centre_mm", sheet.centre_mm),
        ("diameter_mm", sheet.diameter_mm),
        ("width_mm", sheet.width_mm),
        ("height_mm", sheet.height_mm),
        ("radius_mm", sheet.radius_mm),
        ("plane_from_sagittal_deg", sheet.plane_from_sagittal_deg),
    ];
    let why = facts.plan.anatomy.as_ref().err().filter(|_| fresh).map(|why| el("p").class("note").text(why.0.clone()));
    vec![
        el("p").class("note").text(message::ROUGH).into(),
        el("div")
            .class("beside")
            .child(el("div").class("fields").children(lengths.map(|(key, value)| number(key, value))))
            .child(lengths_drawing())
            .into(),
    ]
    .into_iter()
    .chain(why.map(Node::from))
    .chain([Node::from(origin(&format!("{SHEET}/origin"), sheet.origin.as_deref(), sheet.origin.is_some()))])
    .collect()
}

/// What lies at station 0, with a drawing of the root. `answered`: whether anything still waits for it.
fn origin(pointer: &str, said: Option<&str>, answered: bool) -> Element {
    let radios = ORIGINS.iter().map(|origin| {
        let radio = el("input")
            .with("type", "radio")
            .with("name", "origin")
            .with("data-do", format!("origin:{}", origin.word))
            .flag("checked", said == Some(origin.word));
        el("label").child(radio).text(origin.shown)
    });
    let open =
        (!answered).then(|| el("p").class("note").text("Until it is known, whatever starts at station 0 is unknown."));
    let other = said.filter(|said| ORIGINS.iter().all(|origin| origin.word != *said));
    let other = other.map(|said| el("p").class("note").text(format!("Now: {}.", said.replace('_', " "))));
    el("fieldset")
        .class("origin beside")
        .with("data-origin", pointer)
        .child(
            el("div")
                .child(el("legend").text("What lies at station 0?"))
                .child(el("p").class("note").text("Stations upstream of it are negative."))
                .children(open)
                .children(radios)
                .children(other),
        )
        .child(root_drawing())
}

fn words(x: &str, y: &str, words: &str) -> Element {
    svg("text").with("x", x).with("y", y).text(words)
}

/// The root of the aorta with the places that can be station 0.
fn root_drawing() -> Element {
    svg("svg")
        .class("drawing")
        .with("viewBox", "0 0 230 104")
        .with("aria-hidden", "true")
        .child(svg("path").with("d", "M30,4V34q-16,12 -12,30q2,14 14,26 M78,4V34q16,12 12,30q-2,14 -14,26"))
        .child(svg("path").class("thin").with("d", "M32,90h44 M30,34h48 M30,16h48"))
        .child(svg("circle").with("cx", "88").with("cy", "52").with("r", "3"))
        .child(svg("path").class("thin").with("d", "M80,16h24 M80,34h24 M92,52h12 M78,90h26"))
        .child(words("108", "20", "suture line of a graft"))
        .child(words("108", "38", "sinotubular junction"))
        .child(words("108", "56", "upper coronary"))
        .child(words("108", "94", "annulus"))
}

/// The lengths of a measuring sheet on an arch from the side.
fn lengths_drawing() -> Element {
    svg("svg")
        .class("drawing")
        .with("viewBox", "0 0 230 176")
        .with("aria-hidden", "true")
        .child(svg("path").with("d", "M40,150V88a72,72 0 0 1 144,0V150"))
        .child(svg("path").with("d", "M80,150V88a32,32 0 0 1 64,0V150"))
        .child(svg("path").class("dashed").with("d", "M60,150V88a52,52 0 0 1 104,0V150"))
        .child(
            svg("path")
                .class("thin")
                .with("d", "M36,88h52 M136,88h52 M60,160h104 M60,157v6 M164,157v6 M112,88V36 M112,88l37,-37"),
        )
        .child(words("98", "12", "outer"))
        .child(words("99", "108", "inner"))
        .child(words("62", "52", "centre").with("transform", "rotate(-40 62 52)"))
        .child(words("96", "172", "width"))
        .child(words("72", "84", "height"))
        .child(words("132", "72", "radius"))
        .child(words("2", "92", "from"))
        .child(words("194", "92", "to"))
}
