//! Which assumption matters, in the report and in words. Only names and units change here; no number
//! is computed.

use super::words;
use crate::assumption::{Assumption, Largest, Tilting, Weight, of_kept_line, of_lie};
use crate::plan::Plan;
use crate::quantity::Unknown;
use crate::rules::verdict::Word;
use crate::task::Task;
use serde::Serialize;

/// How much hangs on one assumption.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[allow(missing_docs)]
pub struct AssumptionPart {
    pub assumption: Assumption,
    /// The largest change of an edge clearance, and of which tunnel.
    pub clearance_change_mm: Option<f64>,
    pub clearance_of: Option<String>,
    /// The largest change of a clock error, and of which tunnel.
    pub clock_change_deg: Option<f64>,
    pub clock_of: Option<String>,
    pub verdicts: Vec<ChangePart>,
    pub text: String,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub why: Option<String>,
}

/// A verdict that changes with it.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[allow(missing_docs)]
pub struct ChangePart {
    pub rule: String,
    pub of: String,
    pub required: bool,
    pub takes: Vec<Word>,
}

/// How much hangs on each assumption of a plan, found without pause; none where no graft is placed.
pub fn of(plan: &Plan) -> Vec<AssumptionPart> {
    if plan.grafts.is_empty() {
        return Vec::new();
    }
    let found = |tilting: Tilting| tilting.finish().ok_or(Unknown::because(crate::message::NOT_PLACED));
    let tilt = Tilting::of(plan).and_then(found);
    let all = [
        (Assumption::Lie, Ok(of_lie(plan))),
        (Assumption::LengthKeptBy, Ok(of_kept_line(plan))),
        (Assumption::WireTilt, tilt),
    ];
    all.into_iter().map(|(assumption, weight)| part(plan, assumption, &weight)).collect()
}

fn part(plan: &Plan, assumption: Assumption, weight: &Result<Weight, Unknown>) -> AssumptionPart {
    let own = weight.as_ref().ok();
    let largest = |of: fn(&Weight) -> Option<&Largest>| own.and_then(of).map(|l| (l.by, l.tunnel.clone())).unzip();
    let (clearance_change_mm, clearance_of) = largest(|w| w.clearance_mm.as_ref());
    let (clock_change_deg, clock_of) = largest(|w| w.clock_deg.as_ref());
    let verdicts = own.into_iter().flat_map(|w| &w.changes).map(|change| ChangePart {
        rule: plan.rules.get(change.rule_index).map(|rule| rule.id.clone()).unwrap_or_default(),
        of: change.of.clone(),
        required: change.required,
        takes: change.words.clone(),
    });
    AssumptionPart {
        assumption,
        clearance_change_mm,
        clearance_of,
        clock_change_deg,
        clock_of,
        verdicts: verdicts.collect(),
        text: sentence(plan, assumption, weight),
        why: weight.as_ref().err().map(|unknown| unknown.0.clone()),
    }
}

/// What is assumed, in a few words.
pub fn name(assumption: Assumption) -> &'static str {
    match assumption {
        Assumption::Lie => "How the graft lies",
        Assumption::LengthKeptBy => "Which line keeps its length",
        Assumption::WireTilt => "How the wire points at the annulus",
    }
}

/// How much hangs on an assumption: `How the graft lies: 2 required rules; clearance by up to 6.3 mm (LSA),
/// clock by 4°.`
pub fn sentence(plan: &Plan, assumption: Assumption, weight: &Result<Weight, Unknown>) -> String {
    let name = name(assumption);
    let own = match weight {
        Ok(own) => own,
        Err(Unknown(why)) => return format!("{name}: not known. {why}"),
    };
    let serves = |largest: &Largest| {
        let tunnel = plan.tunnels.iter().find(|tunnel| tunnel.id == largest.tunnel);
        tunnel.map_or(largest.tunnel.clone(), |tunnel| tunnel.serves.clone())
    };
    let verdicts = match own.required() {
        0 => "no required verdict".to_owned(),
        1 => "1 required verdict".to_owned(),
        count => format!("{count} required verdicts"),
    };
    let clearance = own
        .clearance_mm
        .as_ref()
        .map(|largest| format!("; clearance by up to {} ({})", words::mm(largest.by), serves(largest)));
    let clock =
        own.clock_deg.as_ref().map(|largest| format!(", clock by up to {}", words::with_unit(largest.by, "deg")));
    format!("{name}: {verdicts}{}{}.", clearance.unwrap_or_default(), clock.unwrap_or_default())
}

/// Which assumption matters most: the one on which most required verdicts hang, else most of the
/// clearance.
pub fn matters_most(weights: &[(Assumption, &Result<Weight, Unknown>)]) -> String {
    let known = weights.iter().filter_map(|(assumption, weight)| Some((*assumption, weight.as_ref().ok()?)));
    let size = |weight: &Weight| (weight.required(), weight.clearance_mm.as_ref().map_or(0.0, |largest| largest.by));
    let most = known.reduce(|best, next| {
        let ((a, x), (b, y)) = (size(best.1), size(next.1));
        if b > a || b == a && y > x + 1e-9 { next } else { best }
    });
    let Some((assumption, weight)) = most else { return String::new() };
    let what = name(assumption);
    let what =
        what.chars().next().map(|c| c.to_lowercase().to_string()).unwrap_or_default() + what.get(1..).unwrap_or("");
    match (weight.required(), weight.clearance_mm.as_ref().map_or(0.0, |largest| largest.by)) {
        (0, by) if by < 0.05 => "For this plan nothing hangs on what is assumed.".into(),
        (0, _) => {
            format!("For this plan no required verdict hangs on what is assumed; clearances hang most on {what}.")
        }
        _ => format!("For this plan it matters most {what}."),
    }
}
