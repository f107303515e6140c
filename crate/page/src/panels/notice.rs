//! What is told at the top: good news in a line, faults as a list with place and mend.

use super::Facts;
use crate::tree::{Element, Node, el};
use extrados::fault::Faults;

/// Id of the summary, which takes the focus when an input was refused.
pub const SUMMARY: &str = "notice-summary";

/// Faults as a list: place, what is wrong, how to mend it.
pub fn faults(faults: &Faults) -> Element {
    el("ol").class("faults").children(faults.faults.iter().map(|fault| {
        let place = (!fault.place.is_empty()).then(|| el("code").text(fault.place.clone()));
        let mend = el("span").class("mend").text(fault.mend.clone());
        el("li").children(place).child(el("span").text(fault.text.clone())).child(mend)
    }))
}

/// The notice; empty where nothing is told.
pub fn notice(facts: &Facts<'_>) -> Vec<Node> {
    let Some(notice) = &facts.state.notice else { return Vec::new() };
    let bad = !notice.faults.is_empty();
    let faults = bad.then(|| faults(&notice.faults));
    let assumed = (!notice.assumed.is_empty())
        .then(|| el("ul").class("assumed").children(notice.assumed.iter().map(|line| el("li").text(line.clone()))));
    let dismiss = el("button").with("type", "button").with("data-do", "dismiss").class("dismiss").text("Put away");
    vec![
        el("div")
            .with("id", SUMMARY)
            .class(if bad { "notice bad" } else { "notice" })
            .with("role", if bad { "alert" } else { "status" })
            .with("tabindex", "-1")
            .child(el("p").text(notice.text.clone()))
            .children(faults)
            .children(assumed)
            .child(dismiss)
            .into(),
    ]
}
