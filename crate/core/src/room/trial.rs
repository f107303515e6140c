//! A plan tried at any move of one of its grafts, judged by the rules that it needs.
//!
//! How the graft lies is solved at knots of the station alone and taken between them ([`super::lies`]); what
//! its rules give ([`super::reading`]) is read at knots of station and clock and taken between those
//! ([`super::table`]). What was found serves every placement of the same graft in the same case, so a drag
//! goes on with it.

use super::plane::{Move, Sample, Trial};
use super::ration::Ration;
use super::reading::{GROUPS, Group, PATHS, Reader, group_of};
use super::table::{Asked, FINEST, Row, Table};
use crate::bridging::path::NoPath;
use crate::casefile::case::{Case, Component, Placement, Rule};
use crate::graft::lie::PlacedGraft;
use crate::message;
use crate::plan::Plan;
use crate::quantity::{Quantity, Unknown};
use crate::rules::measure;
use crate::rules::verdict::{Verdict, Word};
use crate::units::Angle;
use std::collections::BTreeMap;

/// How many single answers are remembered.
const MOST_SINGLE: usize = 20_000;

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
    reader: Reader,
    table: Table,
    /// Single answers where the table has none: which of the judged, station and clock by their digits.
    single: BTreeMap<(usize, u64, u64), f64>,
    /// What the table last said, of which group and where.
    last: Option<((usize, f64, Angle), Row)>,
    drawn: Placement,
    drawn_graft: PlacedGraft,
    /// The graft where it was last solved by itself.
    exact: Option<(f64, PlacedGraft)>,
    /// Whether all that is judged holds where the graft is drawn, by the plan's own verdicts.
    holds: bool,
    /// What is judged, in the order in which samples name it.
    pub judged: Vec<Judged>,
    /// What the plan needs and no placement mends: what is unmet wherever the graft lies, and what is
    /// unknown where it is drawn.
    pub barred: Vec<(Judged, Word)>,
    /// Which of the judged are left out of samples for now.
    pub muted: Vec<bool>,
}

impl PlanTrial {
    /// Of a plan, moving the graft of one component. Of a trial `before` what still holds is taken over.
    ///
    /// # Errors
    /// Why there is nothing to try: no anatomy, no such placed graft, no required rule that hangs on the
    /// placement and is known there.
    pub fn of(plan: &Plan, component: &str, before: Option<PlanTrial>) -> Result<Self, Unknown> {
        let anatomy = plan.anatomy.clone()?;
        let place = plan.grafts.iter().position(|graft| graft.component == component);
        let moved = plan.case.components.iter().find(|c| c.id == component);
        let (Some(place), Some((moved, drawn))) = (place, moved.and_then(|c| Some((c, c.placement?)))) else {
            return Err(Unknown::because(message::NOT_PLACED));
        };
        let (mut reader, judged) = Reader::of(plan, anatomy, place, moved);
        let group_of = |rule: &Rule| moved.graft.as_deref().and_then(|graft| group_of(rule, graft));
        let named = |v: &Verdict| Judged { rule: v.rule.clone(), of: v.of.clone(), measure: v.measure.clone() };
        let verdict = |j: &Judged| plan.verdicts.iter().find(|v| v.required && v.rule == j.rule && v.of == j.of);
        if judged.is_empty() {
            return Err(Unknown::because(message::NO_REQUIRED_RULE));
        }
        // What is unknown where the graft is drawn is never met; the others still have a room. A tunnel
        // that has no path there simply fails.
        let unknown = |v: &Verdict| {
            let fails = |why: &String| NoPath::ALL.iter().any(|none| none.why() == why);
            v.word == Word::Unknown && !v.why.as_ref().is_some_and(fails)
        };
        reader.unknown = judged.iter().map(|j| verdict(j).is_some_and(unknown)).collect();
        if reader.unknown.iter().all(|unknown| *unknown) {
            let why = judged.iter().find_map(|j| verdict(j)?.why.clone()).unwrap_or_default();
            return Err(Unknown(message::room_unknown(&judged[0].rule, &judged[0].of, &why)));
        }
        let is_fixed = |v: &&Verdict| {
            v.required && v.word <= Word::Unknown && plan.rules.get(v.rule_index).is_some_and(|r| group_of(r).is_none())
        };
        let fixed = plan.verdicts.iter().filter(is_fixed).map(|v| (named(v), v.word));
        let left_out = judged.iter().zip(&reader.unknown).filter(|(_, unknown)| **unknown);
        let barred = fixed.chain(left_out.map(|(judged, _)| (judged.clone(), Word::Unknown))).collect();
        let counted = judged.iter().zip(&reader.unknown).filter(|(_, unknown)| !**unknown);
        let holds = counted.filter_map(|(j, _)| verdict(j)).all(|v| v.word >= Word::Borderline);
        let (mut table, mut single) = (Table::default(), BTreeMap::new());
        if let Some(before) = before
            && reader.take_over(before.reader)
        {
            (table, single) = (before.table, before.single);
        }
        let drawn_graft = plan.grafts[place].clone();
        Ok(PlanTrial {
            muted: vec![false; judged.len()],
            reader,
            table,
            single,
            last: None,
            drawn,
            drawn_graft,
            exact: None,
            holds,
            judged,
            barred,
        })
    }

    /// Where a move puts the graft.
    fn place(&self, at: Move) -> (f64, Angle) {
        (self.drawn.station_mm + at.shift_mm, Angle::deg(self.drawn.clock_deg + at.turn_deg).wrapped())
    }

    /// Each of the judged at a move, in its own errors: the least over all ways the graft may lie.
    pub fn each(&mut self, at: Move) -> Vec<f64> {
        (0..self.judged.len()).map(|by| self.value(by, at).unwrap_or(f64::NEG_INFINITY)).collect()
    }

    /// The same of what needs no bridging path, but for what is left out.
    pub fn each_quick(&mut self, at: Move) -> Vec<f64> {
        let quick = (0..self.reader.groups[PATHS].first).filter(|by| !self.muted[*by]).collect::<Vec<_>>();
        quick.into_iter().map(|by| self.value(by, at).unwrap_or(f64::NEG_INFINITY)).collect()
    }

    /// Whether everything holds where each of the judged has its own move and is helped by so many of its
    /// errors. `moved` is asked with the number of one and whether its rule has a lower limit.
    pub fn hold_moved(&mut self, moved: impl Fn(usize, bool) -> (Move, f64)) -> bool {
        for group in 0..GROUPS {
            let Group { first, each, rules, .. } = &self.reader.groups[group];
            let first = *first;
            let lower: Vec<bool> = each.iter().map(|(place, _)| rules[*place].at_least.is_some()).collect();
            for (k, lower) in lower.into_iter().enumerate() {
                let (at, by) = moved(first + k, lower);
                // What is unknown does not hold.
                if !self.value(first + k, at).is_some_and(|value| value + by >= 0.0) {
                    return false;
                }
            }
        }
        true
    }

    /// Leaves some of the judged out of all samples, and no others.
    pub fn mute(&mut self, which: impl Fn(&Judged) -> bool) {
        self.muted = self.judged.iter().map(which).collect();
    }

    /// The same trial begun elsewhere.
    #[must_use]
    pub fn moved_by(&self, at: Move) -> Self {
        let (station_mm, clock) = self.place(at);
        let mut moved = self.clone();
        moved.last = None;
        moved.drawn = Placement { station_mm, clock_deg: clock.to_deg(), ..self.drawn };
        moved
    }

    /// Takes over what a trial of the same plan has read.
    pub fn learn(&mut self, other: PlanTrial) {
        self.reader.take_over(other.reader);
        self.table = other.table;
        self.single = other.single;
        self.last = None;
    }

    /// One of the judged at a move: the least over all ways the graft may lie; negative infinity where it
    /// is unknown, `None` where there is no time to find it now.
    fn value(&mut self, by: usize, at: Move) -> Option<f64> {
        let (station_mm, clock) = self.place(at);
        let Some((group, k)) = self.reader.place_of(by) else { return Some(f64::NEG_INFINITY) };
        let place = (group, station_mm, clock);
        let row = match &self.last {
            Some((own, row)) if *own == place => row.clone(),
            _ => self.table.values(Asked { level: 0, of: group }, station_mm, clock, &mut self.reader)?,
        };
        self.last = Some((place, row.clone()));
        let ways = self.reader.ways();
        let least = Reader::least(&row[k * ways..(k + 1) * ways]);
        if least.is_nan() { self.nearer(by, station_mm, clock) } else { Some(least) }
    }

    /// The same by knots that are nearer together, and by itself where they do not tell either.
    fn nearer(&mut self, by: usize, station_mm: f64, clock: Angle) -> Option<f64> {
        for level in 1..=FINEST {
            let asked = Asked { level, of: by };
            let least = Reader::least(&self.table.values(asked, station_mm, clock, &mut self.reader)?);
            if !least.is_nan() {
                return Some(least);
            }
        }
        self.by_itself(by, station_mm, clock)
    }

    /// The same by the lies there.
    fn by_itself(&mut self, by: usize, station_mm: f64, clock: Angle) -> Option<f64> {
        let key = (by, station_mm.to_bits(), clock.to_deg().to_bits());
        if let Some(known) = self.single.get(&key) {
            return Some(*known);
        }
        let found = self.reader.one(by, station_mm, clock)?;
        if self.single.len() >= MOST_SINGLE {
            self.single.clear();
        }
        self.single.insert(key, found);
        Some(found)
    }

    /// The least of all that is judged at a move; `None` where there is no time to find it now.
    fn sample(&mut self, at: Move) -> Option<Sample> {
        let (station_mm, clock) = self.place(at);
        let ways = self.reader.ways();
        let mut sample = Sample { least: f64::INFINITY, by: 0 };
        for group in 0..GROUPS {
            let (first, count) = (self.reader.groups[group].first, self.reader.groups[group].each.len());
            // Where the quicker part fails the rest is not asked.
            if count == 0 || sample.least < 0.0 {
                continue;
            }
            let row = self.table.values(Asked { level: 0, of: group }, station_mm, clock, &mut self.reader)?;
            let mut left = Vec::new();
            for by in (first..first + count).filter(|by| !self.muted[*by]) {
                let least = Reader::least(&row[(by - first) * ways..(by - first + 1) * ways]);
                if least.is_nan() { left.push(by) } else { sample = sample.and(Sample { least, by }) }
            }
            for by in left {
                if sample.least >= 0.0 {
                    let least = self.nearer(by, station_mm, clock)?;
                    sample = sample.and(Sample { least, by });
                }
            }
        }
        // Where it is drawn the plan's own verdicts count.
        if at == Move::default() && !self.muted.contains(&true) {
            sample.least = if self.holds { sample.least.max(0.0) } else { sample.least.min(-f64::EPSILON) };
        }
        Some(sample)
    }

    /// The least readings of measures at a move, over all ways the graft may lie: measure, of what, value.
    /// Paths and fabric are not computed for them.
    pub fn lengths(&mut self, at: Move, measures: &[&'static str]) -> Vec<(&'static str, String, Quantity)> {
        let (station_mm, clock) = self.place(at);
        // Where it is drawn the plan knows how it lies.
        let placed = match at == Move::default() {
            true => Some(self.drawn_graft.clone()),
            false => self.between(station_mm).map(|placed| placed.turned_to(clock, &self.reader.anatomy)),
        };
        let Some(placed) = placed else { return Vec::new() };
        let mut all = Vec::new();
        self.reader.with_tunnels(placed, |scope| {
            for measure in measures.iter().filter_map(|id| measure::find(id)) {
                for of in (measure.subjects)(scope) {
                    let readings = (measure.read)(scope, &Rule::on(measure.id), &of);
                    let least = readings.into_iter().map(|reading| reading.value).reduce(|a, b| {
                        let lesser = |a: &Quantity, b: &Quantity| match (a.value(), b.value()) {
                            (Some(a), Some(b)) => b < a,
                            (known, _) => known.is_some(),
                        };
                        if lesser(&a, &b) { b } else { a }
                    });
                    all.extend(least.map(|least| (measure.id, of.id, least)));
                }
            }
        });
        all
    }

    /// Values of all that is judged at a move by lies that are solved there: what all else is held
    /// against. Where what is quickly found fails the rest is not asked.
    pub fn solved(&mut self, at: Move) -> Vec<f64> {
        let (station_mm, clock) = self.place(at);
        if self.exact.as_ref().is_none_or(|(known, _)| *known != station_mm) {
            self.exact = self.reader.lies.solve(station_mm).map(|placed| (station_mm, placed));
        }
        let Some((_, placed)) = &self.exact else { return vec![f64::NEG_INFINITY] };
        let placed = placed.turned_to(clock, &self.reader.anatomy);
        let ways = self.reader.ways();
        let mut all: Vec<f64> = Vec::new();
        for group in 0..GROUPS {
            if group == PATHS && all.iter().any(|value| *value < 0.0) {
                break;
            }
            let values = self.reader.read(group, placed.clone(), None);
            all.extend(values.chunks(ways).map(Reader::least));
        }
        all
    }

    /// The graft at a move: as it is taken between knots, and as it is solved there.
    pub fn lies_at(&mut self, at: Move) -> Option<[PlacedGraft; 2]> {
        let (station_mm, clock) = self.place(at);
        let (near, solved) = (self.between(station_mm)?, self.reader.lies.solve(station_mm)?);
        let anatomy = &self.reader.anatomy;
        Some([near.turned_to(clock, anatomy), solved.turned_to(clock, anatomy)])
    }

    fn between(&mut self, station_mm: f64) -> Option<PlacedGraft> {
        self.reader.lies.between(station_mm, &mut Ration::ENDLESS.clone()).flatten()
    }

    /// Solves a little of how the graft lies at a move; says whether all of it is.
    pub fn lies_ready(&mut self, at: Move) -> bool {
        let station_mm = self.place(at).0;
        self.reader.lies.between(station_mm, &mut Ration::PIECE.clone()).is_some()
    }
}

impl Trial for PlanTrial {
    fn at(&mut self, at: Move) -> Sample {
        self.sample(at).unwrap_or(Sample { least: f64::NEG_INFINITY, by: 0 })
    }

    fn anew(&mut self, at: Move, by: usize) -> Option<f64> {
        let (station_mm, clock) = self.place(at);
        Some(self.by_itself(by, station_mm, clock).unwrap_or(f64::NAN))
    }

    fn ration(&mut self, ration: Ration) {
        self.reader.ration = ration;
    }

    fn short(&self) -> bool {
        self.reader.ration.short()
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
    use super::super::reading::LEAST_ERROR;
    use super::*;
    use crate::casefile::Document;
    use std::sync::Arc;

    fn plan(name: &str) -> Plan {
        let path = format!("{}/../../demo-data/{name}.json", env!("CARGO_MANIFEST_DIR"));
        let text = std::fs::read(path).expect("the demo case is there");
        Plan::new(Document::read(&text).expect("it reads").case)
    }

    #[test]
    fn a_trial_at_a_move_is_the_plan_there() {
        let plan = plan("plain-arch");
        let component = moved(&plan.case).expect("a graft").id.clone();
        let mut trial = PlanTrial::of(&plan, &component, None).expect("can be tried");
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
            // What is judged by lies solved there is the plan's own.
            for (judged, value) in trial.judged.clone().iter().zip(trial.solved(at)) {
                let own = there.verdicts.iter().find(|v| v.rule == judged.rule && v.of == judged.of);
                let own = own.expect("judged there too");
                let Some((margin, error)) = own.margin.zip(own.error) else {
                    assert_eq!(value, f64::NEG_INFINITY, "{judged:?}");
                    continue;
                };
                // The least in its errors need not be the way with the least margin.
                assert!(value <= margin / error.max(LEAST_ERROR) + 1e-6, "{judged:?} {at:?}: {value}");
                assert_eq!(value >= 0.0, margin >= 0.0, "{judged:?} {at:?}: {value}");
                assert_eq!(value >= 1.0, own.word == Word::Met, "{judged:?} {at:?}: {value}");
            }
        }
    }
}
