//! Over which possibilities the results hold, which one is drawn, and which verdicts hang on it.

use super::Facts;
use super::sign::sign;
use crate::tree::{Element, Node, el};
use extrados::graft::lie::Possibility;
use extrados::report::words as report_words;
use extrados::rules::measure;
use extrados::rules::verdict::{Verdict, Word};

/// The list of possibilities; empty where there is only one.
pub fn possibilities(facts: &Facts<'_>) -> Vec<Node> {
    let all = facts.plan.possibilities();
    if all.len() < 2 {
        return match all.first() {
            Some(only) => {
                let words = format!("Computed with the graft {}.", report_words::possibility(*only));
                vec![el("p").class("note").text(words).into()]
            }
            None => Vec::new(),
        };
    }
    let drawn = facts.drawn;
    let rows = all.iter().enumerate().map(|(index, possibility)| {
        let radio = el("input")
            .with("type", "radio")
            .with("name", "possibility")
            .with("data-do", format!("possibility:{index}"))
            .flag("checked", drawn == Some(*possibility));
        let words = report_words::possibility(*possibility);
        let fails = facts
            .plan
            .verdicts
            .iter()
            .filter(|verdict| verdict.required && word_in(verdict, *possibility) == Word::Unmet)
            .count();
        let says = if fails == 0 { "none unmet".to_owned() } else { format!("{fails} unmet") };
        el("label")
            .class("possibility")
            .child(radio)
            .child(el("span").text(words))
            .child(el("span").class("muted").text(says))
    });
    let mut said: Vec<Node> = vec![
        el("h2").text("How it may lie").into(),
        el("p").class("note").text("Rules are judged on the worst. Drawn and in the table is").into(),
        el("div").class("choices-list").children(rows).into(),
    ];
    let changes: Vec<Element> = facts.plan.verdicts.iter().filter_map(|verdict| change(facts, verdict)).collect();
    said.push(match changes.is_empty() {
        true => el("p").class("note").text("No verdict hangs on it.").into(),
        false => el("ul").class("hangs").children(changes).into(),
    });
    said
}

/// The verdict in one possibility; where it does not depend on one, the verdict.
fn word_in(verdict: &Verdict, possibility: Possibility) -> Word {
    let own = verdict.by_possibility.iter().find(|(known, _)| *known == possibility);
    own.map_or(verdict.word, |(_, word)| *word)
}

/// A verdict that changes between possibilities, with its word in each.
fn change(facts: &Facts<'_>, verdict: &Verdict) -> Option<Element> {
    let (_, first) = verdict.by_possibility.first()?;
    if verdict.by_possibility.iter().all(|(_, word)| word == first) {
        return None;
    }
    let what = measure::find(&verdict.measure).map_or(verdict.measure.as_str(), |measure| measure.name);
    let words = verdict.by_possibility.iter().map(|(possibility, word)| {
        el("span").class("hang").child(sign(*word)).text(format!(
            "{} if {}",
            word.as_str(),
            report_words::kept(*possibility)
        ))
    });
    let title = format!("{}: {}", facts.name_of(&verdict.of), what.to_lowercase());
    Some(el("li").tie(&verdict.of, facts.tied()).child(el("span").text(title)).children(words))
}
