//! The verdicts, rule by rule in the order of the rules, so that nothing jumps while dragging. The
//! limits are changed in place; who judges by what source stands with them.

use super::Facts;
use super::form;
use super::sign::sign;
use crate::tree::{Element, Node, el};
use crate::words;
use extrados::casefile::case::Rule;
use extrados::report::words as report_words;
use extrados::rules::measure;
use extrados::rules::verdict::Verdict;

/// All rules with their verdicts.
pub fn verdicts(facts: &Facts<'_>) -> Vec<Node> {
    let mut said: Vec<Node> = vec![el("h2").text("Rules").into()];
    for (index, rule) in facts.plan.rules.iter().enumerate() {
        let own: Vec<&Verdict> = facts.plan.verdicts.iter().filter(|verdict| verdict.rule_index == index).collect();
        said.push(group(facts, "", index, rule, &own).into());
    }
    said
}

/// A rule with its verdicts; `under` is the pointer of the set it stands in, empty for the case's own.
pub fn group(facts: &Facts<'_>, under: &str, index: usize, rule: &Rule, verdicts: &[&Verdict]) -> Element {
    let measure = measure::find(&rule.measure);
    let name = measure.map_or(rule.measure.as_str(), |measure| measure.name);
    let sentence = report_words::rule_subject(rule);
    let none = verdicts.is_empty().then(|| el("p").class("note").text("Nothing in this plan to judge."));
    let required = (!rule.required).then(|| el("small").text("not required"));
    el("section")
        .class("rule")
        .child(el("h3").text(name).children(required).child(limits(facts, under, index, rule)))
        .child(el("p").class("note").text(format!("{sentence}. Source: {}.", source(rule))))
        .child(el("ul").children(verdicts.iter().map(|verdict| row(facts, verdict))))
        .children(whys(facts, verdicts))
        .children(changes(verdicts))
        .children(none)
}

fn source(rule: &Rule) -> &str {
    if rule.source.is_empty() { "none given" } else { &rule.source }
}

/// `at least [5] at most [50] mm`, each limit a field.
fn limits(facts: &Facts<'_>, under: &str, index: usize, rule: &Rule) -> Element {
    let unit = measure::find(&rule.measure).map_or(rule.unit.as_str(), |measure| measure.unit);
    let field = |key: &str, words: &str, limit: Option<f64>| {
        let pointer = format!("{under}/rules/{index}/{key}");
        form::bare_number(facts.state, &pointer, limit, &format!("{words}, {unit}")).0
    };
    el("span")
        .class("limits")
        .child(el("span").text("at least"))
        .child(field("at_least", "At least", rule.at_least))
        .child(el("span").text("at most"))
        .child(field("at_most", "At most", rule.at_most))
        .child(el("span").class("unit").text(words::unit_sign(unit)))
}

fn row(facts: &Facts<'_>, verdict: &Verdict) -> Element {
    let word = verdict.word.as_str();
    let (value, margin) = match (verdict.value, verdict.margin, verdict.error) {
        (Some(value), Some(margin), Some(error)) => (
            el("span").class("value").text(report_words::with_unit(value, &verdict.unit)),
            words::margin_with_error(margin, error, &verdict.unit),
        ),
        _ => (el("span").class("value").child(el("span").class("query").text(report_words::UNKNOWN)), String::new()),
    };
    el("li")
        .class(word)
        .tie(&verdict.of, facts.tied())
        .with("tabindex", "0")
        .child(sign(verdict.word))
        .child(el("span").class("of").text(facts.name_of(&verdict.of)))
        .child(value)
        .child(el("span").class("margin").text(margin))
        .child(el("span").class("word").text(word))
}

/// What would change an unmet verdict, said once.
fn changes(verdicts: &[&Verdict]) -> Option<Element> {
    let change = verdicts.iter().find_map(|verdict| verdict.would_change.as_deref())?;
    Some(el("p").class("note why").child(el("b").text("Would change it: ")).text(change))
}

/// What must be said of a rule's verdicts, each sentence once, with what it is about where not all.
fn whys(facts: &Facts<'_>, verdicts: &[&Verdict]) -> Vec<Element> {
    let mut said: Vec<(&str, Vec<String>)> = Vec::new();
    for verdict in verdicts {
        let Some(why) = verdict.why.as_deref() else { continue };
        match said.iter_mut().find(|(known, _)| *known == why) {
            Some((_, of)) => of.push(facts.name_of(&verdict.of)),
            None => said.push((why, vec![facts.name_of(&verdict.of)])),
        }
    }
    let lines = said.into_iter().map(|(why, of)| {
        let whose = if of.len() == verdicts.len() { String::new() } else { format!("{}: ", of.join(", ")) };
        el("p").class("note why").text(format!("{whose}{why}"))
    });
    lines.collect()
}
