//! Where a graft lies: the station of each of its points, in every possibility.
//!
//! A possibility is one way the graft can lie with one line that keeps its length. Here the axis lies
//! on the centreline (`middle`). Woven cloth does not stretch: the outer fabric line then keeps the
//! nominal length and the inner side folds, du = (1 + κ r) ds along the axis, r half the section's
//! diameter but at most the inscribed radius. A pre-curved or slack graft keeps its length nearer the
//! axis: du = ds. Both are computed unless the graft says which.

use super::shape;
use crate::anatomy::Anatomy;
use crate::casefile::case::{Component, Graft, LengthKeptBy, Placement};
use crate::message;
use crate::quantity::Unknown;
use crate::units::Angle;
use serde::{Deserialize, Serialize};
use std::sync::Arc;

/// Longest step along the aorta, mm.
const STEP_MM: f64 = 1.0;
/// How far inside a stretch of smooth curvature its ends are looked at, mm: at the joint itself the
/// curvature has two values.
const INSIDE_MM: f64 = 1e-7;

/// How the graft's axis lies in the lumen.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Lie {
    /// On the centreline.
    Middle,
}

/// Which line keeps its length.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum KeptLine {
    /// The graft's axis.
    Axis,
    /// The fabric on the outer side of the bend.
    OuterLine,
}

/// One way a graft can lie with one line that keeps its length.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
pub struct Possibility {
    /// How its axis lies.
    pub lie: Lie,
    /// Which line keeps its length.
    pub length_kept_by: KeptLine,
}

/// The possibilities of a graft, in a fixed order.
pub fn possibilities(graft: &Graft) -> Vec<Possibility> {
    let kept: &[KeptLine] = match graft.length_kept_by {
        LengthKeptBy::Axis => &[KeptLine::Axis],
        LengthKeptBy::OuterLine => &[KeptLine::OuterLine],
        LengthKeptBy::Unknown => &[KeptLine::Axis, KeptLine::OuterLine],
    };
    kept.iter().map(|k| Possibility { lie: Lie::Middle, length_kept_by: *k }).collect()
}

/// A graft put into the aorta.
#[derive(Clone, Debug)]
pub struct PlacedGraft {
    /// Id of the component.
    pub component: String,
    /// The graft.
    pub graft: Arc<Graft>,
    /// Where it is held.
    pub placement: Placement,
    /// Where it lies, one for each possibility.
    pub lies: Vec<GraftLie>,
}

impl PlacedGraft {
    /// Puts a component's graft where its placement says; `None` for a plug or without a placement.
    pub fn new(component: &Component, anatomy: &Anatomy) -> Option<Self> {
        let graft = component.graft.clone()?;
        let placement = component.placement?;
        let lies = possibilities(&graft)
            .into_iter()
            .map(|possibility| GraftLie::new(possibility, &graft, &placement, anatomy))
            .collect();
        Some(PlacedGraft { component: component.id.clone(), graft, placement, lies })
    }
}

/// Where a graft lies in one possibility.
#[derive(Clone, Debug)]
pub struct GraftLie {
    /// Which possibility.
    pub possibility: Possibility,
    /// Places of points of the graft, about 1 mm apart and at everything that begins, ends or opens:
    /// (u, station), both growing.
    places: Vec<(f64, f64)>,
    /// Stated clock of the reference line, and the station where it was stated.
    reference: (Angle, f64),
    range_mm: (f64, f64),
}

impl GraftLie {
    fn new(possibility: Possibility, graft: &Graft, placement: &Placement, anatomy: &Anatomy) -> Self {
        let march = March { kept: possibility.length_kept_by, graft, anatomy };
        let held = (placement.held_u_mm.clamp(0.0, graft.length_mm), placement.station_mm);
        let mut places = march.go(held, false);
        places.reverse();
        places.pop();
        places.extend(march.go(held, true));
        let first = anatomy.first_ostium().map(|o| o.place.station_mm);
        let ends = (places[0].1, places[places.len() - 1].1);
        // A component that does not reach the first ostium of the arch states its clock where it is
        // held.
        let stated_at = match first {
            Some(s) if s >= ends.0 && s <= ends.1 => s,
            _ => placement.station_mm,
        };
        GraftLie {
            possibility,
            places,
            reference: (Angle::deg(placement.clock_deg), stated_at),
            range_mm: anatomy.course.line().range_mm(),
        }
    }

    /// Station of a point of the graft, mm.
    ///
    /// # Errors
    /// Unknown where that part of the graft lies beyond the data.
    pub fn station_mm(&self, u_mm: f64) -> Result<f64, Unknown> {
        let last = self.places.len() - 1;
        let slack = 1e-9;
        if u_mm < self.places[0].0 - slack || u_mm > self.places[last].0 + slack {
            let end = if u_mm < self.places[0].0 { self.range_mm.0 } else { self.range_mm.1 };
            return Err(Unknown(message::graft_outside_data(u_mm, end)));
        }
        let i = self.places.partition_point(|p| p.0 <= u_mm + slack).max(1) - 1;
        let (u0, s0) = self.places[i];
        if u_mm - u0 <= slack || i == last {
            return Ok(s0);
        }
        let (u1, s1) = self.places[i + 1];
        Ok(s0 + (s1 - s0) * (u_mm - u0) / (u1 - u0))
    }

    /// The part of the graft that lies within the data: its places (u, station), upstream first.
    pub fn places(&self) -> &[(f64, f64)] {
        &self.places
    }

    /// The point of the graft at a station; `None` where the graft does not lie there.
    pub fn u_mm(&self, station_mm: f64) -> Option<f64> {
        let last = self.places.len() - 1;
        if station_mm < self.places[0].1 || station_mm > self.places[last].1 {
            return None;
        }
        let i = self.places.partition_point(|p| p.1 <= station_mm).clamp(1, last.max(1)) - 1;
        let (u0, s0) = self.places[i];
        let (u1, s1) = self.places[(i + 1).min(last)];
        Some(if s1 > s0 { u0 + (u1 - u0) * (station_mm - s0) / (s1 - s0) } else { u0 })
    }

    /// Clock of the graft's reference line at a station: stated at the first ostium of the arch and
    /// carried from there without twist.
    ///
    /// # Errors
    /// Unknown without an arch plane or outside the data.
    pub fn reference_clock(&self, station_mm: f64, anatomy: &Anatomy) -> Result<Angle, Unknown> {
        let (stated, at) = self.reference;
        Ok((stated + anatomy.course.drift(at, station_mm)?).wrapped())
    }
}

/// Walks along graft and aorta together.
struct March<'a> {
    kept: KeptLine,
    graft: &'a Graft,
    anatomy: &'a Anatomy,
}

impl March<'_> {
    /// Places from a held point to one end of the graft or of the data, in the order walked.
    fn go(&self, held: (f64, f64), downstream: bool) -> Vec<(f64, f64)> {
        let line = self.anatomy.course.line();
        let (first, last) = line.range_mm();
        let mut places = vec![held];
        let (mut u, mut s) = held;
        if !line.reaches(s) {
            return places;
        }
        let mut goals = shape::events(self.graft);
        if downstream {
            goals.retain(|goal| *goal > u + 1e-9);
        } else {
            goals.retain(|goal| *goal < u - 1e-9);
            goals.reverse();
        }
        let mut breaks: Vec<f64> = line.kinks_mm().collect();
        if let Ok(lumen) = self.anatomy.lumen() {
            breaks.extend_from_slice(lumen.stations_mm());
        }
        breaks.push(first);
        breaks.push(last);
        breaks.sort_by(f64::total_cmp);
        let sign = if downstream { 1.0 } else { -1.0 };
        for goal in goals {
            // Which section lies on this side of the goal does not depend on rounding at its border.
            let section = shape::section_at(self.graft, (u + goal) / 2.0);
            let radius_at = |u: f64| section.map_or(0.0, |x| shape::diameter_mm(x, u) / 2.0);
            while (goal - u) * sign > 1e-10 {
                let next = if downstream {
                    breaks.iter().copied().find(|b| *b > s + 1e-9)
                } else {
                    breaks.iter().rev().copied().find(|b| *b < s - 1e-9)
                };
                let Some(next) = next else { return places };
                let stretch = (s.min(next) + INSIDE_MM, s.max(next) - INSIDE_MM);
                let rate = |s: f64, u: f64| self.rate(s.clamp(stretch.0, stretch.1), radius_at(u));
                let mut h = sign * (next - s).abs().min(STEP_MM);
                let mut reached = runge_kutta(&rate, s, u, h);
                // A step that would pass the goal is shortened until it ends there; the rate changes
                // little over a millimetre, so a few secant steps are ample.
                if (reached - goal) * sign > 0.0 {
                    for _ in 0..8 {
                        if (reached - goal).abs() < 1e-12 {
                            break;
                        }
                        h *= (goal - u) / (reached - u);
                        reached = runge_kutta(&rate, s, u, h);
                    }
                    reached = goal;
                }
                s += h;
                u = reached;
                places.push((u, s));
            }
            u = goal;
            if let Some(place) = places.last_mut() {
                place.0 = goal;
            }
        }
        places
    }

    /// du/ds at a station for a graft radius, mm.
    fn rate(&self, station_mm: f64, radius_mm: f64) -> f64 {
        match self.kept {
            KeptLine::Axis => 1.0,
            KeptLine::OuterLine => {
                let room = self.anatomy.lumen().map_or(f64::INFINITY, |l| l.inscribed_mm(station_mm));
                let curvature = self.anatomy.course.line().at(station_mm).curvature.norm();
                1.0 + curvature * radius_mm.min(room)
            }
        }
    }
}

/// One classical Runge–Kutta step of du/ds = f(s, u).
fn runge_kutta(f: &impl Fn(f64, f64) -> f64, s: f64, u: f64, h: f64) -> f64 {
    let k1 = f(s, u);
    let k2 = f(s + h / 2.0, u + h / 2.0 * k1);
    let k3 = f(s + h / 2.0, u + h / 2.0 * k2);
    let k4 = f(s + h, u + h * k3);
    u + h / 6.0 * (k1 + 2.0 * k2 + 2.0 * k3 + k4)
}
