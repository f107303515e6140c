//! A plan tried at any move of one of its grafts, judged by the rules that it needs.
//!
//! Other grafts stay where they are. How a graft lies does not hang on how it is turned, so trials at
//! one shift share their lies, and a shift begins from the lies of the one before.

use super::plane::{Move, Sample, Trial};
use crate::anatomy::Anatomy;
use crate::casefile::case::{Case, Component, Rule};
use crate::graft::lie::PlacedGraft;
use crate::placement::tunnel::{self, TunnelResult};
use crate::plan::Plan;
use crate::rules::measure::Scope;
use crate::rules::verdict::{self, Verdict, Word};
use crate::quantity::Unknown;
use crate::units::Angle;
use std::sync::Arc;

/// What an error of nothing counts as, so that margins can be counted in it.
const LEAST_ERROR: f64 = 1e-3;

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
    anatomy: Result<Arc<Anatomy>, Unknown>,
    grafts: Vec<PlacedGraft>,
    tunnels: Vec<TunnelResult>,
    rules: Vec<Rule>,
    component: Component,
    /// The moved graft's place in the list of grafts.
    place: usize,
    /// What is judged, in the order in which samples name it.
    pub judged: Vec<Judged>,
    /// What the plan needs and no placement changes, where it is not met: why nothing holds anywhere.
    pub barred: Vec<(Judged, Word)>,
}

impl PlanTrial {
    /// Of a plan, moving the graft of one component.
    ///
    /// # Errors
    /// Why there is nothing to try: no anatomy, no such placed graft, no required rule that hangs on the
    /// placement, or one that is unknown where the graft is drawn.
    pub fn of(plan: &Plan, component: &str) -> Result<Self, Unknown> {
        plan.anatomy.as_ref().map_err(Clone::clone)?;
        let place = plan.grafts.iter().position(|graft| graft.component == component);
        let moved = plan.case.components.iter().find(|c| c.id == component && c.placement.is_some());
        let (Some(place), Some(moved)) = (place, moved) else {
            return Err(Unknown::because(crate::message::NOT_PLACED));
        };
        let rules: Vec<Rule> = plan.rules.iter().filter(|rule| rule.required).cloned().collect();
        let mut trial = PlanTrial {
            case: plan.case.clone(),
            anatomy: plan.anatomy.clone(),
            grafts: plan.grafts.clone(),
            tunnels: plan.tunnels.clone(),
            rules,
            component: moved.clone(),
            place,
            judged: Vec::new(),
            barred: Vec::new(),
        };
        let all = trial.verdicts();
        let named = |v: &Verdict| Judged { rule: v.rule.clone(), of: v.of.clone(), measure: v.measure.clone() };
        // A rule hangs on the placement where its readings name possibilities.
        let moves = |index: usize| all.iter().any(|v| v.rule_index == index && v.hangs_on.is_some());
        let fixed = all.iter().filter(|v| !moves(v.rule_index) && v.word <= Word::Unknown);
        trial.barred = fixed.map(|v| (named(v), v.word)).collect();
        let mut index = 0;
        trial.rules.retain(|_| {
            index += 1;
            moves(index - 1)
        });
        let verdicts = trial.verdicts();
        if verdicts.is_empty() {
            return Err(Unknown::because(crate::message::NO_REQUIRED_RULE));
        }
        if let Some(unknown) = verdicts.iter().find(|verdict| verdict.word == Word::Unknown) {
            let why = unknown.why.clone().unwrap_or_default();
            return Err(Unknown(crate::message::room_unknown(&unknown.rule, &unknown.of, &why)));
        }
        trial.judged = verdicts.iter().map(named).collect();
        Ok(trial)
    }

    /// Moves the graft, and what it carries.
    fn go(&mut self, at: Move) {
        let (Ok(anatomy), Some(drawn)) = (&self.anatomy, self.component.placement) else { return };
        let mut moved = self.component.clone();
        if let Some(placement) = &mut moved.placement {
            placement.station_mm = drawn.station_mm + at.shift_mm;
            placement.clock_deg = Angle::deg(drawn.clock_deg + at.turn_deg).wrapped().to_deg();
        }
        let Some(placed) = PlacedGraft::new(&moved, &self.case, anatomy, self.grafts.get(self.place)) else { return };
        self.tunnels.retain(|tunnel| tunnel.component != placed.component);
        self.tunnels.extend(tunnel::tunnels(&placed, anatomy));
        self.grafts[self.place] = placed;
    }

    fn verdicts(&self) -> Vec<Verdict> {
        let scope =
            Scope { case: &self.case, anatomy: &self.anatomy, grafts: &self.grafts, tunnels: &self.tunnels };
        verdict::judge(&scope, &self.rules)
    }
}

impl Trial for PlanTrial {
    fn at(&mut self, at: Move) -> Sample {
        self.go(at);
        let inside = |verdict: &Verdict| match (verdict.word, verdict.margin, verdict.error) {
            (Word::Unknown, _, _) | (_, None, _) => f64::NEG_INFINITY,
            (_, Some(margin), error) => margin / error.unwrap_or(0.0).max(LEAST_ERROR),
        };
        // The first of those within 1e-9 stands.
        let mut sample = Sample { least: f64::INFINITY, by: 0 };
        for (by, verdict) in self.verdicts().iter().enumerate() {
            let least = inside(verdict);
            if least < sample.least - 1e-9 {
                sample = Sample { least, by };
            }
        }
        sample
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
    use super::super::border;
    use super::super::plane::Grid;
    use super::super::reach::Way;
    use super::super::rooming::Rooming;
    use super::*;
    use crate::casefile::Document;
    use crate::task::Task;

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
