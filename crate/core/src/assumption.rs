//! Which assumption matters for a plan: how much hangs on each, all else equal.
//!
//! Nobody knows how the graft lies, which of its lines keeps its length and how the wire points at the
//! annulus. The first two are the possibilities, which every plan holds. The wire's direction is typed
//! with a range, a cone about it: the plan is made again for four wires on the cone's edge, which is
//! long work and a task. Rules are judged with the wire as typed; what changes over the range is said
//! beside them. Knows no words.

use crate::casefile::Case;
use crate::casefile::case::Wire;
use crate::graft::lie::Possibility;
use crate::message;
use crate::placement::tunnel::TunnelResult;
use crate::plan::Plan;
use crate::quantity::Unknown;
use crate::rules::verdict::{Verdict, Word};
use crate::task::{Progress, Task};
use crate::units::Angle;
use serde::Serialize;
use std::sync::Arc;

/// Something that is assumed.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Assumption {
    /// How the graft lies in the lumen.
    Lie,
    /// Which line keeps its length.
    LengthKeptBy,
    /// How the wire points at the annulus.
    WireTilt,
}

/// How much hangs on an assumption.
#[derive(Clone, Debug, PartialEq)]
pub struct Weight {
    /// Verdicts that change with it.
    pub changes: Vec<Change>,
    /// The largest change of an edge clearance, mm.
    pub clearance_mm: Option<Largest>,
    /// The largest change of a clock error, degrees.
    pub clock_deg: Option<Largest>,
}

impl Weight {
    /// How many of the verdicts that change are of rules that the plan needs.
    pub fn required(&self) -> usize {
        self.changes.iter().filter(|change| change.required).count()
    }
}

/// A verdict that changes.
#[derive(Clone, Debug, PartialEq)]
pub struct Change {
    /// Place of the rule in the list of rules in force.
    pub rule_index: usize,
    /// Of what.
    pub of: String,
    /// Whether the plan needs the rule.
    pub required: bool,
    /// The words it takes, worst first.
    pub words: Vec<Word>,
}

/// The largest change of something over the tunnels.
#[derive(Clone, Debug, PartialEq)]
pub struct Largest {
    /// By how much.
    pub by: f64,
    /// The tunnel's id.
    pub tunnel: String,
}

/// How much hangs on the way it lies, by a plan alone.
pub fn of_lie(plan: &Plan) -> Weight {
    among(plan, |a, b| a.length_kept_by == b.length_kept_by)
}

/// How much hangs on the line that keeps its length, by a plan alone.
pub fn of_kept_line(plan: &Plan) -> Weight {
    among(plan, |a, b| a.lie == b.lie)
}

/// Over the possibilities of a plan, pair by pair where all else is equal.
fn among(plan: &Plan, all_else: fn(&Possibility, &Possibility) -> bool) -> Weight {
    let changes = plan.verdicts.iter().map(|verdict| {
        let by = &verdict.by_possibility;
        let pairs = by.iter().flat_map(|(a, word)| {
            by.iter().filter(move |(b, other)| all_else(a, b) && word != other).map(move |_| *word)
        });
        change(verdict, pairs.collect())
    });
    let alike = |a: &TunnelResult, b: &TunnelResult| all_else(&a.possibility, &b.possibility);
    Weight {
        changes: changes.flatten().collect(),
        clearance_mm: largest(&plan.tunnels, &plan.tunnels, alike, clearance),
        clock_deg: largest(&plan.tunnels, &plan.tunnels, alike, clock),
    }
}

/// A verdict that takes several words.
fn change(verdict: &Verdict, mut words: Vec<Word>) -> Option<Change> {
    words.sort();
    words.dedup();
    let Verdict { rule_index, of, required, .. } = verdict;
    (words.len() > 1).then(|| Change { rule_index: *rule_index, of: of.clone(), required: *required, words })
}

fn clearance(a: &TunnelResult, b: &TunnelResult) -> Option<f64> {
    Some((a.edge_clearance_mm.value()? - b.edge_clearance_mm.value()?).abs())
}

fn clock(a: &TunnelResult, b: &TunnelResult) -> Option<f64> {
    Some((*a.clock_error.value()? - *b.clock_error.value()?).wrapped().abs().to_deg())
}

/// The largest difference between results of one tunnel that are alike in all else.
fn largest(
    here: &[TunnelResult],
    there: &[TunnelResult],
    alike: impl Fn(&TunnelResult, &TunnelResult) -> bool,
    difference: fn(&TunnelResult, &TunnelResult) -> Option<f64>,
) -> Option<Largest> {
    let mut found: Option<Largest> = None;
    for a in here {
        for b in there.iter().filter(|b| b.id == a.id && alike(a, b)) {
            let Some(by) = difference(a, b) else { continue };
            if found.as_ref().is_none_or(|found| by > found.by + 1e-9) {
                found = Some(Largest { by, tunnel: a.id.clone() });
            }
        }
    }
    found
}

/// Four wires on the edge of the cone about a wire: more and less tilted, and to either side.
///
/// With x along the centreline, y towards the clock to which the wire is tilted and z a right angle
/// further round, the wire is (cos a, sin a, 0) and those on the edge
/// d cos ρ + (e cos β + z sin β) sin ρ, e = (−sin a, cos a, 0), ρ the range.
fn edge_of_range(wire: &Wire) -> [Wire; 4] {
    let (a, range) = (Angle::deg(wire.annulus_tilt_deg), Angle::deg(wire.annulus_tilt_range_deg));
    [0.0, 90.0, 180.0, 270.0].map(|around| {
        let (along, sideways) = (Angle::deg(around).cos(), Angle::deg(around).sin());
        let x = a.cos() * range.cos() - a.sin() * along * range.sin();
        let y = a.sin() * range.cos() + a.cos() * along * range.sin();
        let z = sideways * range.sin();
        let towards = Angle::deg(wire.annulus_towards_clock_deg) + Angle::atan2(z, y);
        Wire {
            annulus_tilt_deg: Angle::atan2(y.hypot(z), x).to_deg(),
            annulus_towards_clock_deg: towards.wrapped().to_deg(),
            ..wire.clone()
        }
    })
}

/// How much hangs on the wire's direction, in pieces: a piece is a plan with another wire.
#[derive(Debug)]
pub struct Tilting {
    plan: Plan,
    wires: Vec<Wire>,
    tried: Vec<(Vec<TunnelResult>, Vec<Verdict>)>,
}

impl Tilting {
    /// Of a plan.
    ///
    /// # Errors
    /// Why nothing can be said: no graft, no annulus, no range.
    pub fn of(plan: &Plan) -> Result<Self, Unknown> {
        let case = &plan.case;
        if plan.grafts.is_empty() {
            return Err(Unknown::because(message::NOT_PLACED));
        }
        let wire = case.wire.as_ref().filter(|wire| wire.annulus_tilt_range_deg > 0.0);
        let wire = wire.ok_or(Unknown::because(message::NO_TILT_RANGE))?;
        if case.anatomy.valve.as_ref().and_then(|valve| valve.annulus_station_mm).is_none() {
            return Err(Unknown::because(message::WIRE_WITHOUT_ANNULUS));
        }
        Ok(Tilting { wires: edge_of_range(wire).to_vec(), plan: plan.clone(), tried: Vec::new() })
    }

    fn weight(&self) -> Weight {
        let all = || self.tried.iter();
        let widest = |difference: fn(&TunnelResult, &TunnelResult) -> Option<f64>| {
            // Between any two wires, the typed one among them.
            let own = std::iter::once(&self.plan.tunnels).chain(all().map(|(tunnels, _)| tunnels));
            let lists: Vec<&Vec<TunnelResult>> = own.collect();
            let alike = |a: &TunnelResult, b: &TunnelResult| a.possibility == b.possibility;
            let pairs = lists.iter().enumerate().flat_map(|(k, a)| lists[k + 1..].iter().map(move |b| (*a, *b)));
            let found = pairs.filter_map(|(a, b)| largest(a, b, alike, difference));
            found.reduce(|best, next| if next.by > best.by + 1e-9 { next } else { best })
        };
        let changes = self.plan.verdicts.iter().map(|verdict| {
            let same = |other: &&Verdict| other.rule_index == verdict.rule_index && other.of == verdict.of;
            let others = all().filter_map(|(_, verdicts)| verdicts.iter().find(same));
            let words: Vec<Word> = std::iter::once(verdict.word).chain(others.map(|other| other.word)).collect();
            change(verdict, words)
        });
        Weight { changes: changes.flatten().collect(), clearance_mm: widest(clearance), clock_deg: widest(clock) }
    }
}

impl Task for Tilting {
    type Output = Weight;

    fn advance(&mut self, operations: u64) -> Progress<Weight> {
        for _ in 0..operations.max(1) {
            let Some(wire) = self.wires.get(self.tried.len()) else { break };
            let case = Case { wire: Some(wire.clone()), ..(*self.plan.case).clone() };
            let plan = self.plan.follow(Arc::new(case));
            self.tried.push((plan.tunnels, plan.verdicts));
        }
        let (done, of) = (self.tried.len(), self.wires.len());
        match done < of {
            true => Progress::Working { done: done as u64, of: of as u64 },
            false => Progress::Done(self.weight()),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::casefile::Document;

    fn demo() -> Case {
        let text = include_str!("../../../demo-data/plain-arch.json");
        (*Document::read(text.as_bytes()).unwrap().case).clone()
    }

    fn direction(wire: &Wire) -> [f64; 3] {
        let (tilt, clock) = (Angle::deg(wire.annulus_tilt_deg), Angle::deg(wire.annulus_towards_clock_deg));
        [tilt.cos(), tilt.sin() * clock.cos(), tilt.sin() * clock.sin()]
    }

    // Every wire tried makes the angle of the range with the typed one, and neighbours lie as far apart
    // as a quarter turn about it puts them: cos c = cos² ρ.
    #[test]
    fn wires_lie_on_the_edge_of_the_cone() {
        for (tilt, range, towards) in [(0.0, 10.0, 0.0), (12.0, 8.0, 130.0), (5.0, 20.0, -170.0)] {
            let own =
                Wire { annulus_tilt_deg: tilt, annulus_tilt_range_deg: range, annulus_towards_clock_deg: towards };
            let edge = edge_of_range(&own);
            let dot = |a: &Wire, b: &Wire| -> f64 { direction(a).iter().zip(direction(b)).map(|(x, y)| x * y).sum() };
            let cos = range.to_radians().cos();
            for k in 0..4 {
                assert!((dot(&own, &edge[k]) - cos).abs() < 1e-12, "{edge:?}");
                assert!((dot(&edge[k], &edge[(k + 1) % 4]) - cos * cos).abs() < 1e-12, "{edge:?}");
            }
        }
    }

    #[test]
    fn what_is_needed_for_the_range_is_asked_for() {
        let mut case = demo();
        case.wire = None;
        let why = |case: &Case| Tilting::of(&Plan::new(Arc::new(case.clone()))).err().map(|unknown| unknown.0);
        assert_eq!(why(&case), Some(message::NO_TILT_RANGE.into()));
        case.wire = Some(Wire { annulus_tilt_deg: 0.0, annulus_tilt_range_deg: 10.0, annulus_towards_clock_deg: 0.0 });
        assert_eq!(why(&case), None);
        Arc::make_mut(&mut case.anatomy).valve = None;
        assert_eq!(why(&case), Some(message::WIRE_WITHOUT_ANNULUS.into()));
    }

    // The widest range is that between the plans themselves, each made from the start.
    #[test]
    fn the_range_is_that_of_plans_made_anew() {
        let mut case = demo();
        let wire = Wire { annulus_tilt_deg: 3.0, annulus_tilt_range_deg: 12.0, annulus_towards_clock_deg: 40.0 };
        case.wire = Some(wire.clone());
        let plan = Plan::new(Arc::new(case.clone()));
        let weight = Tilting::of(&plan).unwrap().finish().unwrap();
        let mut plans = vec![plan];
        for wire in edge_of_range(&wire) {
            plans.push(Plan::new(Arc::new(Case { wire: Some(wire), ..case.clone() })));
        }
        let mut widest: f64 = 0.0;
        for place in 0..plans[0].tunnels.len() {
            let all = plans.iter().filter_map(|plan| plan.tunnels[place].edge_clearance_mm.value().copied());
            let all: Vec<f64> = all.collect();
            let most = all.iter().copied().fold(f64::NEG_INFINITY, f64::max);
            widest = widest.max(most - all.iter().copied().fold(f64::INFINITY, f64::min));
        }
        let found = weight.clearance_mm.unwrap();
        assert!(found.by > 1e-6 && (found.by - widest).abs() < 1e-9, "{found:?} {widest}");
    }

    // With one way to lie and one line nothing hangs on either; two lines differ as the possibilities do.
    #[test]
    fn all_else_is_equal() {
        let plan = Plan::new(Arc::new(demo()));
        let (lie, line) = (of_lie(&plan), of_kept_line(&plan));
        let by_hand = |all_else: fn(&Possibility, &Possibility) -> bool| {
            let mut most: f64 = 0.0;
            for a in &plan.tunnels {
                for b in plan.tunnels.iter().filter(|b| b.id == a.id && all_else(&a.possibility, &b.possibility)) {
                    let (x, y) = (a.edge_clearance_mm.value().unwrap(), b.edge_clearance_mm.value().unwrap());
                    most = most.max((x - y).abs());
                }
            }
            most
        };
        assert_eq!(lie.clearance_mm.unwrap().by, by_hand(|a, b| a.length_kept_by == b.length_kept_by));
        let of_line = line.clearance_mm.map_or(0.0, |largest| largest.by);
        assert_eq!(of_line, by_hand(|a, b| a.lie == b.lie));
        for change in lie.changes.iter().chain(&line.changes) {
            assert!(change.words.len() > 1 && change.words.windows(2).all(|pair| pair[0] < pair[1]));
        }
    }
}
