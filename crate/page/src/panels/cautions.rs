//! What must always be in sight, small: what this is not, and what the plan takes for granted.

use super::Facts;
use crate::tree::{Node, el};
use extrados::message;
use extrados::report::{remarks, words};

/// The cautions on the screen.
pub fn cautions(facts: &Facts<'_>) -> Vec<Node> {
    let case = &facts.plan.case;
    let mut said: Vec<Node> = Vec::new();
    if facts.plan.is_rough() {
        said.push(el("strong").text(message::ROUGH).into());
    }
    if case.invented {
        said.push(el("strong").text(message::INVENTED).into());
    }
    said.push(el("span").text(message::CAUTION_AID).into());
    said.push(el("span").text(message::CAUTION_DECISION).into());
    let minded: Vec<Node> = minded(facts).map(|line| el("li").text(line).into()).collect();
    let label = match minded.len() {
        0 => None,
        1 => Some("1 thing to mind".to_owned()),
        count => Some(format!("{count} things to mind")),
    };
    if let Some(label) = label {
        said.push(el("details").child(el("summary").text(label)).child(el("ul").children(minded)).into());
    }
    said
}

/// Warnings and assumptions of the plan, each a sentence.
pub fn minded<'a>(facts: &Facts<'a>) -> impl Iterator<Item = String> + use<'a> {
    let warnings = remarks::warnings(facts.plan);
    let warned = warnings.into_iter().map(|warning| match warning.mend.is_empty() {
        true => warning.text,
        false => format!("{} {}", warning.text, warning.mend),
    });
    let residuals = facts.plan.rough().map(words::residuals).unwrap_or_default();
    warned.chain(remarks::assumed(facts.plan)).chain(residuals)
}
