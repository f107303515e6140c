//! The stage of the release: its steps with what each leaves fed, one of them to edit and to look at, the
//! orders that keep fed what must be, and what a turn would do.

use super::{Facts, form};
use crate::moving::SIDE;
use crate::svg_tree;
use crate::tree::{Element, Node, el};
use extrados::casefile::case::{Case, Step};
use extrados::dissection::ways::ways;
use extrados::feed::false_lumen::Remaining;
use extrados::feed::flow::{Feed, FeedState};
use extrados::feed::release::{self, BRAIN, Release, StepResult};
use extrados::feed::standing::{servers, steps};
use extrados::feed::{templates, words};
use extrados::graft::lie::Possibility;
use extrados::message;
use extrados::report::extent as report_extent;
use extrados::report::words as report_words;
use extrados::scene::side_view::side_view;
use extrados::scene::step::picture;
use extrados::scene::style::Medium;
use extrados::scene::wall_map::{Layers, Options, Size, wall_map};

/// Size of the map, mm of the drawing.
const PICTURE_MM: [f64; 2] = [170.0, 104.0];

/// Id of the button that chooses a step.
pub fn row_id(place: usize) -> String {
    format!("step-{place}")
}

/// The stage. `fresh`: whether the plan is that of this very state; the steps stay in sight, so that the
/// keyboard keeps its place among them.
pub fn stage(facts: &Facts<'_>, fresh: bool) -> Vec<Node> {
    let case = &facts.state.now.case;
    let release = facts.release.filter(|_| fresh);
    let own = steps(case);
    let mut nodes: Vec<Node> = vec![begin(case, own).into()];
    if own.is_empty() {
        nodes.push(el("p").class("note").text("No steps yet: take those of a template, or add the first.").into());
        return nodes;
    }
    let chosen = facts.state.view.step.min(own.len() - 1);
    nodes.push(table(case, release, own, chosen).into());
    nodes.push(fields(facts, case, &own[chosen], chosen).into());
    match release {
        None => nodes.push(el("p").class("note").text("Working out what each step leaves fed …").into()),
        Some(release) => {
            if let Some(result) = release.steps.get(chosen) {
                nodes.push(shown(facts, release, result).into());
            }
            nodes.push(orders(facts, release).into());
            nodes.push(turns(facts).into());
            nodes.push(pauses(case, release).into());
            nodes.extend(stages(facts).map(Node::from));
        }
    }
    nodes.push(limit(facts).into());
    nodes.push(el("p").class("note").text(message::FEED_CAUTION).into());
    nodes
}

/// Where steps come from.
fn begin(case: &Case, own: &[Step]) -> Element {
    let all = templates::templates(case);
    let options = all.iter().map(|template| el("option").with("value", template.id).text(template.name));
    let says = if own.is_empty() { "Steps of a template …" } else { "Steps of a template, in place of these …" };
    let menu = el("select")
        .class("menu")
        .with("id", "step-template")
        .with("data-do", "step-template")
        .with("aria-label", "Steps of a template")
        .child(el("option").with("value", "").text(says))
        .children(options);
    let add = el("button").with("id", "step-add").with("data-do", "step-add").text("Add a step");
    el("div").class("begin").child(menu).child(add)
}

/// Steps by vessels. The state's steps stand here at once, what they leave as soon as it is worked out.
fn table(case: &Case, release: Option<&Release>, own: &[Step], chosen: usize) -> Element {
    let release = release.filter(|release| release.steps.len() == own.len());
    let vessels: Vec<&str> = match release.and_then(|release| release.steps.first()) {
        Some(first) => words::vessels(first),
        None => case.anatomy.vessels.iter().map(|vessel| vessel.id.as_str()).collect(),
    };
    let head = |says: &str| el("th").with("scope", "col").text(says);
    let needs = release::dependants(case);
    let lumen = !ways(case).is_empty();
    let vessel_heads = vessels.iter().map(|vessel| {
        let needed = needs.iter().find(|own| own.vessel == *vessel);
        let says = needed.map(|own| if own.heart { "feeds the heart" } else { "must stay fed" });
        head(vessel).children(says.map(|says| el("small").text(says)))
    });
    let rows = own.iter().enumerate().map(|(place, step)| {
        let result = release.and_then(|release| release.steps.get(place));
        let cells = vessels.iter().map(|vessel| cell(case, result, vessel, &needs));
        let brain = result.map(|result| release::brain(case, &result.feeds));
        let brain = match brain {
            Some(count) => {
                el("td").with("title", words::brain(count)).text(format!("{} of {}", count.fed, BRAIN.len()))
            }
            None => el("td").text("…"),
        };
        let lumen = lumen.then(|| match result.and_then(|result| result.false_lumen.as_ref()) {
            Some(own) => el("td").class(own.as_ref().map_or("doubtful", lumen_class)).text(words::false_lumen(own)),
            None => el("td").text("…"),
        });
        let minutes = step.minutes.map_or(String::new(), |minutes| format!("{minutes:.0}"));
        el("tr")
            .class(if place == chosen { "chosen" } else { "" })
            .child(el("th").with("scope", "row").child(name(case, step, place, chosen)))
            .children(cells)
            .child(brain)
            .children(lumen)
            .child(el("td").text(minutes))
    });
    let lumen_head = lumen.then(|| head("False lumen"));
    let heads = [head("Step")].into_iter().chain(vessel_heads).chain([head("Brain")]);
    let heads = heads.chain(lumen_head).chain([head("min")]);
    el("div").class("wide").child(
        el("table")
            .class("release")
            .child(
                el("caption")
                    .class("for-readers")
                    .text("What each step leaves fed, in the worst way the graft can lie"),
            )
            .child(el("thead").child(el("tr").children(heads)))
            .child(el("tbody").children(rows)),
    )
}

fn lumen_class([flows, _, unknown]: &Remaining) -> &'static str {
    match (flows.is_empty(), unknown.is_empty()) {
        (false, _) => "unfed",
        (true, false) => "doubtful",
        (true, true) => "",
    }
}

fn name(case: &Case, step: &Step, place: usize, chosen: usize) -> Element {
    el("button")
        .with("id", row_id(place))
        .with("data-do", format!("step:{place}"))
        .with("aria-pressed", if place == chosen { "true" } else { "false" })
        .text(format!("{} {}", place + 1, words::does(case, step)))
}

/// A vessel at a step: mark, word, width.
fn cell(case: &Case, result: Option<&StepResult>, vessel: &str, needs: &[release::Dependant]) -> Element {
    let Some(feed) = result.and_then(|result| result.worst(vessel)) else { return el("td").text("…") };
    let breaks = feed.state != FeedState::Fed
        && result.is_some_and(|result| result.standing.begun())
        && needs.iter().any(|own| own.vessel == vessel);
    let class = match feed.state {
        FeedState::Fed => "fed",
        FeedState::Doubtful | FeedState::Unknown => "doubtful",
        FeedState::Unfed => "unfed",
    };
    el("td")
        .class(if breaks { format!("{class} breaks") } else { class.to_owned() })
        .with("title", words::long(case, feed))
        .child(el("span").with("aria-hidden", "true").text(words::mark(feed.state)))
        .text(format!(" {}", words::short(feed)))
}

/// The chosen step to edit.
fn fields(facts: &Facts<'_>, case: &Case, step: &Step, place: usize) -> Element {
    let state = facts.state;
    let at = |name: &str| format!("/procedure/steps/{place}/{name}");
    let number = |name: &str, value: Option<f64>| form::number(state, &at(name), value);
    let button = |does: &str, says: &str, can: bool| {
        el("button").with("id", does.to_owned()).with("data-do", does.to_owned()).flag("disabled", !can).text(says)
    };
    let count = steps(case).len();
    let moves = el("div")
        .class("moves")
        .child(button("step-up", "Earlier ↑", place > 0))
        .child(button("step-down", "Later ↓", place + 1 < count))
        .child(button("step-place", if step.placement.is_some() { "Lies as drawn" } else { "Lies elsewhere" }, true))
        .child(button("step-drop", "Remove", true));
    let there = step.placement.map(|own| {
        let at = |name: &str| format!("/procedure/steps/{place}/placement/{name}");
        el("div")
            .class("fields")
            .child(form::number(state, &at("station_mm"), Some(own.station_mm)))
            .child(form::clock(state, &at("clock_deg"), Some(own.clock_deg)))
    });
    el("fieldset")
        .class("step")
        .child(el("legend").text(format!("Step {}", place + 1)))
        .child(moves)
        .child(
            el("div")
                .class("fields")
                .child(form::choice(state, &at("do"), Some(step.action.as_str())))
                .child(on(case, &at("on"), step.on.as_deref()))
                .child(form::text(state, &at("from_access"), step.from_access.as_deref().unwrap_or_default()))
                .child(number("sheath_outer_mm", step.sheath_outer_mm))
                .child(number("open_to_mm", step.open_to_mm))
                .child(number("held_diameter_mm", step.held_diameter_mm))
                .child(form::text(state, &at("wire"), step.wire.as_deref().unwrap_or_default()))
                .child(view(facts, &at("view"), step.view.as_deref().unwrap_or_default()))
                .child(number("minutes", step.minutes))
                .child(number("stage", step.stage.map(f64::from))),
        )
        .children(there)
}

/// What a step can be done on.
fn on(case: &Case, pointer: &str, value: Option<&str>) -> Element {
    let option = |id: &str, says: String| el("option").with("value", id.to_owned()).text(says);
    let pieces =
        case.components.iter().map(|c| option(&c.id, format!("{} ({})", c.id, c.kind.as_str().replace('_', " "))));
    let served = servers(case).into_iter().map(|(id, vessel)| option(id, format!("{id} → {vessel}")));
    let vessels = case.anatomy.vessels.iter().map(|vessel| option(&vessel.id, vessel.id.clone()));
    let ways = case.anatomy.ways.iter().map(|way| option(&way.id, format!("way {}", way.id)));
    let select = el("select")
        .with("id", form::id(pointer))
        .with("data-field", pointer.to_owned())
        .with("value", value.unwrap_or_default())
        .child(el("option").with("value", "").text("not said"))
        .children(pieces.chain(served).chain(vessels).chain(ways));
    el("div").class("row").child(el("label").with("for", form::id(pointer)).text("On")).child(select)
}

/// The view of a step: one of the plan's, or typed.
fn view(facts: &Facts<'_>, pointer: &str, value: &str) -> Element {
    let case = &facts.state.now.case;
    let known = ["arch_plane"].into_iter().chain(case.components.iter().map(|c| c.id.as_str()));
    let known = known.chain(case.anatomy.ostia.iter().map(|o| o.id.as_str()));
    let known = known.chain(servers(case).into_iter().map(|(id, _)| id));
    let list = format!("{}-views", form::id(pointer));
    let options = known.map(|id| el("option").with("value", id.to_owned()));
    let mut row = form::text(facts.state, pointer, value);
    for child in &mut row.children {
        if let Node::Element(input) = child
            && input.tag == "input"
        {
            *input = input.clone().with("list", list.clone());
        }
    }
    row.child(el("datalist").with("id", list).children(options))
}

/// The chosen step: every vessel in a sentence, and the pictures.
fn shown(facts: &Facts<'_>, release: &Release, result: &StepResult) -> Element {
    let case = &facts.plan.case;
    let worst = words::vessels(result).into_iter().filter_map(|vessel| result.worst(vessel));
    let line = |feed: &Feed| {
        el("li")
            .child(el("span").with("aria-hidden", "true").text(words::mark(feed.state)))
            .text(format!(" {}", words::long(case, feed)))
    };
    let brain = words::brain(release::brain(case, &result.feeds));
    let mammaries = release::MAMMARIES.map(|part| {
        let feed = release::carrier(case, part).and_then(|vessel| result.worst(vessel));
        let says = feed.map_or("not said which vessel carries it", |feed| words::state_word(feed.state));
        let name = if part == "left_mammary" { "Left mammary artery" } else { "Right mammary artery" };
        format!("{name}: {says}.")
    });
    let broken = result.breaks(&release.dependants);
    let broken = (!broken.is_empty()).then(|| {
        let names: Vec<&str> = broken.iter().map(|(own, _)| own.vessel.as_str()).collect();
        el("p").class("breaks").text(format!("⚠ Ends without {} surely fed.", names.join(" and ")))
    });
    let at = picture(facts.plan, result, facts.drawn);
    let options = Options {
        size: Size::Fit { width_mm: PICTURE_MM[0], height_mm: PICTURE_MM[1] },
        medium: Medium::Screen,
        along: facts.state.view.along,
        around: facts.state.view.around,
        lit: None,
        layers: Layers {
            handle: false,
            dimensions: false,
            other_possibilities: false,
            wall_scale: false,
            ..Layers::default()
        },
    };
    let map = wall_map(&at.map, &options).scene;
    let side = side_view(&at.side, SIDE, Medium::Screen, None);
    el("section")
        .child(el("h3").text(format!("After step {}", result.number)))
        .children(broken)
        .child(
            el("ul")
                .class("feeds")
                .children(worst.map(line))
                .child(el("li").text(format!("Brain: {brain}. {}", mammaries.join(" ")))),
        )
        .child(el("p").class("note").text(drawn(at.possibility)))
        .child(
            el("div")
                .class("pictures")
                .child(el("div").child(svg_tree::nodes(&map)))
                .child(el("div").child(svg_tree::nodes(&side))),
        )
}

fn drawn(possibility: Option<Possibility>) -> String {
    let lies = possibility.map_or(String::new(), |own| format!(" as it lies {}", report_words::possibility(own)));
    format!("Words: the worst way it can lie. Drawn{lies}: ● fed, ◐ doubtful, ○ not fed, ? not known.")
}

fn sentences(all: impl IntoIterator<Item = String>) -> Element {
    el("ul").children(all.into_iter().map(|says| el("li").text(says)))
}

/// Orders, with the way to take one.
fn orders(facts: &Facts<'_>, release: &Release) -> Element {
    let drawn = &release.orders.drawn;
    let others = release
        .orders
        .all
        .iter()
        .enumerate()
        .filter(|(_, order)| order.steps != drawn.steps && order.vessels != drawn.vessels);
    let take = others.take(6).map(|(place, order)| {
        let holds = if order.holds() { "keeps fed what must be" } else { "does not keep all fed" };
        let button =
            el("button").with("data-do", format!("step-order:{place}")).text(format!("Take: {}", words::order(order)));
        el("li").child(button).text(format!(" {holds}"))
    });
    let over_room = (!release.dependants.is_empty()).then(|| match facts.over_room {
        Some(Some(own)) => sentences(words::over_room(own)),
        Some(None) => el("p").text(words::NO_ROOM),
        None => el("p").class("note").text("Trying the orders over the room …"),
    });
    el("section")
        .child(el("h3").text("Orders"))
        .child(sentences(words::orders(release)))
        .children(over_room)
        .child(el("ul").class("orders").children(take))
}

/// What a turn would do.
fn turns(facts: &Facts<'_>) -> Element {
    let deg = facts.state.view.lies_deg;
    let help = "A turn that nobody planned, + clockwise looking downstream.";
    let row = form::turned("step-lies", "If it lies turned by", help, deg);
    let lying = facts.lying.filter(|lying| lying.deg == deg && deg != 0).map(|lying| {
        let states = lying
            .states
            .iter()
            .map(|(vessel, state)| format!("{} {vessel} {}", words::mark(*state), words::state_word(*state)));
        let states: Vec<String> = states.collect();
        el("p").text(format!(
            "With all released and nothing bridged: {}. {}",
            states.join(", "),
            words::fallback(lying.order.as_ref())
        ))
    });
    let found = match facts.turns {
        Some(turns) => sentences(words::surprise(turns)),
        None => el("p").class("note").text("Looking what a turn would do …"),
    };
    el("section").child(el("h3").text("If it comes to lie turned")).child(found).child(row).children(lying)
}

fn pauses(case: &Case, release: &Release) -> Element {
    el("section").child(el("h3").text("Planned pauses")).child(sentences(words::pauses(case, release)))
}

/// Stages with what each leaves done, and what must be minded of the neck vessels.
fn stages(facts: &Facts<'_>) -> Option<Element> {
    let extent = facts.extent?;
    let line = |[at, done, says]: [String; 3]| {
        let done = if done.is_empty() { done } else { format!("{done} · ") };
        el("li").child(el("b").text(format!("{at}: "))).text(format!("{done}{says}."))
    };
    let lines = el("ul").children(report_extent::stages(extent).into_iter().map(line));
    Some(el("section").child(el("h3").text("Stages")).child(lines).child(sentences(extent.minded.iter().cloned())))
}

/// The limit of feed through the space.
fn limit(facts: &Facts<'_>) -> Element {
    let own = facts.state.now.case.procedure.as_ref().and_then(|procedure| procedure.least_space_mm);
    let limit = extrados::feed::flow::limit_mm(&facts.state.now.case);
    el("div")
        .class("step")
        .child(form::number(facts.state, "/procedure/least_space_mm", own))
        .child(el("p").class("note").text(format!(
            "Feed through the space counts if its narrowest place exceeds {} by its error; else it is doubtful, which counts as not fed for heart and brain ({}).",
            report_words::mm(limit),
            extrados::feed::flow::SOURCE
        )))
}
