//! The head line: how many verdicts of each kind, then in a sentence what decides.

use super::Facts;
use super::sign::sign;
use crate::tree::{Node, el};
use crate::words;
use extrados::report::words as report_words;
use extrados::rules::measure;
use extrados::rules::verdict::{Verdict, Word};

/// The head line.
pub fn head(facts: &Facts<'_>) -> Vec<Node> {
    let line = report_words::head_line(facts.plan);
    let counts = line.split(" · ").map(|count| {
        let word = Word::ALL.into_iter().find(|word| count.ends_with(word.as_str()));
        let none = count.starts_with("0 ");
        let count = el("span").class(if none { "count none" } else { "count" }).text(count);
        match word {
            Some(word) if !none => Node::from(el("span").class("counted").child(sign(word)).child(count)),
            _ => count.into(),
        }
    });
    vec![el("h1").children(counts).into(), el("p").class("sentence").text(sentence(facts)).into()]
}

/// In place of the head line while the anatomy is measured.
pub fn computing() -> Vec<Node> {
    vec![el("h1").class("none").text("Computing…").into(), el("p").class("sentence").into()]
}

/// What is read out after a change: where the graft lies, the counts, and what decides.
pub fn spoken(facts: &Facts<'_>) -> String {
    let placed = facts
        .plan
        .grafts
        .first()
        .map(|graft| format!("Graft: {}. ", report_words::placement(&facts.plan.case, &graft.placement)));
    format!("{}{}. {}", placed.unwrap_or_default(), report_words::head_line(facts.plan), sentence(facts))
}

/// What decides: the verdict that is worst, and among like ones the nearest to its limit, counted
/// in its own errors.
pub fn sentence(facts: &Facts<'_>) -> String {
    let Some(verdict) = facts.plan.decisive() else {
        return "No rule judges this plan yet.".into();
    };
    let what = measure::find(&verdict.measure).map_or(verdict.measure.as_str(), |measure| measure.name);
    let name = facts.name_of(&verdict.of);
    match (verdict.word, verdict.value, verdict.margin) {
        (Word::Unknown, _, _) | (_, None, _) | (_, _, None) => {
            let whose = if verdict.of == "each" { String::new() } else { format!(" of the {name}") };
            format!("{what}{whose} is unknown. {}", verdict.why.as_deref().unwrap_or_default())
        }
        (word, Some(value), Some(margin)) => {
            let opening = match word {
                Word::Unmet => "fails first",
                _ => "is nearest to its limit",
            };
            format!(
                "{what} of the {name} {opening}: {}, {}{}.",
                report_words::with_unit(value, &verdict.unit),
                words::margin(margin, &verdict.unit),
                possibly(verdict)
            )
        }
    }
}

/// On which possibility it hangs, where another would judge otherwise.
fn possibly(verdict: &Verdict) -> String {
    let differs = verdict.by_possibility.iter().any(|(_, word)| *word != verdict.word);
    match verdict.hangs_on {
        Some(possibility) if differs => format!(", if {}", report_words::kept(possibility)),
        _ => String::new(),
    }
}
