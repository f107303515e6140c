//! Rule sets that come with the program, as alternatives: none is called generic, and none is used
//! until a case takes it. Each is a rule file like any other.

use super::measure::Scope;
use super::verdict::{self, Counts, Verdict};
use crate::casefile::case::RuleSet;
use crate::casefile::document;

/// The files, by the ids of their sets.
pub static SHIPPED: &[(&str, &str)] = &[
    ("inner_branch", include_str!("sets/inner-branch.json")),
    ("first_series", include_str!("sets/inner-branch-first-series.json")),
    ("three_branch", include_str!("sets/three-branch-zone-0.json")),
    ("one_branch", include_str!("sets/one-branch-zone-2.json")),
    ("three_branch_modular", include_str!("sets/three-branch-modular.json")),
    ("branched_exclusions", include_str!("sets/branched-exclusions.json")),
    ("fenestrated", include_str!("sets/fenestrated.json")),
    ("checklist", include_str!("sets/arch-checklist.json")),
    ("landing", include_str!("sets/landing.json")),
    ("oversize_by_wall", include_str!("sets/oversize-by-wall.json")),
    ("oversize_classic", include_str!("sets/oversize-classic.json")),
];

/// The text of a shipped set.
pub fn text(id: &str) -> Option<&'static str> {
    SHIPPED.iter().find(|(own, _)| *own == id).map(|(_, text)| *text)
}

/// A shipped set.
pub fn shipped(id: &str) -> Option<RuleSet> {
    document::read_rules(text(id)?.as_bytes()).ok()
}

/// All shipped sets, in order.
pub fn all() -> Vec<RuleSet> {
    SHIPPED.iter().filter_map(|(_, text)| document::read_rules(text.as_bytes()).ok()).collect()
}

/// A set of a case with its verdicts.
#[derive(Clone, Debug)]
pub struct JudgedSet {
    /// The set.
    pub set: RuleSet,
    /// Its verdicts, rule by rule.
    pub verdicts: Vec<Verdict>,
}

impl JudgedSet {
    /// How many verdicts of each kind, of the rules the set needs. There is no overall word.
    pub fn counts(&self) -> Counts {
        verdict::counts(&self.verdicts)
    }
}

/// Judges each set of a case by itself.
pub fn judge(scope: &Scope<'_>) -> Vec<JudgedSet> {
    let judged = |set: &RuleSet| JudgedSet { set: set.clone(), verdicts: verdict::judge(scope, &set.rules) };
    scope.case.rule_sets.iter().map(judged).collect()
}
