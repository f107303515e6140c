//! The stage of the C-arm: the table of views, the chart on which one is looked for, and beside it
//! what the screen will show there.

use super::{Facts, form};
use crate::svg_tree;
use crate::tree::{Element, Node, el};
use extrados::carm::angles::Positioner;
use extrados::carm::step_views;
use extrados::carm::views::{ViewResult, sheet_views, views};
use extrados::carm::words as carm_words;
use extrados::casefile::case::CArm;
use extrados::casefile::fields;
use extrados::message;
use extrados::report::words as report_words;
use extrados::scene::carm_chart::{Chart, ChartInput, carm_chart};
use extrados::scene::projection::{Options, ProjectionInput, projection};
use extrados::scene::style::Medium;
use extrados::units::Angle;

/// Id of the chart's focusable frame.
pub const CHART: &str = "carm-chart";
/// Widths of chart and projection, mm of the drawing; the style sets how large they are shown.
const CHART_MM: f64 = 88.0;
const PICTURE_MM: f64 = 84.0;

/// The stage.
pub fn stage(facts: &Facts<'_>) -> Vec<Node> {
    if let Err(unknown) = &facts.plan.anatomy {
        return vec![el("p").class("note").text(unknown.0.clone()).into()];
    }
    let all = views(facts.plan);
    let shown = sheet_views(facts.plan, &all);
    let at = at(facts, &shown);
    let chart = svg_tree::nodes(&drawn_chart(facts, &shown, at).scene);
    let turn = Angle::deg(f64::from(facts.state.view.carm.turn_deg));
    let input = ProjectionInput::from_plan(facts.plan, facts.drawn, turn);
    let picture = Options { width_mm: PICTURE_MM, medium: Medium::Screen, at, beam: None };
    let picture = svg_tree::nodes(&projection(&input, &picture));
    let frame = el("div")
        .with("id", CHART)
        .with("tabindex", "0")
        .with("role", "application")
        .with("aria-roledescription", "chart of views")
        .with("aria-label", "Chart of views: arrow keys swing the C-arm by 1 degree, with Shift by 5")
        .child(chart);
    vec![
        table(facts, &shown).into(),
        el("div")
            .class("carm")
            .child(el("div").child(frame).child(looked(at)).child(reach(facts)))
            .child(el("div").child(picture).child(turned(facts)))
            .into(),
        steps(facts, &all).into(),
        el("p").class("note").text(message::HEAD_FIRST_SUPINE).into(),
    ]
}

/// The view that is looked at, whole degrees.
pub fn looked_at(facts: &Facts<'_>) -> [i16; 2] {
    let all = views(facts.plan);
    whole(&at(facts, &sheet_views(facts.plan, &all)))
}

/// The view at a place of the chart, given by its shares of width and height.
pub fn pointed_at(facts: &Facts<'_>, share: [f64; 2]) -> Option<[i16; 2]> {
    let all = views(facts.plan);
    let shown = sheet_views(facts.plan, &all);
    let chart = drawn_chart(facts, &shown, at(facts, &shown));
    let spot = [share[0] * chart.scene.width_mm, share[1] * chart.scene.height_mm];
    share.iter().all(|share| share.is_finite()).then(|| whole(&chart.axes.at(spot)))
}

/// A view in whole degrees.
pub fn whole(at: &Positioner) -> [i16; 2] {
    [at.primary, at.secondary].map(|angle| angle.wrapped().to_deg().round() as i16)
}

fn at(facts: &Facts<'_>, shown: &[&ViewResult]) -> Positioner {
    let look = facts.state.view.carm;
    match look.at_deg {
        Some([primary, secondary]) => Positioner::deg(f64::from(primary), f64::from(secondary)),
        None => {
            let chosen = shown.get(look.chosen).and_then(|view| view.choice.value());
            chosen.map_or(Positioner::deg(0.0, 0.0), |choice| choice.rounded)
        }
    }
}

fn drawn_chart(facts: &Facts<'_>, shown: &[&ViewResult], at: Positioner) -> Chart {
    let input = ChartInput::new(facts.plan, shown, facts.state.view.carm.chosen, at);
    carm_chart(&input, CHART_MM, Medium::Screen)
}

/// Views with what is to know of each; choosing one draws its field and goes there.
fn table(facts: &Facts<'_>, shown: &[&ViewResult]) -> Element {
    let rows = shown.iter().enumerate().map(|(place, view)| {
        let chosen = place == facts.state.view.carm.chosen;
        let name = carm_words::view_name(facts.plan, view);
        let input = el("input")
            .with("type", "radio")
            .with("name", "carm-view")
            .with("data-do", format!("carm:{place}"))
            .flag("checked", chosen);
        let angles = match view.choice.why() {
            None => el("td").child(el("b").text(carm_words::view(view))),
            Some(why) => el("td").child(el("span").class("query").with("title", why).text(report_words::UNKNOWN)),
        };
        let several = facts.plan.possibilities().len() > 1;
        let lies = view.possibility.filter(|_| several);
        let lies = lies.map(|possibility| el("span").class("lies").text(report_words::possibility(possibility)));
        el("tr")
            .tie(&view.id, facts.tied())
            .child(el("th").with("scope", "row").child(el("label").child(input).text(name)))
            .child(angles)
            .child(el("td").class("muted").text(carm_words::view_notes(view)).children(lies))
    });
    let heads = ["Shows", "View", "How well"];
    el("table")
        .class("views")
        .child(el("caption").class("for-readers").text("C-arm views"))
        .child(el("thead").child(el("tr").children(heads.map(|head| el("th").with("scope", "col").text(head)))))
        .child(el("tbody").children(rows))
}

/// The view as it is typed.
fn looked(at: Positioner) -> Element {
    let input = el("input")
        .with("id", "carm-at")
        .with("data-do", "carm-at")
        .with("autocomplete", "off")
        .with("spellcheck", "false")
        .with("value", at.words());
    el("div").class("row").child(el("label").with("for", "carm-at").text("View")).child(input.class("words"))
}

fn turned(facts: &Facts<'_>) -> Element {
    let help = "Turn of the graft to compare with the plan, + clockwise looking downstream.";
    form::turned("carm-turn", "Graft turned", help, facts.state.view.carm.turn_deg)
}

/// What the C-arm can take; the default until it is entered.
fn reach(facts: &Facts<'_>) -> Element {
    let own = facts.state.now.case.carm.as_ref();
    let carm = own.cloned().unwrap_or_default();
    let CArm { primary_limit_deg: [rao, lao], secondary_limit_deg: [caudal, cranial], table_turn_deg } = carm;
    let limit = |pointer: &str, value: f64, label: &str| {
        let (input, refused) = form::bare_number(facts.state, pointer, Some(value), label);
        el("span").child(input).children(refused)
    };
    let pair = |says: &str, from: Element, to: Element| {
        el("div").class("limits").text(says).child(from).text("to").child(to).text("°")
    };
    let note = own.is_none().then(|| el("p").class("note").text(message::DEFAULT_REACH));
    el("fieldset")
        .class("reach")
        .child(el("legend").text("Reach of the C-arm, − = RAO or caudal"))
        .child(pair(
            "Primary",
            limit("/carm/primary_limit_deg/0", rao, "Farthest RAO, negative"),
            limit("/carm/primary_limit_deg/1", lao, "Farthest LAO"),
        ))
        .child(pair(
            "Secondary",
            limit("/carm/secondary_limit_deg/0", caudal, "Farthest caudal, negative"),
            limit("/carm/secondary_limit_deg/1", cranial, "Farthest cranial"),
        ))
        .child(
            el("div")
                .class("limits")
                .text("Table turned")
                .child(limit("/carm/table_turn_deg", table_turn_deg, "Turn of the table, + clockwise seen from above"))
                .text("°, + clockwise seen from above"),
        )
        .children(note)
}

/// Views attached to steps.
fn steps(facts: &Facts<'_>, all: &[ViewResult]) -> Element {
    let steps = step_views(&facts.plan.case, all);
    if steps.is_empty() {
        return el("p").class("note").text("No step of the release names a view yet.");
    }
    let rows = steps.into_iter().map(|(number, step, view)| {
        let on = step.on.as_deref().map_or(String::new(), |on| format!(" {}", facts.name_of(on)));
        let does = fields::shown("/procedure/steps/*/do", step.action.as_str());
        el("li").text(format!("Step {number}, {does}{on}: ")).child(el("b").text(view))
    });
    el("ul").class("steps").children(rows)
}
