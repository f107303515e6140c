//! A graft's tunnels made for an arch: where on the graft their mouths lie, in a maker's steps.
//!
//! Each tunnel by itself is put on every step within reach; of what its rules leave, the place farthest from
//! their limits is the best, counted in errors of the landing. Then the best places that can be built
//! together are taken: the least of them as large as it can be. The graft stays where it is drawn, and its
//! fabric as it is; bodies are shortened where only that lets them be built.

use super::choosing::Choosing;
use crate::anatomy::Anatomy;
use crate::bridging::path::NoPath;
use crate::bridging::stent::OVERLAP_MM;
use crate::casefile::case::{Graft, MakerSteps, Rule, Tunnel};
use crate::graft::buildable::{self, Buildable};
use crate::graft::lie::PlacedGraft;
use crate::message;
use crate::placement::fabric::FabricInPlace;
use crate::placement::tunnel::{self, Paths};
use crate::plan::Plan;
use crate::quantity::{Quantity, Unknown};
use crate::room::landing;
use crate::room::plane::Move;
use crate::rules::measure::{self, Part, Scope};
use crate::rules::verdict::{self, Found};
use crate::task::{Progress, Task};
use crate::units::Angle;
use std::sync::Arc;

/// How far along and around a mouth may be moved.
const REACH: Move = Move { shift_mm: 40.0, turn_deg: 60.0 };
/// What all margins together count beside the least of them.
const LITTLE: f64 = 1e-3;
/// Places of each tunnel that are tried together.
const MOST_PLACES: usize = 60;

/// Where a mouth could lie.
#[derive(Clone, Copy, Debug, PartialEq)]
struct Place {
    u_mm: f64,
    clock_deg: f64,
    /// How far inside all limits, in errors of the landing.
    inside: f64,
}

/// Making tunnels, a row of places or a look at a time.
#[derive(Debug)]
pub struct Designing {
    plan: Plan,
    anatomy: Arc<Anatomy>,
    /// Where the graft is drawn.
    drawn: PlacedGraft,
    graft: Graft,
    rules: Vec<Rule>,
    axes: Move,
    /// Places found for the tunnels that are done.
    places: Vec<Vec<Place>>,
    stage: Stage,
}

#[derive(Debug)]
enum Stage {
    /// Places of one tunnel within its limits, and how many rows of them are tried.
    Rows(Vec<Place>, usize),
    /// Of those, the best last, the ones that a bridging path reaches.
    Reached(Vec<Place>, Vec<Place>),
    /// All tunnels together, their bodies no longer than so much.
    Together(Choosing, f64),
}

impl Designing {
    /// For a component's graft where it is drawn.
    ///
    /// # Errors
    /// What is missing.
    pub fn of(plan: &Plan, component: &str) -> Result<Self, Unknown> {
        let anatomy = plan.anatomy.clone()?;
        let drawn = plan.grafts.iter().find(|own| own.component == component);
        let drawn = drawn.ok_or(Unknown::because(message::NOT_PLACED))?.clone();
        let graft = (*drawn.graft).clone();
        if graft.tunnels.is_empty() {
            return Err(Unknown::because(message::NO_TUNNEL));
        }
        if graft.maker_steps.is_none() {
            return Err(Unknown::because(message::NO_MAKER_STEPS));
        }
        let about = |rule: &&Rule| {
            let part = measure::find(&rule.measure).map(|measure| measure.hangs_on);
            rule.required && rule.measure.starts_with("tunnel.") && part.is_some_and(|part| part != Part::Fabric)
        };
        let rules = plan.rules.iter().filter(about).cloned().collect();
        let axes = landing(&plan.case);
        Ok(Designing {
            plan: plan.clone(),
            anatomy,
            drawn,
            graft,
            rules,
            axes,
            places: Vec::new(),
            stage: Stage::Rows(Vec::new(), 0),
        })
    }

    /// How far inside its limits one tunnel lies, the least over all ways the graft may lie; `None` where
    /// it is outside one, or where that is unknown. Limits that no place mends are left to the verdicts.
    fn inside(&self, tunnel: &Tunnel, paths: Paths) -> Option<f64> {
        let graft = Graft { tunnels: vec![tunnel.clone()], ..self.graft.clone() };
        let placed = self.drawn.with_graft(&self.drawn.component, Arc::new(graft));
        let sd = self.plan.case.errors.diameter_sd_mm;
        let tunnels = tunnel::tunnels(&placed, &self.anatomy, sd, paths);
        let (grafts, anatomy) = ([placed], Ok(self.anatomy.clone()));
        let scope = Scope {
            case: &self.plan.case,
            anatomy: &anatomy,
            grafts: &grafts,
            tunnels: &tunnels,
            stents: &[],
            fabric: &FabricInPlace::default(),
            surveys: &[],
        };
        // The least of all decides; where it is the same, what the others leave.
        let (mut least, mut all) = (f64::INFINITY, 0.0);
        verdict::read(&scope, &self.rules, |_, rule, of, found| {
            let Found::Readings(measure, readings) = found else { return };
            let asked = (measure.hangs_on == Part::Paths) == (paths == Paths::Found);
            if of != tunnel.id || !asked {
                return;
            }
            let unit = if measure.unit == "deg" { self.axes.turn_deg } else { self.axes.shift_mm };
            let mut own = f64::INFINITY;
            for reading in readings {
                match &reading.value {
                    Quantity::Known { value, .. } => {
                        let margin = verdict::margin(rule, *value).unwrap_or(f64::INFINITY);
                        own = own.min(margin / unit);
                    }
                    Quantity::Unknown { why } => {
                        let fails = paths == Paths::Left || NoPath::ALL.iter().any(|none| none.why() == why);
                        own = if fails { f64::NEG_INFINITY } else { own };
                    }
                }
            }
            least = least.min(own);
            all += if own.is_finite() { own } else { 0.0 };
        });
        (least >= 0.0).then_some(least + LITTLE * all)
    }

    /// Tries one more row of places of a tunnel, or sorts what was found.
    fn row(&self, tunnel: &Tunnel, steps: &MakerSteps, mut found: Vec<Place>, row: usize) -> Stage {
        let (step_mm, step_deg) = (steps.u_mm.max(0.1), steps.clock_deg.max(0.1));
        let snapped = |value: f64, step: f64| (value / step).round() * step;
        if row <= (2.0 * REACH.shift_mm / step_mm).floor() as usize {
            let u_mm = snapped(tunnel.mouth_u_mm - REACH.shift_mm, step_mm) + row as f64 * step_mm;
            let around = (REACH.turn_deg / step_deg).floor() as i32;
            for k in -around..=around {
                let clock = snapped(tunnel.mouth_clock_deg, step_deg) + f64::from(k) * step_deg;
                let clock_deg = Angle::deg(clock).wrapped().to_deg();
                let there = Tunnel { mouth_u_mm: u_mm, mouth_clock_deg: clock_deg, ..tunnel.clone() };
                if (0.0..=self.graft.length_mm).contains(&u_mm)
                    && let Some(inside) = self.inside(&there, Paths::Left)
                {
                    found.push(Place { u_mm, clock_deg, inside });
                }
            }
            return Stage::Rows(found, row + 1);
        }
        found.sort_by(|a, b| b.inside.total_cmp(&a.inside));
        // Every other step along is enough to choose among; the best stays whatever its step.
        let best = found.first().copied();
        let apart =
            |place: &Place| best.is_some_and(|best| ((place.u_mm - best.u_mm) / step_mm).round() as i64 % 2 == 0);
        found.retain(apart);
        found.reverse();
        Stage::Reached(found, Vec::new())
    }

    /// Goes on a little; what came of it when all is done.
    fn step(&mut self) -> Option<Result<Graft, Unknown>> {
        let tunnel = self.graft.tunnels.get(self.places.len()).cloned();
        let steps = self.graft.maker_steps.clone();
        let stage = std::mem::replace(&mut self.stage, Stage::Rows(Vec::new(), 0));
        self.stage = match (stage, tunnel.zip(steps)) {
            (Stage::Rows(found, row), Some((tunnel, steps))) => self.row(&tunnel, &steps, found, row),
            (Stage::Rows(..), None) => Stage::Together(Choosing::default(), f64::INFINITY),
            (Stage::Reached(mut left, mut reached), Some((tunnel, _))) => match left.pop() {
                Some(place) if reached.len() < MOST_PLACES => {
                    let there = Tunnel { mouth_u_mm: place.u_mm, mouth_clock_deg: place.clock_deg, ..tunnel.clone() };
                    reached.extend(self.inside(&there, Paths::Found).map(|_| place));
                    Stage::Reached(left, reached)
                }
                _ if reached.is_empty() => return Some(Err(Unknown(message::no_place_for_tunnel(&tunnel.serves)))),
                _ => {
                    self.places.push(reached);
                    Stage::Rows(Vec::new(), 0)
                }
            },
            (Stage::Reached(..), None) => Stage::Together(Choosing::default(), f64::INFINITY),
            (Stage::Together(mut choosing, most_mm), _) => {
                let worths: Vec<Vec<f64>> =
                    self.places.iter().map(|own| own.iter().map(|place| place.inside).collect()).collect();
                let made = |chosen: &[usize]| {
                    let places: Vec<Place> = chosen.iter().zip(&self.places).map(|(k, own)| own[*k]).collect();
                    self.with(&places, most_mm)
                };
                let together = |chosen: &[usize]| buildable::survey(&made(chosen)).buildable == Buildable::Yes;
                match (choosing.go_on(&worths, together), choosing.best()) {
                    (false, _) => Stage::Together(choosing, most_mm),
                    (true, Some(best)) => return Some(Ok(made(best))),
                    // As long as they are, then no longer than a stent needs.
                    (true, None) if most_mm > OVERLAP_MM => Stage::Together(Choosing::default(), OVERLAP_MM),
                    (true, None) => return Some(Err(Unknown::because(message::NOT_BUILT_TOGETHER))),
                }
            }
        };
        None
    }

    /// The graft with a tunnel at a place, its body no longer than asked for.
    fn with(&self, chosen: &[Place], most_mm: f64) -> Graft {
        let mut graft = self.graft.clone();
        graft.tunnels.truncate(chosen.len());
        for (tunnel, place) in graft.tunnels.iter_mut().zip(chosen) {
            tunnel.mouth_u_mm = place.u_mm;
            tunnel.mouth_clock_deg = place.clock_deg;
            tunnel.length_mm = tunnel.length_mm.map(|mm| mm.min(most_mm.max(OVERLAP_MM)));
        }
        for marker in &mut graft.markers {
            let own = self
                .graft
                .tunnels
                .iter()
                .position(|t| t.mouth_u_mm == marker.u_mm && t.mouth_clock_deg == marker.clock_deg);
            if let Some(place) = own.and_then(|own| chosen.get(own)) {
                (marker.u_mm, marker.clock_deg) = (place.u_mm, place.clock_deg);
            }
        }
        graft
    }
}

impl Task for Designing {
    type Output = Result<Graft, Unknown>;

    fn advance(&mut self, operations: u64) -> Progress<Self::Output> {
        for _ in 0..operations.max(1) {
            if let Some(made) = self.step() {
                return Progress::Done(made);
            }
        }
        Progress::Working { done: self.places.len() as u64, of: self.graft.tunnels.len() as u64 + 1 }
    }
}
