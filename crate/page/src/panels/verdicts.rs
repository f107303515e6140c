//! The verdicts, rule by rule in the order of the rules, so that nothing jumps while dragging. The
//! limits are changed in place; who judges by what source stands with them.

use super::Facts;
use super::form;
use super::sign::sign;
use crate::tree::{Element, Node, el};
use crate::words;
use extrados::casefile::case::Rule;
use extrados::casefile::json::value_of;
use extrados::report::words as report_words;
use extrados::rules::measure::{self, Measure};
use extrados::rules::verdict::Verdict;

/// All rules with their verdicts.
pub fn verdicts(facts: &Facts<'_>) -> Vec<Node> {
    let mut said: Vec<Node> = vec![el("h2").text("Rules").into()];
    for (index, rule) in facts.plan.rules.iter().enumerate() {
        let own: Vec<&Verdict> = facts.plan.verdicts.iter().filter(|verdict| verdict.rule_index == index).collect();
        said.push(group(facts, "", index, rule, &own).into());
    }
    said.push(add(facts, ""));
    said
}

/// Adds a rule on a measure of the table, once it has a limit; `under` as in [`group`].
pub fn add(facts: &Facts<'_>, under: &str) -> Node {
    let list = format!("{under}/rules");
    let chosen = facts.state.view.rule.as_deref().and_then(|rule| rule.strip_prefix(&format!("{list}+")));
    let measures = measure::all().map(|own| el("option").with("value", own.id).text(own.name));
    let label = "Add a rule on a measure";
    let select = el("select")
        .with("data-do", format!("rule-on:{list}"))
        .with("data-keep", "")
        .with("aria-label", label)
        .with("value", chosen.unwrap_or_default())
        .child(el("option").with("value", "").text(format!("{label} …")))
        .children(measures);
    let limit = |own: &Measure, key: &str, words: &str| {
        let input = el("input")
            .with("type", "text")
            .with("inputmode", "decimal")
            .with("autocomplete", "off")
            .class("number")
            .with("aria-label", format!("{words}, {}", own.unit))
            .with("data-do", format!("rule-add:{list}+{}+{key}", own.id));
        el("label").text(words.to_owned()).child(input)
    };
    let limits = chosen.and_then(measure::find).map(|own| {
        el("div")
            .class("rule-fields")
            .child(el("p").class("note").text(format!("{}. Give its first limit.", own.sentence)))
            .child(limit(own, "at_least", "at least"))
            .child(limit(own, "at_most", "at most"))
            .child(el("span").class("unit").text(words::unit_sign(own.unit)))
    });
    // Adding to the default rules makes them the case's own.
    let own = facts.plan.case.rules.is_empty() && under.is_empty();
    let note = own.then(|| el("p").class("note").text("Default rules; once changed they are this case's own."));
    el("section")
        .class("add-rule")
        .child(el("div").class("row whole").child(select))
        .children(limits)
        .children(note)
        .into()
}

/// A rule with its verdicts; `under` is the pointer of the set it stands in, empty for the case's own.
pub fn group(facts: &Facts<'_>, under: &str, index: usize, rule: &Rule, verdicts: &[&Verdict]) -> Element {
    let measure = measure::find(&rule.measure);
    let name = measure.map_or(rule.measure.as_str(), |measure| measure.name);
    let sentence = report_words::rule_subject(rule);
    let none = verdicts.is_empty().then(|| el("p").class("note").text("Nothing in this plan to judge."));
    let required = (!rule.required).then(|| el("small").text("not required"));
    let (limits, faults) = limits(facts, under, index, rule);
    let pointer = format!("{under}/rules/{index}");
    let open = facts.state.view.rule.as_ref() == Some(&pointer);
    let button = |does: &str, says: &'static str| {
        el("button").with("type", "button").class("plain").with("data-do", format!("{does}:{pointer}")).text(says)
    };
    let change = button("rule", if open { "Close" } else { "Change" });
    let change = change.with("aria-expanded", if open { "true" } else { "false" });
    let says = el("p").class("note").text(format!("{sentence}. Source: {}. ", source(rule)));
    el("section")
        .class("rule")
        .child(el("h3").text(name).children(required).child(limits))
        .children(faults)
        .child(says.child(change).text(" ").child(button("rule-drop", "Remove")))
        .child(el("ul").children(verdicts.iter().map(|verdict| row(facts, verdict))))
        .children(whys(facts, verdicts))
        .children(changes(verdicts))
        .children(none)
        .children(open.then(|| fields(facts, &pointer, rule)))
}

/// All fields of a rule.
fn fields(facts: &Facts<'_>, pointer: &str, rule: &Rule) -> Element {
    let (state, at) = (facts.state, |key: &str| format!("{pointer}/{key}"));
    let text = |key: &str, value: &str| form::text(state, &at(key), value);
    let choice = |key: &str, value: Option<String>| form::choice(state, &at(key), value.as_deref());
    let word = |value: serde_json::Value| value.as_str().map(str::to_owned);
    let known = measure::find(&rule.measure);
    let subjects = known.map(|own| facts.plan.subjects(own)).unwrap_or_default();
    let mut of = vec![el("option").with("value", "each").text("each")];
    of.extend(subjects.iter().map(|own| el("option").with("value", own.id.clone()).text(facts.name_of(&own.id))));
    if rule.of != "each" && subjects.iter().all(|own| own.id != rule.of) {
        of.push(el("option").with("value", rule.of.clone()).text(rule.of.clone()));
    }
    let of = el("select")
        .with("id", form::id(&at("of")))
        .with("data-field", at("of"))
        .with("value", rule.of.clone())
        .children(of);
    let json = value_of(rule);
    el("div")
        .class("rule-fields")
        .children(known.map(|own| el("p").class("note").text(format!("{}, in {}.", own.sentence, own.unit))))
        .child(el("div").class("row").child(el("label").with("for", form::id(&at("of"))).text("Of")).child(of))
        .child(choice("when/flow", word(json["when"]["flow"].clone())))
        .child(text("when/kind", rule.when.kind.as_deref().unwrap_or_default()))
        .child(text("when/diagnosis", rule.when.diagnosis.as_deref().unwrap_or_default()))
        .child(choice("when/wall", rule.when.wall.clone()))
        .child(form::flag(state, &at("when/connective_tissue_disease"), rule.when.connective_tissue_disease))
        .child(choice("line", word(json["line"].clone())))
        .child(choice("to", word(json["to"].clone())))
        .child(form::flag(state, &at("required"), Some(rule.required)))
        .child(text("source", &rule.source))
        .child(text("would_change", rule.would_change.as_deref().unwrap_or_default()))
}

fn source(rule: &Rule) -> &str {
    if rule.source.is_empty() { "none given" } else { &rule.source }
}

/// `at least [5] at most [50] mm`, each limit a field, and what is wrong with them.
fn limits(facts: &Facts<'_>, under: &str, index: usize, rule: &Rule) -> (Element, Vec<Element>) {
    let unit = measure::find(&rule.measure).map_or(rule.unit.as_str(), |measure| measure.unit);
    let field = |key: &str, words: &str, limit: Option<f64>| {
        let pointer = format!("{under}/rules/{index}/{key}");
        form::bare_number(facts.state, &pointer, limit, &format!("{words}, {unit}"))
    };
    let (least, too_little) = field("at_least", "At least", rule.at_least);
    let (most, too_much) = field("at_most", "At most", rule.at_most);
    let all = el("span")
        .class("limits")
        .child(el("span").text("at least"))
        .child(least)
        .child(el("span").text("at most"))
        .child(most)
        .child(el("span").class("unit").text(words::unit_sign(unit)));
    (all, too_little.into_iter().chain(too_much).collect())
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
