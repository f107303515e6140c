//! Where a graft lies: the station of each of its points, in every possibility.
//!
//! A possibility is one way the graft can lie with one line that keeps its length. Here the axis lies
//! on the centreline (`middle`). Woven cloth does not stretch: the outer fabric line then keeps the
//! nominal length and the inner side folds, du = (1 + κ r) ds along the axis, r half the section's
//! diameter but at most the inscribed radius. A pre-curved or slack graft keeps its length nearer the
//! axis: du = ds. Both are computed unless the graft says which.

use super::axis::{Axis, Spot};
use super::{march, shape};
use crate::anatomy::Anatomy;
use crate::casefile::case::{Component, Graft, LengthKeptBy, Placement};
use crate::message;
use crate::numeric::roots::bracketed;
use crate::quantity::Unknown;
use crate::units::{Angle, Point3, Vec3};
use serde::{Deserialize, Serialize};
use std::sync::Arc;

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
            .filter_map(|possibility| {
                let held = (placement.held_u_mm.clamp(0.0, graft.length_mm), placement.station_mm);
                let axis = Axis::new(march::on_centreline(possibility.length_kept_by, &graft, held, anatomy))?;
                Some(GraftLie::new(possibility, Arc::new(axis), &placement, anatomy))
            })
            .collect();
        Some(PlacedGraft { component: component.id.clone(), graft, placement, lies })
    }

    /// Where it lies in a possibility; a graft that says which line keeps its length lies so in the
    /// other possibilities too.
    pub fn lie_in(&self, possibility: Possibility) -> Option<&GraftLie> {
        let same = self.lies.iter().find(|lie| lie.possibility == possibility);
        same.or_else(|| self.lies.iter().find(|lie| lie.possibility.lie == possibility.lie)).or(self.lies.first())
    }
}

/// Where a graft lies in one possibility.
///
/// It answers by the position `u` on the graft (mm from its proximal fabric edge) and the clock `φ`
/// about its axis from its reference line, in the same sense as the wall's clock. The axis does not
/// depend on how the graft is turned.
#[derive(Clone, Debug)]
pub struct GraftLie {
    /// Which possibility.
    pub possibility: Possibility,
    axis: Arc<Axis>,
    /// Turn from the axis's carried direction to the reference line.
    turn: Result<Angle, Unknown>,
    range_mm: (f64, f64),
}

/// A place on the graft's axis with the graft's own directions there.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct AxisPoint {
    /// Position on the graft, mm.
    pub u_mm: f64,
    /// Station of its nearest centreline point, mm.
    pub station_mm: f64,
    /// The point, LPS mm.
    pub point: Point3,
    /// Unit tangent `t` of the axis, downstream.
    pub tangent: Vec3,
    /// Unit direction of the reference line, φ = 0.
    pub reference: Vec3,
}

impl AxisPoint {
    /// Unit direction e_r from the axis to the fabric at a graft clock.
    pub fn towards(&self, on_graft: Angle) -> Vec3 {
        self.reference * on_graft.cos() + self.tangent.cross(&self.reference) * on_graft.sin()
    }

    /// Unit direction e_φ towards larger graft clock.
    pub fn around(&self, on_graft: Angle) -> Vec3 {
        self.tangent.cross(&self.reference) * on_graft.cos() - self.reference * on_graft.sin()
    }

    /// Graft clock of a direction (its part square to the axis).
    pub fn clock_of(&self, direction: &Vec3) -> Angle {
        Angle::atan2(direction.dot(&self.tangent.cross(&self.reference)), direction.dot(&self.reference))
    }
}

/// A point of the fabric.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct FabricPoint {
    /// Station of its nearest centreline point, mm.
    pub station_mm: f64,
    /// Its clock about the centreline.
    pub clock: Angle,
    /// The point, LPS mm.
    pub point: Point3,
}

/// What of a graft lies nearest to a point.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct NearestOnGraft {
    /// The nearest place of the axis.
    pub axis: AxisPoint,
    /// Graft clock of the point about it.
    pub on_graft: Angle,
    /// Distance from the axis, mm.
    pub distance_mm: f64,
}

impl GraftLie {
    fn new(possibility: Possibility, axis: Arc<Axis>, placement: &Placement, anatomy: &Anatomy) -> Self {
        let places = axis.places();
        let ends = (places[0].1, places[places.len() - 1].1);
        // A component that does not reach the first ostium of the arch states its clock where it is
        // held.
        let stated_at = match anatomy.first_ostium().map(|o| o.place.station_mm) {
            Some(s) if s >= ends.0 && s <= ends.1 => s,
            _ => placement.station_mm,
        };
        let mut lie = GraftLie { possibility, axis, turn: Ok(Angle::ZERO), range_mm: anatomy.course.line().range_mm() };
        lie.turn = lie.turn_to(Angle::deg(placement.clock_deg), stated_at, anatomy);
        lie
    }

    /// The turn about the axis from the carried direction to the one whose clock at a station, in the
    /// plane of outer curve and side there, is given.
    fn turn_to(&self, clock: Angle, station_mm: f64, anatomy: &Anatomy) -> Result<Angle, Unknown> {
        let frame = anatomy.course.frame(station_mm)?;
        let here = self.axis.at(self.nearest_u(station_mm));
        let (across, wanted) = (frame.around(clock), frame.towards(clock));
        let side = here.tangent.cross(&here.carried);
        // The direction that has no part across the wanted one, and looks the same way.
        let turn = Angle::atan2(-here.carried.dot(&across), side.dot(&across));
        let direction = here.carried * turn.cos() + side * turn.sin();
        Ok(if direction.dot(&wanted) < 0.0 { turn + Angle::HALF_TURN } else { turn }.wrapped())
    }

    /// The same graft turned further about its axis, + = clockwise looking downstream.
    #[must_use]
    pub fn turned_by(&self, by: Angle) -> Self {
        GraftLie { turn: self.turn.clone().map(|turn| (turn + by).wrapped()), ..self.clone() }
    }

    /// Whether the graft's point lies within the data.
    fn within(&self, u_mm: f64) -> Result<(), Unknown> {
        let (first, last) = self.axis.range_mm();
        let slack = 1e-9;
        if u_mm < first - slack || u_mm > last + slack {
            let end = if u_mm < first { self.range_mm.0 } else { self.range_mm.1 };
            return Err(Unknown(message::graft_outside_data(u_mm, end)));
        }
        Ok(())
    }

    /// Station of the centreline point that is nearest to the axis at a point of the graft, mm.
    ///
    /// # Errors
    /// Unknown where that part of the graft lies beyond the data.
    pub fn station_mm(&self, u_mm: f64) -> Result<f64, Unknown> {
        self.within(u_mm)?;
        let places = self.axis.places();
        let last = places.len() - 1;
        let i = places.partition_point(|p| p.0 <= u_mm + 1e-9).max(1) - 1;
        let (u0, s0) = places[i];
        if u_mm - u0 <= 1e-9 || i == last {
            return Ok(s0);
        }
        let (u1, s1) = places[i + 1];
        Ok(s0 + (s1 - s0) * (u_mm - u0) / (u1 - u0))
    }

    /// The part of the graft that lies within the data: (u, station) of places about 1 or 2 mm apart
    /// and at the ends of sections, upstream first.
    pub fn places(&self) -> &[(f64, f64)] {
        self.axis.places()
    }

    /// The point of the graft whose axis lies at a station; `None` where the graft does not.
    pub fn u_mm(&self, station_mm: f64) -> Option<f64> {
        let places = self.axis.places();
        let inside = station_mm >= places[0].1 && station_mm <= places[places.len() - 1].1;
        inside.then(|| self.nearest_u(station_mm))
    }

    fn nearest_u(&self, station_mm: f64) -> f64 {
        let places = self.axis.places();
        let last = places.len() - 1;
        let i = places.partition_point(|p| p.1 <= station_mm).clamp(1, last.max(1)) - 1;
        let ((u0, s0), (u1, s1)) = (places[i], places[(i + 1).min(last)]);
        if s1 > s0 { u0 + (u1 - u0) * ((station_mm - s0) / (s1 - s0)).clamp(0.0, 1.0) } else { u0 }
    }

    /// The axis at a point of the graft, with the graft's directions.
    ///
    /// # Errors
    /// Unknown beyond the data, and where there is no arch plane to tell the clock by.
    pub fn axis(&self, u_mm: f64) -> Result<AxisPoint, Unknown> {
        self.within(u_mm)?;
        self.turned(&self.axis.at(u_mm))
    }

    fn turned(&self, spot: &Spot) -> Result<AxisPoint, Unknown> {
        let turn = *self.turn.as_ref().map_err(Clone::clone)?;
        Ok(AxisPoint {
            u_mm: spot.u_mm,
            station_mm: spot.station_mm,
            point: spot.point,
            tangent: spot.tangent,
            reference: spot.carried * turn.cos() + spot.tangent.cross(&spot.carried) * turn.sin(),
        })
    }

    /// Clock of the reference line's direction at a station: stated at the first ostium of the arch
    /// and carried from there along the axis without twist; seen along the centreline.
    ///
    /// # Errors
    /// Unknown without an arch plane or outside the data.
    pub fn reference_clock(&self, station_mm: f64, anatomy: &Anatomy) -> Result<Angle, Unknown> {
        let here = self.turned(&self.axis.at(self.nearest_u(station_mm)))?;
        Ok(anatomy.course.frame(station_mm)?.clock_of(&here.reference))
    }

    /// The point of the fabric at a point of the graft and a graft clock: at the section's distance
    /// from the axis, but never beyond the lumen's wall. `graft` is the graft that lies here.
    ///
    /// # Errors
    /// As [`GraftLie::axis`], and where the graft has no section.
    pub fn fabric(&self, graft: &Graft, u_mm: f64, on_graft: Angle, anatomy: &Anatomy) -> Result<FabricPoint, Unknown> {
        let axis = self.axis(u_mm)?;
        let section = shape::section_at(graft, u_mm).ok_or(Unknown::because(message::NO_SECTION))?;
        self.along_ray(&axis, &axis.towards(on_graft), shape::fabric_mm(section, u_mm, on_graft), anatomy)
    }

    /// A point a distance from the axis, or on the wall where that is nearer.
    fn along_ray(
        &self,
        from: &AxisPoint,
        towards: &Vec3,
        distance_mm: f64,
        anatomy: &Anatomy,
    ) -> Result<FabricPoint, Unknown> {
        let place = |t: f64| -> Result<(FabricPoint, f64), Unknown> {
            let point = from.point + towards * t;
            let station_mm = match self.possibility.lie {
                // The ray lies in the centreline's cross plane.
                Lie::Middle => from.station_mm,
            };
            let frame = anatomy.course.frame(station_mm)?;
            let away = point - frame.centre.point;
            let clock = frame.clock_of(&if t == 0.0 { *towards } else { away });
            let wall = anatomy.lumen().map_or(f64::INFINITY, |l| l.radius_along(station_mm, clock).0);
            Ok((FabricPoint { station_mm, clock, point }, away.norm() - wall))
        };
        let (at_end, beyond) = place(distance_mm)?;
        if beyond <= 0.0 {
            return Ok(at_end);
        }
        let t = bracketed(0.0, distance_mm, 1e-9, |t| place(t).map_or(f64::NAN, |p| p.1)).unwrap_or(0.0);
        Ok(place(t)?.0)
    }

    /// What of the graft lies nearest to a point of the wall, sought downhill from the point's own
    /// station; `None` where the point lies beyond an end of the graft (or of the data it lies in).
    ///
    /// # Errors
    /// Unknown where there is no arch plane to tell the graft's clock by.
    pub fn nearest(&self, point: &Point3, station_mm: f64) -> Result<Option<NearestOnGraft>, Unknown> {
        let Some(spot) = self.axis.nearest(point, station_mm) else { return Ok(None) };
        let axis = self.turned(&spot)?;
        let away = point - axis.point;
        Ok(Some(NearestOnGraft { axis, on_graft: axis.clock_of(&away), distance_mm: away.norm() }))
    }
}
