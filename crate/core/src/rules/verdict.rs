//! Verdicts: a rule judged on the worst of its readings.
//!
//! `met`: inside by at least the error, one standard deviation from the CT's errors alone.
//! `borderline`: inside by less. `unmet`: outside, however little. `unknown`: a measure is missing;
//! never met. There is no overall verdict.

use super::measure::{self, Measure, Reading, Scope, Subject, landing};
use crate::casefile::case::{Case, Rule};
use crate::graft::lie::Possibility;
use crate::message;
use crate::quantity::{Quantity, Unknown};
use serde::{Deserialize, Serialize};

/// A value within this of its limit is on it, in the unit of the rule: rounding decides nothing.
const ON_LIMIT: f64 = 1e-9;

/// A verdict in a word, worst first.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Word {
    /// Outside the limit, however little.
    Unmet,
    /// A measure is missing.
    Unknown,
    /// Inside by less than the error.
    Borderline,
    /// Inside by at least the error.
    Met,
}

impl Word {
    /// All of them, worst first.
    pub const ALL: [Word; 4] = [Word::Unmet, Word::Unknown, Word::Borderline, Word::Met];

    /// As shown and in reports.
    pub fn as_str(self) -> &'static str {
        match self {
            Word::Unmet => "unmet",
            Word::Unknown => "unknown",
            Word::Borderline => "borderline",
            Word::Met => "met",
        }
    }
}

/// A rule judged for one subject.
#[derive(Clone, Debug, PartialEq)]
pub struct Verdict {
    /// Place of the rule in the list of rules in force.
    pub rule_index: usize,
    /// The rule's id.
    pub rule: String,
    /// The measure's id.
    pub measure: String,
    /// Of what.
    pub of: String,
    /// The worst value; `None` where unknown.
    pub value: Option<f64>,
    /// How far inside the limits it lies, in its unit; negative outside.
    pub margin: Option<f64>,
    /// One standard deviation of it.
    pub error: Option<f64>,
    /// The unit of the three.
    pub unit: String,
    /// The verdict.
    pub word: Word,
    /// The possibility that gives the worst value.
    pub hangs_on: Option<Possibility>,
    /// The verdict in each possibility, where they differ.
    pub by_possibility: Vec<(Possibility, Word)>,
    /// Why it is unknown, or what to mind.
    pub why: Option<String>,
    /// Source of the limit.
    pub source: String,
    /// Whether the plan needs it.
    pub required: bool,
    /// What would change it, where it is unmet and the rule says so.
    pub would_change: Option<String>,
}

/// Judges every rule for everything it is about.
pub fn judge(scope: &Scope<'_>, rules: &[Rule]) -> Vec<Verdict> {
    let mut verdicts = Vec::new();
    read(scope, rules, |rule_index, rule, of, found| {
        let blank = |why: String| Verdict {
            rule_index,
            rule: rule.id.clone(),
            measure: rule.measure.clone(),
            of: of.into(),
            value: None,
            margin: None,
            error: None,
            unit: rule.unit.clone(),
            word: Word::Unknown,
            hangs_on: None,
            by_possibility: Vec::new(),
            why: Some(why),
            source: rule.source.clone(),
            required: rule.required,
            would_change: None,
        };
        match found {
            Found::Missing(why) => verdicts.push(blank(why)),
            Found::OtherWall => {}
            Found::Readings(measure, readings) => {
                let worst = worst(rule, &readings);
                let verdict = Verdict { unit: measure.unit.into(), ..worst.verdict(blank(String::new())) };
                let would_change = rule.would_change.clone().filter(|_| verdict.word == Word::Unmet);
                verdicts.push(Verdict { would_change, ..verdict });
            }
        }
    });
    verdicts
}

/// What a rule finds for one subject.
pub(crate) enum Found {
    /// Nothing that could be read, and why.
    Missing(String),
    /// The seal lies on another wall than the rule is about.
    OtherWall,
    /// Readings of its measure.
    Readings(&'static Measure, Vec<Reading>),
}

/// Reads every rule for everything it is about, in order: the rule with its place in the list, of what,
/// and what was found.
pub(crate) fn read(scope: &Scope<'_>, rules: &[Rule], mut does: impl FnMut(usize, &Rule, &str, Found)) {
    for (rule_index, rule) in rules.iter().enumerate() {
        match concerns_case(rule, scope.case) {
            Ok(true) => {}
            Ok(false) => continue,
            Err(missing) => {
                does(rule_index, rule, &rule.of, Found::Missing(missing.into()));
                continue;
            }
        }
        let Some(measure) = measure::find(&rule.measure) else {
            does(rule_index, rule, &rule.of, Found::Missing(message::no_measure(&rule.measure)));
            continue;
        };
        if !measure::same_unit(&rule.unit, measure.unit) {
            does(rule_index, rule, &rule.of, Found::Missing(message::wrong_unit(&rule.unit, measure.unit)));
            continue;
        }
        let subjects = (measure.subjects)(scope);
        let concerned: Vec<&Subject> = subjects.iter().filter(|s| concerns(rule, s)).collect();
        // A rule must not vanish because nothing was entered for it: a coronary that nobody marked is
        // not a coronary kept clear. It is silent only where its own narrowing leaves nothing.
        if subjects.is_empty() && measure.nothing != measure::SILENT {
            does(rule_index, rule, &rule.of, Found::Missing(measure.nothing.into()));
        } else if concerned.is_empty() && rule.of != "each" {
            does(rule_index, rule, &rule.of, Found::Missing(message::no_subject(&rule.of)));
        }
        for subject in concerned {
            let wall = rule.when.wall.as_ref().map(|wall| (wall, landing::wall_under(scope, measure.id, &subject.id)));
            let found = match wall {
                None => Found::Readings(measure, (measure.read)(scope, rule, subject)),
                Some((wall, Some(Ok(own)))) if own == wall => {
                    Found::Readings(measure, (measure.read)(scope, rule, subject))
                }
                Some((_, Some(Ok(_)))) => Found::OtherWall,
                Some((_, Some(Err(Unknown(why))))) => Found::Missing(why),
                Some((_, None)) => Found::Missing(message::NO_WALL_UNDER.into()),
            };
            does(rule_index, rule, &subject.id, found);
        }
    }
}

/// How far inside a rule's limits a value lies, in its unit; negative outside, `None` where the rule has
/// no limit.
pub(crate) fn margin(rule: &Rule, value: f64) -> Option<f64> {
    let inside = |by: f64| if by.abs() < ON_LIMIT { 0.0 } else { by };
    let below = rule.at_least.map(|limit| inside(value - limit));
    let above = rule.at_most.map(|limit| inside(limit - value));
    match (below, above) {
        (Some(a), Some(b)) => Some(a.min(b)),
        (a, b) => a.or(b),
    }
}

/// Whether a rule is about such a patient; what must be said first where that is not known.
fn concerns_case(rule: &Rule, case: &Case) -> Result<bool, &'static str> {
    if let Some(diagnosis) = &rule.when.diagnosis {
        if case.diagnosis.is_empty() {
            return Err(message::NO_DIAGNOSIS);
        }
        if *diagnosis != case.diagnosis {
            return Ok(false);
        }
    }
    match (rule.when.connective_tissue_disease, case.connective_tissue_disease) {
        (Some(_), None) => Err(message::NO_CONNECTIVE),
        (Some(wanted), Some(own)) => Ok(wanted == own),
        (None, _) => Ok(true),
    }
}

fn concerns(rule: &Rule, subject: &Subject) -> bool {
    (rule.of == "each" || rule.of == subject.id)
        && rule.when.flow.is_none_or(|flow| subject.flow == Some(flow))
        && rule
            .when
            .kind
            .as_ref()
            .is_none_or(|kind| subject.kind.as_ref().is_some_and(|own| own == kind || own == measure::UNSAID_KIND))
}

/// One reading judged.
struct Judged<'a> {
    reading: &'a Reading,
    word: Word,
    margin: Option<f64>,
    why: Option<String>,
}

fn judged<'a>(rule: &Rule, reading: &'a Reading) -> Judged<'a> {
    match &reading.value {
        Quantity::Unknown { why } => Judged { reading, word: Word::Unknown, margin: None, why: Some(why.clone()) },
        Quantity::Known { value, error, .. } => {
            let Some(margin) = margin(rule, *value) else {
                let why = Some(message::NO_LIMIT.to_string());
                return Judged { reading, word: Word::Unknown, margin: None, why };
            };
            let word = if !margin.is_finite() {
                Word::Unknown
            } else if margin < 0.0 {
                Word::Unmet
            } else if margin < *error - ON_LIMIT || reading.doubt.is_some() {
                Word::Borderline
            } else {
                Word::Met
            };
            let why = match word {
                Word::Unmet if -margin < *error => Some(message::MEASURE_AGAIN.to_string()),
                Word::Borderline if margin >= *error - ON_LIMIT => reading.doubt.map(str::to_string),
                _ => None,
            };
            Judged { reading, word, margin: Some(margin), why }
        }
    }
}

/// The worst of a rule's readings, and what each possibility gives by itself.
struct Worst<'a> {
    judged: Option<Judged<'a>>,
    by_possibility: Vec<(Possibility, Word)>,
}

fn worst<'a>(rule: &Rule, readings: &'a [Reading]) -> Worst<'a> {
    let mut by_possibility: Vec<(Possibility, Word)> = Vec::new();
    let mut worst: Option<Judged<'a>> = None;
    for reading in readings {
        let here = judged(rule, reading);
        if let Some(possibility) = reading.possibility {
            match by_possibility.iter_mut().find(|(p, _)| *p == possibility) {
                Some((_, word)) => *word = here.word.min(*word),
                None => by_possibility.push((possibility, here.word)),
            }
        }
        // Within 1e-9 the first in order stands.
        let worse = worst.as_ref().is_none_or(|w| {
            here.word < w.word || here.word == w.word && here.margin.unwrap_or(0.0) < w.margin.unwrap_or(0.0) - 1e-9
        });
        if worse {
            worst = Some(here);
        }
    }
    Worst { judged: worst, by_possibility }
}

impl Worst<'_> {
    fn verdict(self, template: Verdict) -> Verdict {
        let Some(judged) = self.judged else {
            return Verdict { why: Some(message::NO_READING.into()), ..template };
        };
        let (value, error) = match &judged.reading.value {
            Quantity::Known { value, error, .. } => (Some(*value), Some(*error)),
            Quantity::Unknown { .. } => (None, None),
        };
        Verdict {
            value,
            margin: judged.margin,
            error,
            word: judged.word,
            hangs_on: judged.reading.possibility,
            by_possibility: self.by_possibility,
            why: judged.why,
            ..template
        }
    }
}

/// How many verdicts there are of each kind.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
#[allow(missing_docs)]
pub struct Counts {
    pub unmet: usize,
    pub unknown: usize,
    pub borderline: usize,
    pub met: usize,
    /// Outside what is only advised.
    pub advised_unmet: usize,
}

/// Counts the verdicts of rules that the plan needs; the head line says these and no overall word.
pub fn counts(verdicts: &[Verdict]) -> Counts {
    let count = |word| verdicts.iter().filter(|v| v.required && v.word == word).count();
    Counts {
        unmet: count(Word::Unmet),
        unknown: count(Word::Unknown),
        borderline: count(Word::Borderline),
        met: count(Word::Met),
        advised_unmet: verdicts.iter().filter(|v| !v.required && v.word == Word::Unmet).count(),
    }
}
