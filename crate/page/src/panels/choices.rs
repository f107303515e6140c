//! How the map is drawn: along which line, around in what, and what is left off.

use super::Facts;
use crate::tree::{Element, Node, el};
use crate::view::{Drags, Layer};
use extrados::scene::axes::{Along, Around};

/// The choices under the map.
pub fn choices(facts: &Facts<'_>) -> Vec<Node> {
    let view = &facts.state.view;
    let radio = |name: &str, does: &str, on: bool, says: &str| {
        let input = el("input").with("type", "radio").with("name", name).with("data-do", does).flag("checked", on);
        el("label").child(input).text(says)
    };
    let group = |legend: &str, options: Vec<Element>| {
        el("fieldset").class("choices").child(el("legend").text(legend)).children(options)
    };
    let layers = Layer::ALL.into_iter().map(|(layer, name, says)| {
        let input = el("input")
            .with("type", "checkbox")
            .with("data-do", format!("layer:{name}"))
            .flag("checked", view.shows(layer));
        el("label").child(input).text(says)
    });
    vec![
        group(
            "Along the",
            vec![
                radio("along", "along:centre", view.along == Along::Centreline, "centreline"),
                radio("along", "along:outer", view.along == Along::OuterCurve, "outer curve"),
            ],
        )
        .into(),
        group(
            "around in",
            vec![
                radio("around", "around:clock", view.around == Around::Clock, "hours"),
                radio("around", "around:mm", view.around == Around::WallLength, "mm of wall"),
            ],
        )
        .into(),
        group("with", layers.collect()).into(),
        group(
            "a drag takes",
            Drags::ALL
                .into_iter()
                .map(|(drags, name, says)| radio("drags", &format!("drags:{name}"), view.drags == drags, says))
                .collect(),
        )
        .into(),
    ]
}
