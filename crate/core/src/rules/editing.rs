//! Single rules that are added to a case or to one of its sets, and taken away.
//!
//! A list of rules is named by its JSON pointer, `/rules` or `/rule_sets/0/rules`; the answer is the
//! whole list as it would be. A case without rules of its own is judged by the default rules: adding
//! to or taking from these makes them the case's own. Knows nothing of verdicts.

use super::{defaults, measure};
use crate::casefile::case::{Case, Rule};
use crate::casefile::json::value_of;
use serde_json::Value;

/// A rule's first limit, in the unit of its measure: no rule is without one.
#[derive(Clone, Copy, Debug, PartialEq)]
#[allow(missing_docs)]
pub enum Limit {
    AtLeast(f64),
    AtMost(f64),
}

/// The list with one more rule on a measure, which names no source yet. `None` where there is no such
/// list or measure.
pub fn added(case: &Case, list: &str, measure: &str, limit: Limit) -> Option<Value> {
    let mut rules = rules(case, list)?;
    let measure = measure::find(measure)?;
    let taken = |id: &str| rules.iter().any(|rule| rule.id == id);
    let id = (1..10_000).map(|n| format!("own{n}")).find(|id| !taken(id))?;
    let (at_least, at_most) = match limit {
        Limit::AtLeast(limit) => (Some(limit), None),
        Limit::AtMost(limit) => (None, Some(limit)),
    };
    rules.push(Rule { id, unit: measure.unit.into(), required: true, at_least, at_most, ..Rule::on(measure.id) });
    Some(value_of(&rules))
}

/// The list without one of its rules; `None` where there is no such rule.
pub fn removed(case: &Case, list: &str, index: usize) -> Option<Value> {
    let mut rules = rules(case, list)?;
    if index >= rules.len() {
        return None;
    }
    rules.remove(index);
    Some(value_of(&rules))
}

fn rules(case: &Case, list: &str) -> Option<Vec<Rule>> {
    if list == "/rules" {
        return Some(if case.rules.is_empty() { defaults::rules() } else { case.rules.clone() });
    }
    let set = list.strip_prefix("/rule_sets/")?.strip_suffix("/rules")?;
    Some(case.rule_sets.get(set.parse::<usize>().ok()?)?.rules.clone())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::casefile::{Document, edit};
    use crate::plan::Plan;
    use crate::rules::sets;
    use crate::rules::verdict::Word;
    use std::sync::Arc;

    fn demo() -> Case {
        let text = include_str!("../../../../demo-data/plain-arch.json");
        let mut case = (*Document::read(text.as_bytes()).unwrap().case).clone();
        case.rules.clear();
        case.rule_sets = vec![sets::shipped("landing").unwrap()];
        case
    }

    // On every measure of the table: the case stays a sound one, the rule is judged, and one that
    // cannot be met never is.
    #[test]
    fn a_rule_on_any_measure_can_be_added() {
        let case = demo();
        for measure in measure::all() {
            for list in ["/rules", "/rule_sets/0/rules"] {
                let more = edit::set(&case, list, added(&case, list, measure.id, Limit::AtLeast(1e5)).unwrap());
                let more = more.unwrap_or_else(|f| panic!("{}: {f}", measure.id));
                let plan = Plan::new(Arc::new(more));
                let verdicts = if list == "/rules" { &plan.verdicts } else { &plan.sets[0].verdicts };
                let own: Vec<_> = verdicts.iter().filter(|v| v.rule == "own1").collect();
                assert!(own.iter().all(|v| v.word <= Word::Unknown), "{}: {own:?}", measure.id);
                assert!(!own.is_empty() || measure.nothing == measure::SILENT, "{}", measure.id);
            }
        }
    }

    #[test]
    fn rules_are_taken_away_one_at_a_time() {
        let case = demo();
        let count = defaults::rules().len();
        let fewer = edit::set(&case, "/rules", removed(&case, "/rules", 0).unwrap()).unwrap();
        assert_eq!((fewer.rules.len(), &fewer.rules[0]), (count - 1, &defaults::rules()[1]));
        let list = "/rule_sets/0/rules";
        let own = case.rule_sets[0].rules.len();
        let fewer = edit::set(&case, list, removed(&case, list, own - 1).unwrap()).unwrap();
        assert_eq!(fewer.rule_sets[0].rules.len(), own - 1);
        assert_eq!(removed(&case, "/rules", 99), None);
    }

    #[test]
    fn what_is_not_there_is_left_alone() {
        for list in ["", "/rules/0", "/rule_sets/7/rules", "/components"] {
            assert_eq!(added(&demo(), list, "tunnel.edge_clearance_mm", Limit::AtMost(1.0)), None, "{list}");
        }
        assert_eq!(added(&demo(), "/rules", "tunnel.colour", Limit::AtMost(1.0)), None);
    }
}
