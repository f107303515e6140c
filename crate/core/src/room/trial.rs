//! A plan tried at any move of one of its grafts, judged by the rules that it needs.
//!
//! Other grafts stay where they are. How the graft lies is solved at knots of the station alone and taken
//! between them ([`crate::graft::between`]); what its rules give is read at knots of station and clock
//! and taken between those ([`super::table`]). What was solved serves every placement of the same graft
//! in the same case, so a drag goes on with it.

use super::plane::{Move, Sample, Trial};
use super::table::{self, CLOCKS, Row, SHIFT_MM, Source, Table};
use crate::anatomy::Anatomy;
use crate::bridging::path::NoPath;
use crate::casefile::case::{Case, Component, Graft, Placement, Rule};
use crate::graft::between::Laying;
use crate::graft::buildable::Survey;
use crate::graft::lie::{PlacedGraft, Possibility};
use crate::message;
use crate::placement::fabric::FabricInPlace;
use crate::placement::footprint::Footprint;
use crate::placement::tunnel::{self, Paths, TunnelResult};
use crate::plan::{self, Plan};
use crate::quantity::{Quantity, Unknown};
use crate::rules::measure::{self, Part, Scope};
use crate::rules::verdict::{self, Found, Verdict, Word};
use crate::units::Angle;
use std::collections::BTreeMap;
use std::sync::Arc;

/// What an error of nothing counts as, so that margins can be counted in it.
const LEAST_ERROR: f64 = 1e-3;
/// How far inside lies what a rule does not concern.
const FAR_INSIDE: f64 = 1e6;
/// Between stations at which the lies are solved, mm: they are taken between these within 0.05 mm. The
/// knots of the table are some of them.
const SOLVED_MM: f64 = 2.0;
/// How many of these make a step of the table.
const A_STEP: i64 = (SHIFT_MM / SOLVED_MM) as i64;
/// At how many stations between knots the lies are kept.
const MOST_LAIN: usize = 8;

/// Groups of rules: what turning does not change, what it does, and what needs the bridging paths.
const LAIN: usize = 0;
const TURNED: usize = 1;
const PATHS: usize = 2;
const GROUPS: usize = 3;

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
    own: Own,
    table: Table,
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

/// What values at knots are read from.
#[derive(Clone, Debug)]
struct Own {
    case: Arc<Case>,
    anatomy: Arc<Anatomy>,
    grafts: Vec<PlacedGraft>,
    component: Component,
    /// The moved graft's place in the list of grafts.
    place: usize,
    footprints: Arc<Vec<Footprint>>,
    surveys: Vec<(String, Arc<Survey>)>,
    groups: [Group; GROUPS],
    /// Every way in which any graft may lie.
    ways: Vec<Possibility>,
    /// Which of the judged are unknown where the graft is drawn, and so left out.
    unknown: Vec<bool>,
    solved: BTreeMap<i64, Knot>,
    laying: Option<(i64, Laying)>,
    lain: Vec<(f64, PlacedGraft)>,
}

/// The graft as it lies at a knot, and the same evenly divided.
#[derive(Clone, Debug)]
struct Knot {
    placed: PlacedGraft,
    even: Option<PlacedGraft>,
}

/// Rules of one cost.
#[derive(Clone, Debug, PartialEq)]
struct Group {
    rules: Vec<Rule>,
    /// What must be computed for them.
    part: Part,
    /// What is judged by them: the rule's place in the list, and of what.
    each: Vec<(usize, String)>,
    /// The number of the first of these among all.
    first: usize,
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
        let part = |rule: &Rule| measure::find(&rule.measure).map_or(Part::Anatomy, |measure| measure.hangs_on);
        let round = moved.graft.as_ref().is_some_and(|graft| turning_changes_no_lie(graft));
        let group_of = |rule: &Rule| match part(rule) {
            Part::Anatomy | Part::Graft => None,
            Part::Lies if round => Some(LAIN),
            Part::Lies | Part::Tunnels | Part::Fabric => Some(TURNED),
            Part::Paths => Some(PATHS),
        };
        let mut own = Own {
            case: plan.case.clone(),
            anatomy,
            grafts: plan.grafts.clone(),
            component: moved.clone(),
            place,
            footprints: plan.fabric.footprints.clone(),
            surveys: plan.surveys.clone(),
            groups: [LAIN, TURNED, PATHS].map(|group| {
                let wanted = |rule: &&Rule| rule.required && group_of(rule) == Some(group);
                let rules: Vec<Rule> = plan.rules.iter().filter(wanted).cloned().collect();
                Group { part: rules.iter().map(part).max().unwrap_or(Part::Lies), rules, each: Vec::new(), first: 0 }
            }),
            ways: plan.possibilities(),
            unknown: Vec::new(),
            solved: BTreeMap::new(),
            laying: None,
            lain: Vec::new(),
        };
        let judged = own.find_judged(plan);
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
        own.unknown = judged.iter().map(|j| verdict(j).is_some_and(unknown)).collect();
        if own.unknown.iter().all(|unknown| *unknown) {
            let why = judged.iter().find_map(|j| verdict(j)?.why.clone()).unwrap_or_default();
            return Err(Unknown(message::room_unknown(&judged[0].rule, &judged[0].of, &why)));
        }
        let is_fixed = |v: &&Verdict| {
            v.required && v.word <= Word::Unknown && plan.rules.get(v.rule_index).is_some_and(|r| group_of(r).is_none())
        };
        let fixed = plan.verdicts.iter().filter(is_fixed).map(|v| (named(v), v.word));
        let left_out = judged.iter().zip(&own.unknown).filter(|(_, unknown)| **unknown);
        let barred = fixed.chain(left_out.map(|(judged, _)| (judged.clone(), Word::Unknown))).collect();
        let counted = judged.iter().zip(&own.unknown).filter(|(_, unknown)| !**unknown);
        let holds = counted.filter_map(|(j, _)| verdict(j)).all(|v| v.word >= Word::Borderline);
        let table = match before {
            Some(before) => own.take_over(before),
            None => Table::default(),
        };
        let drawn_graft = plan.grafts[place].clone();
        Ok(PlanTrial {
            muted: vec![false; judged.len()],
            own,
            table,
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
        (0..GROUPS).flat_map(|group| self.group(group, at)).collect()
    }

    /// The same of what needs no bridging path.
    pub fn each_quick(&mut self, at: Move) -> Vec<f64> {
        let all: Vec<f64> = (0..PATHS).flat_map(|group| self.group(group, at)).collect();
        all.into_iter().zip(&self.muted).map(left_out).collect()
    }

    /// Whether everything holds where each of the judged has its own move and is helped by so many of its
    /// errors. `moved` is asked with the number of one and whether its rule has a lower limit.
    pub fn hold_moved(&mut self, moved: impl Fn(usize, bool) -> (Move, f64)) -> bool {
        for group in 0..GROUPS {
            let Group { first, each, rules, .. } = &self.own.groups[group];
            let first = *first;
            let lower: Vec<bool> = each.iter().map(|(place, _)| rules[*place].at_least.is_some()).collect();
            let mut known: Option<(Move, Vec<f64>)> = None;
            for (k, lower) in lower.into_iter().enumerate() {
                let (at, by) = moved(first + k, lower);
                if known.as_ref().is_none_or(|(own, _)| *own != at) {
                    known = Some((at, self.group(group, at)));
                }
                let value = known.as_ref().and_then(|(_, values)| values.get(k)).copied().unwrap_or(f64::NAN);
                // What is unknown does not hold.
                if value.is_nan() || value + by < 0.0 {
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
        moved.drawn = Placement { station_mm, clock_deg: clock.to_deg(), ..self.drawn };
        moved
    }

    /// Takes over what a trial of the same plan has read.
    pub fn learn(&mut self, other: PlanTrial) {
        self.own.solved = other.own.solved;
        self.table = other.table;
    }

    /// The judged of one group at a move.
    fn group(&mut self, group: usize, at: Move) -> Vec<f64> {
        let (station_mm, clock) = self.place(at);
        let count = self.own.groups[group].each.len();
        if count == 0 {
            return Vec::new();
        }
        let values = self.table.values(group, station_mm, clock, &mut self.own);
        let ways = self.own.ways.len().max(1);
        let least = |values: &[f64]| -> Vec<f64> {
            values.chunks(ways).map(|all| all.iter().copied().reduce(lesser).unwrap_or(FAR_INSIDE)).collect()
        };
        let found = least(&values);
        let muted = &self.muted[self.own.groups[group].first..];
        if found.iter().zip(muted).all(|(value, muted)| *muted || value.is_finite()) {
            return found;
        }
        least(&self.own.there(group, station_mm, clock, None))
    }

    /// The least of a group.
    fn sample(&mut self, group: usize, at: Move) -> Sample {
        let first = self.own.groups[group].first;
        let values = self.group(group, at);
        let of = values.iter().enumerate().map(|(k, least)| Sample { least: *least, by: first + k });
        let counted = of.filter(|sample| !self.muted[sample.by]);
        counted.fold(Sample { least: f64::INFINITY, by: first }, Sample::and)
    }

    /// The least readings of measures at a move, over all ways the graft may lie: measure, of what, value.
    /// Paths and fabric are not computed for them.
    pub fn lengths(&mut self, at: Move, measures: &[&'static str]) -> Vec<(&'static str, String, Quantity)> {
        let (station_mm, clock) = self.place(at);
        // Where it is drawn the plan knows how it lies.
        let placed = match at == Move::default() {
            true => Some(self.drawn_graft.clone()),
            false => self.own.lie(station_mm).map(|placed| placed.turned_to(clock, &self.own.anatomy)),
        };
        let Some(placed) = placed else { return Vec::new() };
        self.own.grafts[self.own.place] = placed;
        let mut all = Vec::new();
        self.own.with_scope(Part::Tunnels, None, |scope| {
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
            self.exact = self.own.solve(station_mm).map(|placed| (station_mm, placed));
        }
        let Some((_, placed)) = &self.exact else { return vec![f64::NEG_INFINITY] };
        let placed = placed.turned_to(clock, &self.own.anatomy);
        let ways = self.own.ways.len().max(1);
        let mut all: Vec<f64> = Vec::new();
        for group in 0..GROUPS {
            if group == PATHS && all.iter().any(|value| *value < 0.0) {
                break;
            }
            let values = self.own.read(group, placed.clone(), None);
            all.extend(values.chunks(ways).map(|own| own.iter().copied().reduce(lesser).unwrap_or(FAR_INSIDE)));
        }
        all
    }

    /// The graft at a move: as it is taken between knots, and as it is solved there.
    pub fn lies_at(&mut self, at: Move) -> Option<[PlacedGraft; 2]> {
        let (station_mm, clock) = self.place(at);
        let (near, solved) = (self.own.lie(station_mm)?, self.own.solve(station_mm)?);
        let anatomy = &self.own.anatomy;
        Some([near.turned_to(clock, anatomy), solved.turned_to(clock, anatomy)])
    }
}

fn left_out((value, muted): (f64, &bool)) -> f64 {
    if *muted { FAR_INSIDE } else { value }
}

/// Of two numbers the lesser, and what is no number before any.
fn lesser(a: f64, b: f64) -> f64 {
    if a.is_nan() || b.is_nan() { f64::NAN } else { a.min(b) }
}

/// Whether turning the graft changes nothing that depends on its lie alone.
fn turning_changes_no_lie(graft: &Graft) -> bool {
    graft.scallops.is_empty() && graft.sections.iter().all(|section| section.offset_mm == 0.0)
}

impl Own {
    /// Lists what is judged, group by group.
    fn find_judged(&mut self, plan: &Plan) -> Vec<Judged> {
        let known = Ok(self.anatomy.clone());
        let scope = Scope {
            case: &plan.case,
            anatomy: &known,
            grafts: &plan.grafts,
            tunnels: &plan.tunnels,
            stents: &plan.stents,
            fabric: &plan.fabric,
            surveys: &plan.surveys,
        };
        let mut judged = Vec::new();
        for group in &mut self.groups {
            group.first = judged.len();
            let each = &mut group.each;
            verdict::read(&scope, &group.rules, |place, rule, of, _| {
                each.push((place, of.to_owned()));
                judged.push(Judged { rule: rule.id.clone(), of: of.into(), measure: rule.measure.clone() });
            });
        }
        judged
    }

    /// Takes over what a trial of another placement, or of other tunnels, has found.
    fn take_over(&mut self, before: PlanTrial) -> Table {
        let mut was = before.own;
        let still = |own: &Own| {
            let mut case = (*own.case).clone();
            for component in case.components.iter_mut().filter(|c| c.id == own.component.id) {
                component.placement = component.placement.map(|p| Placement { station_mm: 0.0, clock_deg: 0.0, ..p });
            }
            case
        };
        let (now, then) = (still(self), still(&was));
        if now == then && self.component.id == was.component.id {
            self.solved = was.solved;
            self.laying = was.laying.take();
            self.lain = was.lain;
            return if self.unknown == was.unknown { before.table } else { Table::default() };
        }
        let lies_alike = || {
            let (now, then) = (self.component.graft.as_ref()?, was.component.graft.as_ref()?);
            let held = |own: &Own| own.component.placement.map(|p| p.held_u_mm);
            let case = |own: &Own| (own.case.push.clone(), own.case.wire.clone(), own.case.clock.clone());
            let alike = crate::graft::lie::same_shape(now, then)
                && held(self) == held(&was)
                && case(self) == case(&was)
                && Arc::ptr_eq(&self.anatomy, &was.anatomy);
            alike.then(|| now.clone())
        };
        if let Some(graft) = lies_alike() {
            let other = |placed: &PlacedGraft| placed.with_graft(&self.component.id, graft.clone());
            let knots = was.solved.into_iter();
            self.solved = knots
                .map(|(k, knot)| (k, Knot { placed: other(&knot.placed), even: knot.even.as_ref().map(other) }))
                .collect();
        }
        Table::default()
    }

    fn put(&self, station_mm: f64) -> Component {
        let placement = self.component.placement.map(|p| Placement { station_mm, clock_deg: 0.0, ..p });
        Component { placement, ..self.component.clone() }
    }

    /// The graft solved at a station.
    fn solve(&self, station_mm: f64) -> Option<PlacedGraft> {
        let mut laying = Laying::of(&self.put(station_mm), &self.case)?;
        loop {
            if let Some(placed) = laying.go_on(&self.anatomy) {
                return Some(placed);
            }
        }
    }

    /// Solves one more possibility at a knot; says whether all of them are.
    fn solve_knot(&mut self, knot: i64) -> bool {
        if self.solved.contains_key(&knot) {
            return true;
        }
        let begun = self.laying.take().filter(|(at, _)| *at == knot).map(|(_, laying)| laying);
        let Some(mut laying) = begun.or_else(|| Laying::of(&self.put(knot as f64 * SOLVED_MM), &self.case)) else {
            return true;
        };
        match laying.go_on(&self.anatomy) {
            Some(placed) => {
                let even = placed.evenly();
                self.solved.insert(knot, Knot { placed, even });
                true
            }
            None => {
                self.laying = Some((knot, laying));
                false
            }
        }
    }

    fn knot(&mut self, knot: i64) -> Option<&Knot> {
        while !self.solve_knot(knot) {}
        self.solved.get(&knot)
    }

    /// The graft at a station, between knots.
    fn lie(&mut self, station_mm: f64) -> Option<PlacedGraft> {
        if let Some((_, known)) = self.lain.iter().find(|(at, _)| *at == station_mm) {
            return Some(known.clone());
        }
        let (second, share) = table::between(station_mm, SOLVED_MM);
        for by in -1..=2 {
            self.knot(second + by);
        }
        let even = |by: i64| self.solved.get(&(second + by)).and_then(|knot| knot.even.as_ref());
        let four = even(-1).zip(even(0)).zip(even(1)).zip(even(2));
        let between = four.and_then(|(((a, b), c), d)| PlacedGraft::between([a, b, c, d], share, &self.anatomy));
        // Near an end of the data there is nothing to take it between.
        let placed = between.or_else(|| self.solve(station_mm))?;
        if self.lain.len() >= MOST_LAIN {
            self.lain.remove(0);
        }
        self.lain.push((station_mm, placed.clone()));
        Some(placed)
    }

    /// Values of a group at a placement itself, by lies taken between knots; of one of the judged alone
    /// where only that is wanted.
    fn there(&mut self, group: usize, station_mm: f64, clock: Angle, only: Option<usize>) -> Vec<f64> {
        match self.lie(station_mm) {
            Some(placed) => self.read(group, placed.turned_to(clock, &self.anatomy.clone()), only),
            None => vec![f64::NEG_INFINITY; self.groups[group].each.len() * self.ways.len().max(1)],
        }
    }

    /// Reads the rules of a group where the graft now lies, computing no more than they need: for each of
    /// the judged in each way the graft may lie, how far inside it is, in its own error. Negative
    /// infinity where it is unknown.
    fn read(&mut self, group: usize, placed: PlacedGraft, only: Option<usize>) -> Vec<f64> {
        self.grafts[self.place] = placed;
        let Group { rules, part, each, first } = &self.groups[group];
        // One of the judged: its own rule for its own subject.
        let wanted = only.and_then(|by| each.get(by.checked_sub(*first)?));
        let narrowed = wanted.map(|(place, of)| Rule { of: of.clone(), ..rules[*place].clone() });
        let rules = narrowed.as_ref().map_or(&rules[..], std::slice::from_ref);
        let ways = self.ways.len().max(1);
        let mut values = vec![FAR_INSIDE; each.len() * ways];
        let of = wanted.map(|(_, of)| of.as_str());
        self.with_scope(*part, of, |scope| {
            verdict::read(scope, rules, |place, rule, of, found| {
                let place = wanted.map_or(place, |(own, _)| *own);
                let Some(k) = each.iter().position(|(own, subject)| *own == place && subject == of) else { return };
                if self.unknown.get(first + k).copied().unwrap_or(false) {
                    return;
                }
                let own = &mut values[k * ways..(k + 1) * ways];
                match found {
                    Found::OtherWall => {}
                    Found::Missing(_) => own.fill(f64::NEG_INFINITY),
                    Found::Readings(_, readings) if readings.is_empty() => own.fill(f64::NEG_INFINITY),
                    Found::Readings(_, readings) => {
                        for reading in &readings {
                            let inside = match &reading.value {
                                Quantity::Known { value, error, .. } => verdict::margin(rule, *value)
                                    .filter(|margin| margin.is_finite())
                                    .map_or(f64::NEG_INFINITY, |margin| margin / error.max(LEAST_ERROR)),
                                Quantity::Unknown { .. } => f64::NEG_INFINITY,
                            };
                            match reading.possibility.and_then(|p| self.ways.iter().position(|way| *way == p)) {
                                Some(way) => own[way] = own[way].min(inside),
                                None => own.iter_mut().for_each(|value| *value = value.min(inside)),
                            }
                        }
                    }
                }
            })
        });
        values
    }

    /// Computes where the grafts now lie what a part needs, of one tunnel alone where only that is
    /// wanted, and hands it over.
    fn with_scope(&self, part: Part, only: Option<&str>, does: impl FnOnce(&Scope<'_>)) {
        let (sd, anatomy) = (self.case.errors.diameter_sd_mm, &self.anatomy);
        let paths = if part == Part::Paths { Paths::Found } else { Paths::Left };
        let tunnels: Vec<TunnelResult> = match part >= Part::Tunnels {
            true => {
                let only = only.filter(|_| part != Part::Fabric);
                self.grafts.iter().flat_map(|placed| tunnel::some(placed, anatomy, sd, paths, only)).collect()
            }
            false => Vec::new(),
        };
        let stents = match paths {
            Paths::Found => plan::stents(&self.case, &self.grafts, &tunnels),
            Paths::Left => Vec::new(),
        };
        let fabric = match part == Part::Fabric {
            true => FabricInPlace::of(&self.case, anatomy, &self.grafts, &self.ways, Some(self.footprints.clone())),
            false => FabricInPlace::default(),
        };
        let known = Ok(anatomy.clone());
        does(&Scope {
            case: &self.case,
            anatomy: &known,
            grafts: &self.grafts,
            tunnels: &tunnels,
            stents: &stents,
            fabric: &fabric,
            surveys: &self.surveys,
        });
    }
}

impl Source for Own {
    fn turns(&self, group: usize) -> bool {
        group != LAIN
    }

    fn at_knot(&mut self, group: usize, station: i64, clock: usize) -> Row {
        let clock = Angle::deg(360.0 / CLOCKS as f64 * clock as f64).wrapped();
        let anatomy = self.anatomy.clone();
        match self.knot(station * A_STEP).map(|knot| knot.placed.turned_to(clock, &anatomy)) {
            Some(placed) => self.read(group, placed, None).into(),
            None => vec![f64::NEG_INFINITY; self.groups[group].each.len() * self.ways.len().max(1)].into(),
        }
    }
}

impl Trial for PlanTrial {
    fn at(&mut self, at: Move) -> Sample {
        let mut sample = Sample { least: f64::INFINITY, by: 0 };
        for group in 0..GROUPS {
            if !self.own.groups[group].each.is_empty() {
                sample = sample.and(self.sample(group, at));
            }
            // Where the quicker part fails the rest is not asked.
            if sample.least < 0.0 {
                break;
            }
        }
        // Where it is drawn the plan's own verdicts count.
        if at == Move::default() && !self.muted.contains(&true) {
            sample.least = if self.holds { sample.least.max(0.0) } else { sample.least.min(-f64::EPSILON) };
        }
        sample
    }

    fn ready(&mut self, at: Move, anew: bool) -> bool {
        let (station_mm, clock) = self.place(at);
        let (second, step) = match anew {
            true => (table::between(station_mm, SOLVED_MM).0, 1),
            false => (table::between(station_mm, SHIFT_MM).0 * A_STEP, A_STEP),
        };
        if (-1..=2).any(|by| !self.own.solve_knot(second + by * step)) {
            return false;
        }
        if anew {
            return true;
        }
        for group in 0..GROUPS {
            if self.own.groups[group].each.is_empty() {
                continue;
            }
            if !self.table.ready(group, station_mm, clock, &mut self.own) {
                return false;
            }
            if self.sample(group, at).least < 0.0 {
                break;
            }
        }
        true
    }

    fn anew(&mut self, at: Move, by: usize) -> Option<f64> {
        let (station_mm, clock) = self.place(at);
        let group = self.own.groups.iter().position(|group| by < group.first + group.each.len())?;
        let values = self.own.there(group, station_mm, clock, Some(by));
        let ways = self.own.ways.len().max(1);
        let own = values.chunks(ways).nth(by.checked_sub(self.own.groups[group].first)?)?;
        own.iter().copied().reduce(lesser)
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
