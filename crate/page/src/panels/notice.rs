//! What is told at the top: good news in a line, faults as a list with place and mend.

use super::Facts;
use crate::tree::{Node, el};

/// Id of the summary, which takes the focus when an input was refused.
pub const SUMMARY: &str = "notice-summary";

/// The notice; empty where nothing is told.
pub fn notice(facts: &Facts<'_>) -> Vec<Node> {
    let Some(notice) = &facts.state.notice else { return Vec::new() };
    let bad = !notice.faults.is_empty();
    let faults = notice.faults.faults.iter().map(|fault| {
        let place = (!fault.place.is_empty()).then(|| el("code").text(fault.place.clone()));
        el("li").children(place).child(el("span").text(fault.text.clone())).child(el("span").class("mend").text(fault.mend.clone()))
    });
    let faults = bad.then(|| el("ol").class("faults").children(faults));
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
