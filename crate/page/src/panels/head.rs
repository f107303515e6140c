//! The head line: how many verdicts of each kind, then what decides, what the placement forgives with the
//! way to a better one, and what of the release must not be missed.

use super::Facts;
use super::sign::sign;
use crate::tree::{Element, Node, el};
use crate::words;
use extrados::feed::standing::steps;
use extrados::feed::words as feed_words;
use extrados::report::room as room_words;
use extrados::report::words as report_words;
use extrados::rules::measure;
use extrados::rules::verdict::{Verdict, Word};

/// The head line.
pub fn head(facts: &Facts<'_>) -> Vec<Node> {
    let line = report_words::head_line(facts.plan);
    let counts = line.split(" · ").map(|count| {
        let word = Word::ALL.into_iter().find(|word| count.ends_with(word.as_str()));
        let class = match word {
            _ if count.starts_with("0 ") => "count none",
            // What is only advised stands back.
            Some(word) if !count.ends_with(&format!("advised {}", word.as_str())) => "count",
            Some(_) => "count advised",
            None => "count",
        };
        let none = class == "count none";
        let count = el("span").class(class).text(count);
        match word {
            Some(word) if !none => Node::from(el("span").class("counted").child(sign(word)).child(count)),
            _ => count.into(),
        }
    });
    let says = el("div")
        .class("says")
        .child(el("p").class("sentence").text(sentence(facts)))
        .children(forgives(facts))
        .children(release(facts));
    vec![el("h1").children(counts).into(), says.into()]
}

/// What the placement forgives, and the way to where it forgives more or anything at all.
fn forgives(facts: &Facts<'_>) -> Option<Element> {
    if facts.plan.grafts.is_empty() {
        return None;
    }
    let Some(found) = facts.room else { return Some(el("p").class("muted").text(super::room::LOOKING)) };
    let way = found.as_ref().ok().filter(|own| own.whole).and_then(|own| match (own.room.best, own.room.nearest) {
        (Some(_), _) if own.barred.is_empty() => Some(("place:best", "Move to the best placement")),
        (None, Some(_)) if own.barred.is_empty() => Some(("place:best", "Move there")),
        (None, None) => Some(("go:ranking", "Compare other grafts")),
        _ => None,
    });
    let button = |(does, words)| el("button").with("type", "button").with("data-do", does).text(words);
    Some(el("p").text(format!("{} ", room_words::sentence(found, &facts.plan.case))).children(way.map(button)))
}

/// What of the release must not be missed; its line is there as soon as there are steps, so that nothing
/// below it moves.
fn release(facts: &Facts<'_>) -> Option<Element> {
    let case = &facts.plan.case;
    if steps(case).is_empty() {
        return None;
    }
    let warning = facts.release.and_then(|release| feed_words::warning(case, release));
    Some(el("p").class("breaks").text(warning.map_or(String::new(), |words| format!("⚠ {words}"))))
}

/// In place of the head line while the anatomy is measured.
pub fn computing() -> Vec<Node> {
    vec![el("h1").class("none").text("Computing…").into(), el("div").class("says").into()]
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
                possibly(facts, verdict)
            )
        }
    }
}

/// On which possibility it hangs, where another would judge otherwise, or where what fails is not what the tables show.
fn possibly(facts: &Facts<'_>, verdict: &Verdict) -> String {
    let differs = verdict.by_possibility.iter().any(|(_, word)| *word != verdict.word);
    match verdict.hangs_on {
        Some(possibility) if differs || verdict.word == Word::Unmet && facts.drawn != Some(possibility) => {
            format!(", if {}", report_words::kept(possibility))
        }
        _ => String::new(),
    }
}
