//! A plan tried at any move of one of its grafts, judged by the rules that it needs.
//!
//! Other grafts stay where they are. How a graft lies does not hang on how it is turned, so trials at
//! one shift share their lies, and a new shift begins from the lies of the trial before.

use super::plane::{Move, Sample, Trial};
use crate::anatomy::Anatomy;
use crate::casefile::case::{Case, Component, Placement, Rule};
use crate::graft::buildable::Survey;
use crate::graft::lie::PlacedGraft;
use crate::message;
use crate::placement::fabric::FabricInPlace;
use crate::placement::footprint::Footprint;
use crate::placement::tunnel::{self, Paths, TunnelResult};
use crate::plan::{self, Plan};
use crate::quantity::Unknown;
use crate::rules::measure::{self, Part, Scope};
use crate::rules::verdict::{self, Verdict, Word};
use crate::units::Angle;
use std::sync::Arc;

/// What an error of nothing counts as, so that margins can be counted in it.
const LEAST_ERROR: f64 = 1e-3;
/// At how many shifts the lies are kept: twice as many as a grid has.
const MOST_LAIN: usize = 64;

/// What one of the judged is.
#[derive(Clone, Debug, PartialEq)]
pub struct Judged {
    /// The rule's id.
    pub rule: String,
    /// Of what.
    pub of: String,
    /// The measure's id.
    pub measure: String,
}

/// A plan that is tried.
#[derive(Clone, Debug)]
pub struct PlanTrial {
    case: Arc<Case>,
    anatomy: Arc<Anatomy>,
    grafts: Vec<PlacedGraft>,
    component: Component,
    /// The moved graft's place in the list of grafts.
    place: usize,
    footprints: Arc<Vec<Footprint>>,
    surveys: Vec<(String, Arc<Survey>)>,
    /// Rules that are quickly judged, with the number by which samples name their first verdict.
    cheap: Rules,
    /// Rules that need the bridging paths.
    costly: Rules,
    /// What is judged, in the order in which samples name it.
    pub judged: Vec<Judged>,
    /// What the plan needs and no placement mends: what is unmet wherever the graft lies, and what is
    /// unknown where it is drawn.
    pub barred: Vec<(Judged, Word)>,
    /// The moved graft at shifts where it was tried lately: turned, it lies as it lay.
    lain: Vec<(f64, PlacedGraft)>,
    /// Which of the judged are unknown where the graft is drawn, and so left out.
    unknown: Vec<bool>,
}

/// Rules of one cost.
#[derive(Clone, Debug)]
struct Rules {
    rules: Vec<Rule>,
    /// What must be computed for them.
    part: Part,
    /// The number of their first verdict among all.
    first: usize,
}

impl PlanTrial {
    /// Of a plan, moving the graft of one component.
    ///
    /// # Errors
    /// Why there is nothing to try: no anatomy, no such placed graft, no required rule that hangs on the
    /// placement and is known there.
    pub fn of(plan: &Plan, component: &str) -> Result<Self, Unknown> {
        let anatomy = plan.anatomy.clone()?;
        let place = plan.grafts.iter().position(|graft| graft.component == component);
        let moved = plan.case.components.iter().find(|c| c.id == component && c.placement.is_some());
        let (Some(place), Some(moved)) = (place, moved) else {
            return Err(Unknown::because(message::NOT_PLACED));
        };
        let named = |v: &Verdict| Judged { rule: v.rule.clone(), of: v.of.clone(), measure: v.measure.clone() };
        let part = |rule: &Rule| measure::find(&rule.measure).map_or(Part::Anatomy, |measure| measure.hangs_on);
        let verdicts = |wanted: fn(Part) -> bool| {
            let own = |v: &&Verdict| v.required && plan.rules.get(v.rule_index).is_some_and(|rule| wanted(part(rule)));
            plan.verdicts.iter().filter(own).collect::<Vec<&Verdict>>()
        };
        let rules = |wanted: fn(Part) -> bool, first: usize| {
            let rules: Vec<Rule> = plan.rules.iter().filter(|r| r.required && wanted(part(r))).cloned().collect();
            Rules { part: rules.iter().map(part).max().unwrap_or(Part::Lies), rules, first }
        };
        let fixed: fn(Part) -> bool = |part| part < Part::Lies;
        let cheap: fn(Part) -> bool = |part| part >= Part::Lies && part < Part::Paths;
        let costly: fn(Part) -> bool = |part| part == Part::Paths;
        let (quick, slow) = (verdicts(cheap), verdicts(costly));
        let all: Vec<&Verdict> = quick.iter().chain(&slow).copied().collect();
        if all.is_empty() {
            return Err(Unknown::because(message::NO_REQUIRED_RULE));
        }
        // What is unknown where the graft is drawn is never met; the others still have a room.
        let unknown: Vec<bool> = all.iter().map(|v| v.word == Word::Unknown).collect();
        if unknown.iter().all(|unknown| *unknown) {
            let why = all.iter().find_map(|v| v.why.clone()).unwrap_or_default();
            return Err(Unknown(message::room_unknown(&all[0].rule, &all[0].of, &why)));
        }
        let fixed = verdicts(fixed).into_iter().filter(|v| v.word <= Word::Unknown);
        let barred = fixed.chain(all.iter().copied().filter(|v| v.word == Word::Unknown));
        let barred = barred.map(|v| (named(v), v.word)).collect();
        Ok(PlanTrial {
            case: plan.case.clone(),
            anatomy,
            grafts: plan.grafts.clone(),
            component: moved.clone(),
            place,
            footprints: plan.fabric.footprints.clone(),
            surveys: plan.surveys.clone(),
            cheap: rules(cheap, 0),
            costly: rules(costly, quick.len()),
            judged: all.iter().map(|v| named(v)).collect(),
            barred,
            unknown,
            lain: Vec::new(),
        })
    }

    /// Moves the graft.
    fn go(&mut self, at: Move) {
        let Some(drawn) = self.component.placement else { return };
        let mut moved = self.component.clone();
        moved.placement = Some(Placement {
            station_mm: drawn.station_mm + at.shift_mm,
            clock_deg: Angle::deg(drawn.clock_deg + at.turn_deg).wrapped().to_deg(),
            ..drawn
        });
        let known = self.lain.iter().position(|(shift_mm, _)| *shift_mm == at.shift_mm);
        let before = known.map_or(self.grafts.get(self.place), |known| Some(&self.lain[known].1));
        let Some(placed) = PlacedGraft::new(&moved, &self.case, &self.anatomy, before) else { return };
        if known.is_none() {
            if self.lain.len() >= MOST_LAIN {
                self.lain.remove(0);
            }
            self.lain.push((at.shift_mm, placed.clone()));
        }
        self.grafts[self.place] = placed;
    }

    /// Judges rules where the graft now lies, computing no more than they need.
    fn judge(&self, rules: &Rules) -> Sample {
        let sd = self.case.errors.diameter_sd_mm;
        let anatomy = &self.anatomy;
        let paths = if rules.part == Part::Paths { Paths::Found } else { Paths::Left };
        let tunnels: Vec<TunnelResult> = match rules.part >= Part::Tunnels {
            true => self.grafts.iter().flat_map(|placed| tunnel::tunnels(placed, anatomy, sd, paths)).collect(),
            false => Vec::new(),
        };
        let stents = match paths {
            Paths::Found => plan::stents(&self.case, &self.grafts, &tunnels),
            Paths::Left => Vec::new(),
        };
        let fabric = match rules.part == Part::Fabric {
            true => FabricInPlace::of(
                &self.case,
                anatomy,
                &self.grafts,
                &plan::possibilities(&self.grafts),
                Some(self.footprints.clone()),
            ),
            false => FabricInPlace::default(),
        };
        let known = Ok(anatomy.clone());
        let scope = Scope {
            case: &self.case,
            anatomy: &known,
            grafts: &self.grafts,
            tunnels: &tunnels,
            stents: &stents,
            fabric: &fabric,
            surveys: &self.surveys,
        };
        let inside = |verdict: &Verdict| match (verdict.word, verdict.margin, verdict.error) {
            (Word::Unknown, _, _) | (_, None, _) => f64::NEG_INFINITY,
            (_, Some(margin), error) => margin / error.unwrap_or(0.0).max(LEAST_ERROR),
        };
        let verdicts = verdict::judge(&scope, &rules.rules);
        let samples = verdicts.iter().enumerate().map(|(k, v)| Sample { least: inside(v), by: rules.first + k });
        let samples = samples.filter(|sample| !self.unknown.get(sample.by).copied().unwrap_or(false));
        samples.fold(Sample { least: f64::INFINITY, by: 0 }, Sample::and)
    }
}

impl Trial for PlanTrial {
    fn cheap(&mut self, at: Move) -> Sample {
        self.go(at);
        self.judge(&self.cheap)
    }

    fn costly(&mut self, at: Move) -> Option<Sample> {
        if self.costly.rules.is_empty() {
            return None;
        }
        self.go(at);
        Some(self.judge(&self.costly))
    }
}

/// The component whose room is looked for: the first that carries tunnels or fenestrations, else the
/// first that is placed.
pub fn moved(case: &Case) -> Option<&Component> {
    let placed = || case.components.iter().filter(|c| c.placement.is_some() && c.graft.is_some());
    let carries = |c: &&Component| {
        c.graft.as_ref().is_some_and(|graft| !(graft.tunnels.is_empty() && graft.fenestrations.is_empty()))
    };
    placed().find(carries).or_else(|| placed().next())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::casefile::Document;

    fn plan(name: &str) -> Plan {
        let path = format!("{}/../../demo-data/{name}.json", env!("CARGO_MANIFEST_DIR"));
        let text = std::fs::read(path).expect("the demo case is there");
        Plan::new(Document::read(&text).expect("it reads").case)
    }

    #[test]
    fn a_trial_at_a_move_is_the_plan_there() {
        let plan = plan("plain-arch");
        let component = moved(&plan.case).expect("a graft").id.clone();
        let mut trial = PlanTrial::of(&plan, &component).expect("can be tried");
        for at in [Move::new(0.0, 0.0), Move::new(-3.0, 10.0), Move::new(5.5, -41.0), Move::new(-3.0, 60.0)] {
            let sample = trial.at(at);
            let mut case = (*plan.case).clone();
            let placed = case.components.iter_mut().find(|c| c.id == component).expect("there");
            let placement = placed.placement.as_mut().expect("placed");
            placement.station_mm += at.shift_mm;
            placement.clock_deg += at.turn_deg;
            let there = Plan::new(Arc::new(case));
            let holds = there.verdicts.iter().filter(|v| v.required).all(|v| v.word >= Word::Borderline);
            assert_eq!(sample.least >= 0.0, holds, "{at:?} {sample:?}");
        }
    }
}
