//! A graft's tunnels made for an arch: where on the graft their mouths lie, in a maker's steps.
//!
//! Each tunnel by itself is put on every step within reach; of what its rules leave, the place farthest from
//! their limits is the best, counted in errors of the landing. Then the best places that can be built
//! together are taken: the least of them as large as it can be. The graft stays where it is drawn, and its
//! fabric as it is; bodies are shortened where only that lets them be built.

use crate::anatomy::Anatomy;
use crate::bridging::path::NoPath;
use crate::bridging::stent::OVERLAP_MM;
use crate::casefile::case::{Graft, Rule, Tunnel};
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

/// Making tunnels, a row of places at a time.
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
    /// Places of the tunnel that is looked at, and how many rows of them are tried.
    now: Vec<Place>,
    rows: usize,
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
            now: Vec::new(),
            rows: 0,
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
                        own = own.min(margin / unit.max(1e-9));
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

    /// Tries one more row of places; says whether all tunnels are done.
    fn row(&mut self) -> bool {
        let (Some(tunnel), Some(steps)) = (self.graft.tunnels.get(self.places.len()).cloned(), &self.graft.maker_steps)
        else {
            return true;
        };
        let (step_mm, step_deg) = (steps.u_mm.max(0.1), steps.clock_deg.max(0.1));
        let snapped = |value: f64, step: f64| (value / step).round() * step;
        let count = (2.0 * REACH.shift_mm / step_mm).floor() as usize;
        if self.rows <= count {
            let u_mm = snapped(tunnel.mouth_u_mm - REACH.shift_mm, step_mm) + self.rows as f64 * step_mm;
            let around = (REACH.turn_deg / step_deg).floor() as i32;
            for k in -around..=around {
                let clock = snapped(tunnel.mouth_clock_deg, step_deg) + f64::from(k) * step_deg;
                let clock_deg = Angle::deg(clock).wrapped().to_deg();
                let there = Tunnel { mouth_u_mm: u_mm, mouth_clock_deg: clock_deg, ..tunnel.clone() };
                if (0.0..=self.graft.length_mm).contains(&u_mm)
                    && let Some(inside) = self.inside(&there, Paths::Left)
                {
                    self.now.push(Place { u_mm, clock_deg, inside });
                }
            }
            self.rows += 1;
            return false;
        }
        let mut all = std::mem::take(&mut self.now);
        all.sort_by(|a, b| b.inside.total_cmp(&a.inside));
        // Every other step along is enough to choose among; the best stays whatever its step.
        let best = all.first().copied();
        let apart =
            |place: &Place| best.is_some_and(|best| ((place.u_mm - best.u_mm) / step_mm).round() as i64 % 2 == 0);
        all.retain(apart);
        let joined = |place: &Place| {
            let there = Tunnel { mouth_u_mm: place.u_mm, mouth_clock_deg: place.clock_deg, ..tunnel.clone() };
            self.inside(&there, Paths::Found).is_some()
        };
        all = all.into_iter().filter(joined).take(MOST_PLACES).collect();
        self.places.push(all);
        self.rows = 0;
        false
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

    /// The best places that can be built together: the least of them as far inside as can be, then the next.
    fn together(&self, chosen: &mut Vec<Place>, most_mm: f64, best: &mut Option<(f64, Vec<Place>)>) {
        let least = chosen.iter().map(|place| place.inside).fold(f64::INFINITY, f64::min);
        if best.as_ref().is_some_and(|(known, _)| least <= *known + 1e-9) {
            return;
        }
        if !chosen.is_empty() && buildable::survey(&self.with(chosen, most_mm)).buildable != Buildable::Yes {
            return;
        }
        let Some(places) = self.places.get(chosen.len()) else {
            *best = Some((least, chosen.clone()));
            return;
        };
        for place in places {
            chosen.push(*place);
            self.together(chosen, most_mm, best);
            chosen.pop();
        }
    }

    fn made(&self) -> Result<Graft, Unknown> {
        for (tunnel, places) in self.graft.tunnels.iter().zip(&self.places) {
            if places.is_empty() {
                return Err(Unknown(message::no_place_for_tunnel(&tunnel.serves)));
            }
        }
        // As long as they are, then no longer than a stent needs.
        for most_mm in [f64::INFINITY, OVERLAP_MM] {
            let mut best = None;
            self.together(&mut Vec::new(), most_mm, &mut best);
            if let Some((_, chosen)) = best {
                return Ok(self.with(&chosen, most_mm));
            }
        }
        Err(Unknown::because(message::NOT_BUILT_TOGETHER))
    }
}

impl Task for Designing {
    type Output = Result<Graft, Unknown>;

    fn advance(&mut self, operations: u64) -> Progress<Self::Output> {
        for _ in 0..operations.max(1) {
            if self.row() {
                return Progress::Done(self.made());
            }
        }
        Progress::Working { done: self.places.len() as u64, of: self.graft.tunnels.len() as u64 + 1 }
    }
}
