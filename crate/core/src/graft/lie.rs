//! Where a graft lies: its axis, its points and their stations, in every possibility.
//!
//! A possibility is one way the graft can lie with one line that keeps its length. It lies on the
//! centreline (`middle`), as an elastic rod that hardly anything pushes (`relaxed`: the wire is out) or
//! as one that a stiff wire pushes outward (`pushed`: the wire is in); nobody can say which. Woven
//! cloth does not stretch: the outer fabric line then keeps the nominal length and the inner side folds,
//! du = (1 + κ r) ds along the axis, κ the axis's own curvature, r half the section's diameter but at
//! most the inscribed radius. A pre-curved or slack graft keeps its length nearer the axis: du = ds.
//! Both are computed unless the graft says which.

use super::axis::{Axis, Spot};
use super::riding::{Bedding, Ridden, RodFacts, Tilt, ride};
use super::{march, shape};
use crate::anatomy::Anatomy;
use crate::casefile::case::{Case, Component, Graft, LengthKeptBy, Placement, Push};
use crate::message;
use crate::numeric::roots::bracketed;
use crate::quantity::Unknown;
use crate::units::{Angle, Point3, Vec3};
use serde::{Deserialize, Serialize};
use std::cell::Cell;
use std::sync::Arc;

/// How the graft's axis lies in the lumen.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Lie {
    /// On the centreline.
    Middle,
    /// As an elastic rod that hardly anything pushes: the wire is out.
    Relaxed,
    /// As an elastic rod that a stiff wire pushes: the wire is in.
    Pushed,
}

impl Lie {
    /// All of them.
    pub const ALL: [Lie; 3] = [Lie::Middle, Lie::Relaxed, Lie::Pushed];
}

/// Push over bending stiffness where the case names none; from memory.
pub const DEFAULT_PUSH: Push = Push::DEFAULT;

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
    let with = |lie: Lie| kept.iter().map(move |k| Possibility { lie, length_kept_by: *k });
    Lie::ALL.into_iter().flat_map(with).collect()
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
    pub(super) beds: Vec<Bed>,
}

/// What of a lie does not depend on how the graft is turned.
#[derive(Clone, Debug)]
pub(super) struct Bed {
    pub possibility: Possibility,
    pub bedding: Bedding,
    pub axis: Result<Arc<Axis>, Unknown>,
    pub ridden: Option<Arc<Ridden>>,
}

impl PlacedGraft {
    /// Puts a component's graft where its placement says; `None` for a plug or without a placement.
    ///
    /// `before` is the same component in the same anatomy a moment ago: what did not change is taken
    /// over, so that turning the graft solves nothing anew.
    pub fn new(component: &Component, case: &Case, anatomy: &Anatomy, before: Option<&PlacedGraft>) -> Option<Self> {
        let graft = component.graft.clone()?;
        let placement = component.placement?;
        let before = before.filter(|b| same_shape(&b.graft, &graft));
        let mut beds: Vec<Bed> = Vec::new();
        for possibility in possibilities(&graft) {
            let bedding = bedding(possibility, &graft, &placement, case);
            let own = before.and_then(|b| b.beds.iter().find(|bed| bed.possibility == possibility));
            let bed = match own {
                Some(bed) if bed.bedding == bedding => bed.clone(),
                _ => Bed::new(possibility, bedding, &graft, &beds, anatomy),
            };
            beds.push(bed);
        }
        let lies = beds.iter().map(|bed| GraftLie::new(bed, &placement, anatomy)).collect();
        Some(PlacedGraft { component: component.id.clone(), graft, placement, lies, beds })
    }

    /// Where it lies in a possibility; a graft that says which line keeps its length lies so in the
    /// other possibilities too.
    pub fn lie_in(&self, possibility: Possibility) -> Option<&GraftLie> {
        let same = self.lies.iter().find(|lie| lie.possibility == possibility);
        same.or_else(|| self.lies.iter().find(|lie| lie.possibility.lie == possibility.lie)).or(self.lies.first())
    }
}

/// Whether two grafts lie alike: tunnels, openings and markers play no part.
pub(crate) fn same_shape(a: &Arc<Graft>, b: &Arc<Graft>) -> bool {
    Arc::ptr_eq(a, b)
        || a.length_mm == b.length_mm
            && a.length_kept_by == b.length_kept_by
            && a.carrier_outer_mm == b.carrier_outer_mm
            && a.sections == b.sections
}

pub(super) fn bedding(possibility: Possibility, graft: &Graft, placement: &Placement, case: &Case) -> Bedding {
    let push = case.push.as_ref().unwrap_or(&DEFAULT_PUSH);
    let annulus = case.anatomy.valve.as_ref().and_then(|valve| valve.annulus_station_mm);
    Bedding {
        kept: possibility.length_kept_by,
        held: (placement.held_u_mm.clamp(0.0, graft.length_mm), placement.station_mm),
        push_per_mm2: match possibility.lie {
            Lie::Middle => 0.0,
            Lie::Relaxed => push.relaxed_per_mm2,
            Lie::Pushed => push.pushed_per_mm2,
        },
        annulus: annulus.map(|station| (station, Tilt::of(case.wire.as_ref()))),
    }
}

impl Bed {
    /// `others` are those of the same graft that stand already: the middle comes first.
    pub fn new(possibility: Possibility, bedding: Bedding, graft: &Graft, others: &[Bed], anatomy: &Anatomy) -> Self {
        let middle = Possibility { lie: Lie::Middle, ..possibility };
        let on_middle = match others.iter().find(|bed| bed.possibility == middle) {
            Some(bed) => bed.axis.clone(),
            None => Axis::new(march::on_centreline(bedding.kept, graft, bedding.held, anatomy))
                .map(Arc::new)
                .ok_or(Unknown::because(message::NOT_PLACED)),
        };
        if possibility.lie == Lie::Middle {
            return Bed { possibility, bedding, axis: on_middle, ridden: None };
        }
        match on_middle.and_then(|middle| ride(&bedding, graft, &middle, anatomy)) {
            Ok(ridden) => {
                let ridden = Arc::new(ridden);
                Bed { possibility, bedding, axis: Ok(ridden.axis.clone()), ridden: Some(ridden) }
            }
            Err(unknown) => Bed { possibility, bedding, axis: Err(unknown), ridden: None },
        }
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
    /// The rod that the axis is; `None` on the centreline.
    pub rod: Option<RodFacts>,
    axis: Result<Arc<Axis>, Unknown>,
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
    pub(super) fn new(bed: &Bed, placement: &Placement, anatomy: &Anatomy) -> Self {
        let mut lie = GraftLie {
            possibility: bed.possibility,
            rod: bed.ridden.as_ref().map(|ridden| ridden.rod),
            turn: bed.axis.as_ref().map(|_| Angle::ZERO).map_err(Clone::clone),
            axis: bed.axis.clone(),
            range_mm: anatomy.course.line().range_mm(),
        };
        let ends = lie.places().first().zip(lie.places().last()).map(|(a, b)| (a.1, b.1));
        // A component that does not reach the first ostium of the arch states its clock where it is
        // held.
        let stated_at = match (anatomy.first_ostium().map(|o| o.place.station_mm), ends) {
            (Some(s), Some(ends)) if s >= ends.0 && s <= ends.1 => s,
            _ => placement.station_mm,
        };
        lie.turn = lie.turn_to(Angle::deg(placement.clock_deg), stated_at, anatomy);
        lie
    }

    /// The turn about the axis from the carried direction to the one whose clock at a station, in the
    /// plane of outer curve and side there, is given.
    fn turn_to(&self, clock: Angle, station_mm: f64, anatomy: &Anatomy) -> Result<Angle, Unknown> {
        let frame = anatomy.course.frame(station_mm)?;
        let here = self.line()?.at(self.nearest_u(station_mm));
        let (across, wanted) = (frame.around(clock), frame.towards(clock));
        let side = here.tangent.cross(&here.carried);
        // The direction that has no part across the wanted one, and looks the same way.
        let turn = Angle::atan2(-here.carried.dot(&across), side.dot(&across));
        let direction = here.carried * turn.cos() + side * turn.sin();
        Ok(if direction.dot(&wanted) < 0.0 { turn + Angle::HALF_TURN } else { turn }.wrapped())
    }

    fn line(&self) -> Result<&Axis, Unknown> {
        self.axis.as_deref().map_err(Clone::clone)
    }

    /// The same graft turned further about its axis, + = clockwise looking downstream.
    #[must_use]
    pub fn turned_by(&self, by: Angle) -> Self {
        GraftLie { turn: self.turn.clone().map(|turn| (turn + by).wrapped()), ..self.clone() }
    }

    /// Whether the graft's point lies within the data.
    fn within(&self, u_mm: f64) -> Result<&Axis, Unknown> {
        let axis = self.line()?;
        let (first, last) = axis.range_mm();
        let slack = 1e-9;
        if u_mm < first - slack || u_mm > last + slack {
            let end = if u_mm < first { self.range_mm.0 } else { self.range_mm.1 };
            return Err(Unknown(message::graft_outside_data(u_mm, end)));
        }
        Ok(axis)
    }

    /// Station of the centreline point that is nearest to the axis at a point of the graft, mm.
    ///
    /// # Errors
    /// Unknown where that part of the graft lies beyond the data, and where this lie could not be found.
    pub fn station_mm(&self, u_mm: f64) -> Result<f64, Unknown> {
        let places = self.within(u_mm)?.places();
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
    /// and at the ends of sections, upstream first; none where this lie could not be found.
    pub fn places(&self) -> &[(f64, f64)] {
        self.axis.as_ref().map_or(&[], |axis| axis.places())
    }

    /// The point of the graft whose axis lies at a station; `None` where the graft does not.
    pub fn u_mm(&self, station_mm: f64) -> Option<f64> {
        let (first, last) = self.places().first().zip(self.places().last())?;
        (station_mm >= first.1 && station_mm <= last.1).then(|| self.nearest_u(station_mm))
    }

    fn nearest_u(&self, station_mm: f64) -> f64 {
        let places = self.places();
        let Some(last) = places.len().checked_sub(1) else { return 0.0 };
        let i = places.partition_point(|p| p.1 <= station_mm).clamp(1, last.max(1)) - 1;
        let ((u0, s0), (u1, s1)) = (places[i], places[(i + 1).min(last)]);
        if s1 > s0 { u0 + (u1 - u0) * ((station_mm - s0) / (s1 - s0)).clamp(0.0, 1.0) } else { u0 }
    }

    /// The axis at a point of the graft, with the graft's directions.
    ///
    /// # Errors
    /// Unknown beyond the data, and where there is no arch plane to tell the clock by.
    pub fn axis(&self, u_mm: f64) -> Result<AxisPoint, Unknown> {
        self.turned(&self.within(u_mm)?.at(u_mm))
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
        let here = self.turned(&self.line()?.at(self.nearest_u(station_mm)))?;
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
        // The search for the wall goes on from where its last step was.
        let near = Cell::new(from.station_mm);
        let place = |t: f64| -> Result<(FabricPoint, f64), Unknown> {
            let point = from.point + towards * t;
            let frame = match self.possibility.lie {
                // The ray lies in the centreline's cross plane.
                Lie::Middle => anatomy.course.frame(from.station_mm)?,
                Lie::Relaxed | Lie::Pushed => {
                    anatomy.course.frame_at(anatomy.course.line().nearest_from(&point, near.get()))?
                }
            };
            let station_mm = frame.centre.station_mm;
            near.set(station_mm);
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

    /// Station of the fabric at a point of the graft, seen at a clock of the wall: a graft that lies
    /// off the centreline has its edge a little upstream on one side. Along the outer curve an edge that
    /// leans upstream reaches farther.
    ///
    /// # Errors
    /// As [`GraftLie::fabric`].
    pub fn fabric_station_mm(&self, graft: &Graft, u_mm: f64, clock: Angle, anatomy: &Anatomy) -> Result<f64, Unknown> {
        let station = self.station_mm(u_mm)?;
        if self.possibility.lie == Lie::Middle {
            return Ok(station);
        }
        let mut on_graft = (clock - self.reference_clock(station, anatomy)?).wrapped();
        let mut found = self.fabric(graft, u_mm, on_graft, anatomy)?;
        for _ in 0..12 {
            let miss = (clock - found.clock).wrapped();
            if miss.abs() < Angle::rad(1e-9) {
                break;
            }
            on_graft = on_graft + miss;
            found = self.fabric(graft, u_mm, on_graft, anatomy)?;
        }
        Ok(found.station_mm)
    }

    /// What of the graft lies nearest to a point of the wall, sought downhill from the point's own
    /// station; `None` where the point lies beyond an end of the graft (or of the data it lies in).
    ///
    /// # Errors
    /// Unknown where there is no arch plane to tell the graft's clock by.
    pub fn nearest(&self, point: &Point3, station_mm: f64) -> Result<Option<NearestOnGraft>, Unknown> {
        let Some(spot) = self.line()?.nearest(point, station_mm) else { return Ok(None) };
        let axis = self.turned(&spot)?;
        let away = point - axis.point;
        Ok(Some(NearestOnGraft { axis, on_graft: axis.clock_of(&away), distance_mm: away.norm() }))
    }
}
