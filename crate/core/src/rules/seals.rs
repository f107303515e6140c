//! Each seal against what it lies on: wall, diameters, oversize, and which graft diameter would serve.
//!
//! The limits are those of the rules in force; the proposal names the smallest diameter at hand that
//! keeps them everywhere along the seal in every way the graft can lie. It chooses nothing.

use super::measure::{self, Scope, landing};
use crate::casefile::case::{Graft, Rule};
use crate::graft::shape;
use crate::message;
use crate::quantity::{Quantity, Unknown};

/// Which stretch of a graft seals at an end.
type End = fn(&Graft) -> Result<(f64, f64), Unknown>;

/// A seal of a placed graft.
#[derive(Clone, Debug)]
pub struct Seal {
    /// The component.
    pub component: String,
    /// `proximal` or `distal`.
    pub end: &'static str,
    /// Its two ends on the graft, mm.
    pub on_graft_mm: (f64, f64),
    /// What it lies on, in the words that rules are narrowed by.
    pub wall: Result<&'static str, Unknown>,
    /// Least and largest area-derived diameter of the lumen under it, over every way it can lie, mm.
    pub aorta_mm: Result<(f64, f64), Unknown>,
    /// Least and largest oversize over that, per cent.
    pub oversize_percent: Result<(f64, f64), Unknown>,
    /// Oversize of the distal seal over the whole dissected aorta, worst way; `None` where no such
    /// diameter was entered.
    pub oversize_whole_percent: Option<f64>,
    /// Graft diameters that keep the limits everywhere along it, mm.
    pub serves_mm: Result<(f64, f64), Unknown>,
    /// The smallest diameter at hand among these; `None` where none serves.
    pub proposal_mm: Option<f64>,
    /// The rule whose limits these are.
    pub rule: Option<String>,
}

/// The seals of all placed grafts, upstream first.
pub fn seals(scope: &Scope<'_>, rules: &[Rule]) -> Vec<Seal> {
    let mut all = Vec::new();
    for placed in scope.grafts {
        let ends: [(&'static str, End, &str); 2] = [
            ("proximal", landing::proximal, "graft.proximal_oversize_percent"),
            ("distal", landing::distal, "graft.distal_oversize_percent"),
        ];
        for (end, of, id) in ends {
            let Ok(seal) = of(&placed.graft) else { continue };
            // A graft with one seal that is both ends is listed once.
            if end == "distal" && shape::seals(&placed.graft).len() < 2 && !reaches_end(&placed.graft, seal) {
                continue;
            }
            all.push(one(scope, rules, &placed.component, end, seal, id));
        }
    }
    all
}

fn reaches_end(graft: &Graft, seal: (f64, f64)) -> bool {
    seal.1 >= graft.length_mm - 1e-6
}

fn one(scope: &Scope<'_>, rules: &[Rule], component: &str, end: &'static str, seal: (f64, f64), id: &str) -> Seal {
    let wall = landing::wall_under(scope, id, component).unwrap_or(Err(Unknown::because(message::NO_WALL_UNDER)));
    let aorta_mm = landing::diameters_under(scope, component, seal);
    let values = |id: &str| -> Vec<Result<f64, Unknown>> {
        let Some(measure) = measure::find(id) else { return Vec::new() };
        let subjects = (measure.subjects)(scope);
        let Some(of) = subjects.iter().find(|s| s.id == component) else { return Vec::new() };
        let readings = (measure.read)(scope, &Rule::on(id), of);
        readings.iter().map(|r| r.value.get().copied()).collect()
    };
    let oversize_percent = values(id).into_iter().collect::<Result<Vec<f64>, Unknown>>().and_then(|all| {
        let range =
            (all.iter().copied().fold(f64::INFINITY, f64::min), all.iter().copied().fold(f64::NEG_INFINITY, f64::max));
        if all.is_empty() { Err(Unknown::because(message::NO_READING)) } else { Ok(range) }
    });
    let whole = (end == "distal").then(|| values("graft.distal_oversize_whole_percent"));
    let oversize_whole_percent = whole.and_then(|all| all.into_iter().filter_map(Result::ok).reduce(f64::max));
    let known_wall = wall.as_ref().ok().copied();
    let rule = rules.iter().find(|r| {
        let fits = r.when.wall.as_deref().is_none_or(|w| Some(w) == known_wall);
        r.measure == id && fits && r.at_least.is_some() && r.at_most.is_some()
    });
    let serves_mm = serving(rule, &aorta_mm);
    let stock = scope.case.stock.as_ref().map(|s| s.graft_diameters_mm.as_slice()).unwrap_or_default();
    let proposal_mm = serves_mm
        .as_ref()
        .ok()
        .and_then(|(from, to)| stock.iter().copied().filter(|d| d >= from && d <= to).reduce(f64::min));
    Seal {
        component: component.into(),
        end,
        on_graft_mm: seal,
        wall,
        aorta_mm,
        oversize_percent,
        oversize_whole_percent,
        serves_mm,
        proposal_mm,
        rule: rule.map(|r| r.id.clone()),
    }
}

/// Graft diameters whose oversize stays within a rule's limits over every diameter of the aorta.
fn serving(rule: Option<&Rule>, aorta_mm: &Result<(f64, f64), Unknown>) -> Result<(f64, f64), Unknown> {
    let (least, most) = aorta_mm.clone()?;
    let Some((low, high)) = rule.and_then(|r| r.at_least.zip(r.at_most)) else {
        return Err(Unknown::because(message::NO_OVERSIZE_RULE));
    };
    let (from, to) = (most * (1.0 + low / 100.0), least * (1.0 + high / 100.0));
    if from > to { Err(Unknown::because(message::NO_ONE_DIAMETER)) } else { Ok((from, to)) }
}

/// How far the proximal edge may go upstream before fabric covers a point to keep clear, worst way; for
/// each such point its id and that length.
pub fn room_upstream(scope: &Scope<'_>) -> Vec<(String, Quantity)> {
    let Some(measure) = measure::find("keep_clear.distance_mm") else { return Vec::new() };
    (measure.subjects)(scope)
        .into_iter()
        .map(|of| {
            let readings = (measure.read)(scope, &Rule::on(measure.id), &of);
            let worst = readings.into_iter().map(|r| r.value).reduce(|a, b| match (a.value(), b.value()) {
                (Some(x), Some(y)) if y < x => b,
                (Some(_), None) => b,
                _ => a,
            });
            (of.id, worst.unwrap_or(Quantity::unknown(message::NO_READING)))
        })
        .collect()
}
