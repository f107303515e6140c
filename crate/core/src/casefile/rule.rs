//! Rules as typed values: a limit on a measure with its source, and sets of such limits, as a file holds them.

use super::device::Flow;
use serde::{Deserialize, Serialize};

/// A rule: a limit on a measure, with its source.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Rule {
    /// Its id.
    pub id: String,
    /// Id of the measure it limits.
    pub measure: String,
    /// An id, or `each`.
    #[serde(default = "each")]
    pub of: String,
    /// Narrows `each`.
    #[serde(default)]
    pub when: When,
    /// Line along which a length is judged; none named: the inner curve.
    #[serde(default)]
    pub line: Option<Line>,
    /// Whether a length runs to an ostium's edge or centre.
    #[serde(default)]
    pub to: Option<To>,
    /// Lower limit.
    #[serde(default)]
    pub at_least: Option<f64>,
    /// Upper limit.
    #[serde(default)]
    pub at_most: Option<f64>,
    /// Unit of the limits.
    #[serde(default)]
    pub unit: String,
    /// Whether the plan needs it.
    #[serde(default = "yes")]
    pub required: bool,
    /// Where the limit comes from.
    #[serde(default)]
    pub source: String,
    /// What would change an unmet verdict, in words.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub would_change: Option<String>,
}

/// A set of rules with its name and sources.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
#[serde(default)]
pub struct RuleSet {
    /// Its id.
    #[serde(skip_serializing_if = "String::is_empty")]
    pub id: String,
    /// Name of the set.
    pub name: String,
    /// Which way of treatment it is about.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub approach: Option<Approach>,
    /// Where the rules come from.
    pub sources: Vec<String>,
    /// The rules.
    pub rules: Vec<Rule>,
    /// What its source asks for and no rule here judges, in sentences.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub not_judged: Vec<String>,
}

/// Ways of treatment that this program plans.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
#[allow(missing_docs)]
pub enum Approach {
    Branched,
    Fenestrated,
    Any,
}

impl Rule {
    /// A rule without limits on a measure, by its own line and edge: to read it with.
    pub fn on(measure: &str) -> Self {
        Rule {
            id: String::new(),
            measure: measure.into(),
            of: each(),
            when: When::default(),
            line: None,
            to: None,
            at_least: None,
            at_most: None,
            unit: String::new(),
            required: false,
            source: String::new(),
            would_change: None,
        }
    }
}

fn yes() -> bool {
    true
}

fn each() -> String {
    "each".into()
}

/// Narrows a rule that is for each.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
#[serde(default)]
#[allow(missing_docs)]
pub struct When {
    #[serde(skip_serializing_if = "Option::is_none")]
    pub flow: Option<Flow>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub kind: Option<String>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub diagnosis: Option<String>,
    /// Only where the seal that is measured lies on such a wall.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub wall: Option<String>,
    /// Only patients with (or without) a connective-tissue disease.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub connective_tissue_disease: Option<bool>,
}

/// A line along the aorta.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
#[allow(missing_docs)]
pub enum Line {
    Inner,
    Centre,
    Outer,
}

/// To what a length runs.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
#[allow(missing_docs)]
pub enum To {
    Edge,
    Centre,
}
