//! A first case in five steps: what is there and what is still missing, each with a way to it. It can
//! be left and taken up again at any time.

use super::Facts;
use crate::tree::{Element, el};
use extrados::rules::verdict::Word;

/// One step.
struct Step {
    done: bool,
    says: &'static str,
    /// Where it is done.
    at: &'static str,
}

/// The steps, and what is unknown because something was not entered.
pub fn steps(facts: &Facts<'_>, fresh: bool) -> Element {
    let case = &facts.state.now.case;
    let anatomy = &case.anatomy;
    let steps = [
        Step {
            done: case.clock.three_oclock_is.is_some(),
            says: "Say on which side your sheet has 3:00 (at the left).",
            at: "entry",
        },
        Step {
            done: fresh && facts.plan.anatomy.is_ok() || !fresh && anatomy.centreline.is_some(),
            says: "Give the arch: open a centreline, or type lengths from the sheet.",
            at: "arch",
        },
        Step {
            done: !anatomy.lumen.is_empty(),
            says: "Type diameters: station, and the diameter in the column that says how it was measured.",
            at: "section-lumen",
        },
        Step {
            done: anatomy.ostia.iter().any(|o| o.clock_deg.is_some() && o.along_mm.is_some()),
            says: "Type the ostia: vessel, station of its centre or an edge, clock, sizes.",
            at: "section-ostia",
        },
        Step {
            done: facts.state.moved().is_some(),
            says: "Choose a graft at the left, put it on the wall map, and print.",
            at: "graft",
        },
    ];
    let done = steps.iter().filter(|step| step.done).count();
    let lines = steps.into_iter().map(|step| {
        let (sign, word) = if step.done { ("✓", "done: ") } else { ("○", "to do: ") };
        let go = el("button").with("type", "button").with("data-do", format!("go:{}", step.at)).text(step.says);
        el("li")
            .child(el("span").with("aria-hidden", "true").text(sign))
            .child(el("span").class("for-readers").text(word))
            .child(go)
    });
    let missing = missing(facts, fresh);
    let lacking = (!missing.is_empty()).then(|| {
        el("div")
            .child(el("h3").text("Unknown until more is entered"))
            .child(el("ul").class("missing").children(missing.into_iter().map(|why| el("li").text(why))))
    });
    let open = facts.state.view.steps.unwrap_or(done < 5);
    let toggle = el("button")
        .with("type", "button")
        .with("data-do", if open { "steps:close" } else { "steps:open" })
        .with("aria-expanded", if open { "true" } else { "false" })
        .text(format!("A first case in five steps: {done} of 5 done {}", if open { "–" } else { "+" }));
    let inside = open.then(|| el("div").child(el("ol").children(lines)).children(lacking));
    el("section").class("steps").child(toggle).children(inside)
}

/// Why verdicts are unknown, each reason once, in the order of the rules.
fn missing(facts: &Facts<'_>, fresh: bool) -> Vec<String> {
    if !fresh {
        return Vec::new();
    }
    let mut all: Vec<String> = facts.plan.anatomy.as_ref().err().map(|why| why.0.clone()).into_iter().collect();
    for why in facts.plan.verdicts.iter().filter(|v| v.word == Word::Unknown).filter_map(|v| v.why.clone()) {
        if !all.contains(&why) {
            all.push(why);
        }
    }
    all.truncate(6);
    all
}
