//! What the required rules say of a graft wherever it lies, group by group of what they cost, computing no
//! more than they need.
//!
//! Other grafts stay where they are. Knows no grid: where the graft lies is handed in, or asked of [`Lies`].

use super::lies::Lies;
use super::ration::{ONE, READING, Ration};
use super::table::{Asked, Row, Source};
use super::trial::Judged;
use crate::anatomy::Anatomy;
use crate::casefile::case::{Case, Component, Graft, Placement, Rule};
use crate::graft::buildable::Survey;
use crate::graft::lie::{PlacedGraft, Possibility};
use crate::placement::fabric::FabricInPlace;
use crate::placement::footprint::Footprint;
use crate::placement::tunnel::{self, Paths, TunnelResult};
use crate::plan::{self, Plan};
use crate::quantity::Quantity;
use crate::rules::measure::{self, Part, Scope};
use crate::rules::verdict::{self, Found};
use crate::units::Angle;
use std::sync::Arc;

/// What an error of nothing counts as, so that margins can be counted in it.
pub const LEAST_ERROR: f64 = 1e-3;
/// How far inside lies what a rule does not concern.
const FAR_INSIDE: f64 = 1e6;

/// Groups of rules: what turning does not change, what it does, and what needs the bridging paths.
const LAIN: usize = 0;
const TURNED: usize = 1;
pub const PATHS: usize = 2;
pub const GROUPS: usize = 3;

/// Reads the rules of a plan where one of its grafts lies elsewhere.
#[derive(Clone, Debug)]
pub struct Reader {
    case: Arc<Case>,
    pub anatomy: Arc<Anatomy>,
    grafts: Vec<PlacedGraft>,
    component: Component,
    /// The moved graft's place in the list of grafts.
    place: usize,
    footprints: Arc<Vec<Footprint>>,
    surveys: Vec<(String, Arc<Survey>)>,
    pub groups: [Group; GROUPS],
    /// Every way in which any graft may lie.
    ways: Vec<Possibility>,
    /// Which of the judged are unknown where the graft is drawn, and so left out.
    pub unknown: Vec<bool>,
    /// How the moved graft lies.
    pub lies: Lies,
    /// What this piece may still do.
    pub ration: Ration,
}

/// Rules of one cost.
#[derive(Clone, Debug, PartialEq)]
pub struct Group {
    pub rules: Vec<Rule>,
    /// What must be computed for them.
    part: Part,
    /// What is judged by them: the rule's place in the list, and of what.
    pub each: Vec<(usize, String)>,
    /// The number of the first of these among all.
    pub first: usize,
}

/// The group of a rule; `None` where no placement changes what it says.
pub fn group_of(rule: &Rule, graft: &Graft) -> Option<usize> {
    match part(rule) {
        Part::Anatomy | Part::Graft => None,
        Part::Lies if turning_changes_no_lie(graft) => Some(LAIN),
        Part::Lies | Part::Tunnels | Part::Fabric => Some(TURNED),
        Part::Paths => Some(PATHS),
    }
}

fn part(rule: &Rule) -> Part {
    measure::find(&rule.measure).map_or(Part::Anatomy, |measure| measure.hangs_on)
}

/// Whether turning the graft changes nothing that depends on its lie alone.
fn turning_changes_no_lie(graft: &Graft) -> bool {
    graft.scallops.is_empty() && graft.sections.iter().all(|section| section.offset_mm == 0.0)
}

/// Of two numbers the lesser; what is none before any, then what is no number, unless another fails.
pub fn lesser(a: f64, b: f64) -> f64 {
    match (a.is_nan(), b.is_nan()) {
        (true, false) if b >= 0.0 => a,
        (false, true) if a >= 0.0 => b,
        _ => a.min(b),
    }
}

impl Reader {
    /// Of a plan whose graft in that place is moved, and what is judged.
    pub fn of(plan: &Plan, anatomy: Arc<Anatomy>, place: usize, moved: &Component) -> (Self, Vec<Judged>) {
        let group = |rule: &Rule| moved.graft.as_deref().and_then(|graft| group_of(rule, graft));
        let mut reader = Reader {
            case: plan.case.clone(),
            grafts: plan.grafts.clone(),
            component: moved.clone(),
            place,
            footprints: plan.fabric.footprints.clone(),
            surveys: plan.surveys.clone(),
            groups: [LAIN, TURNED, PATHS].map(|own| {
                let wanted = |rule: &&Rule| rule.required && group(rule) == Some(own);
                let rules: Vec<Rule> = plan.rules.iter().filter(wanted).cloned().collect();
                Group { part: rules.iter().map(part).max().unwrap_or(Part::Lies), rules, each: Vec::new(), first: 0 }
            }),
            ways: plan.possibilities(),
            unknown: Vec::new(),
            lies: Lies::of(moved, plan.case.clone(), anatomy.clone()),
            ration: Ration::ENDLESS,
            anatomy,
        };
        let judged = reader.find_judged(plan);
        (reader, judged)
    }

    /// Takes over how the graft lies from a reader of another placement, or of other tunnels; says whether
    /// what was read there holds here too.
    pub fn take_over(&mut self, before: Reader) -> bool {
        let still = |own: &Reader| {
            let mut case = (*own.case).clone();
            for component in case.components.iter_mut().filter(|c| c.id == own.component.id) {
                component.placement = component.placement.map(|p| Placement { station_mm: 0.0, clock_deg: 0.0, ..p });
            }
            case
        };
        if still(self) == still(&before) && self.component.id == before.component.id {
            self.lies.take_over(before.lies);
            return self.unknown == before.unknown;
        }
        self.lies.take_over_shape(before.lies);
        false
    }

    /// The group of one of the judged, and its place in that.
    pub fn place_of(&self, by: usize) -> Option<(usize, usize)> {
        let group = self.groups.iter().position(|group| by < group.first + group.each.len())?;
        Some((group, by - self.groups[group].first))
    }

    /// How many values there are of each of the judged: the ways in which it may lie.
    pub fn ways(&self) -> usize {
        self.ways.len().max(1)
    }

    /// The least over all ways of values of one of the judged.
    pub fn least(values: &[f64]) -> f64 {
        values.iter().copied().reduce(lesser).unwrap_or(FAR_INSIDE)
    }

    /// One of the judged at a placement itself, by lies taken between knots.
    pub fn one(&mut self, by: usize, station_mm: f64, clock: Angle) -> Option<f64> {
        let placed = self.lies.between(station_mm, &mut self.ration)?;
        self.ration.take(ONE)?;
        let (Some(placed), Some((group, k))) = (placed, self.place_of(by)) else { return Some(f64::NEG_INFINITY) };
        let values = self.read(group, placed.turned_to(clock, &self.anatomy.clone()), Some(by));
        let ways = self.ways();
        Some(Self::least(&values[k * ways..(k + 1) * ways]))
    }

    /// Hands over what tunnels give where the graft lies there: neither paths nor fabric.
    pub fn with_tunnels(&mut self, placed: PlacedGraft, does: impl FnOnce(&Scope<'_>)) {
        self.grafts[self.place] = placed;
        self.with_scope(Part::Tunnels, None, does);
    }

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

    /// Reads the rules of a group where the graft now lies, computing no more than they need: for each of
    /// the judged in each way the graft may lie, how far inside it is, in its own error. Negative
    /// infinity where it is unknown.
    pub fn read(&mut self, group: usize, placed: PlacedGraft, only: Option<usize>) -> Vec<f64> {
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

impl Source for Reader {
    fn turns(&self, asked: Asked) -> bool {
        asked.level > 0 || asked.of != LAIN
    }

    fn at_knot(&mut self, asked: Asked, station: i64, clock: usize) -> Option<Row> {
        let station_mm = station as f64 * super::table::SHIFT_MM / f64::from(asked.parts());
        let clock = Angle::deg(360.0 / asked.clocks() as f64 * clock as f64).wrapped();
        let placed = self.lies.at(station_mm, &mut self.ration)?;
        self.ration.take(if asked.level == 0 { READING } else { ONE })?;
        let placed = placed.map(|placed| placed.turned_to(clock, &self.anatomy));
        let ways = self.ways();
        Some(match (asked.level, self.place_of(asked.of)) {
            (0, _) => match placed {
                Some(placed) => self.read(asked.of, placed, None).into(),
                None => vec![f64::NEG_INFINITY; self.groups[asked.of].each.len() * ways].into(),
            },
            (_, Some((group, k))) => match placed {
                Some(placed) => self.read(group, placed, Some(asked.of))[k * ways..(k + 1) * ways].into(),
                None => vec![f64::NEG_INFINITY; ways].into(),
            },
            (_, None) => vec![f64::NEG_INFINITY; ways].into(),
        })
    }
}
