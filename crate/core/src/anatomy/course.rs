//! The course of the aorta: centreline, arch plane, outer curve and twist drift.
//!
//! Knows nothing of the lumen's size or of grafts.
//!
//! The outer curve is o(s) = ±(n × T)/|n × T|, n the normal of the arch plane, with one sign for the
//! whole aorta: the one for which ∫ κ·o ds over the arch is negative (κ the curvature vector points
//! to the inner curve). The sign is never decided again by local curvature, which points outward in
//! places.

use crate::casefile::case::TwelveOClock;
use crate::curve::{CentrePoint, Centreline};
use crate::frame::{Carried, CrossPlane};
use crate::message;
use crate::numeric::quadrature::panel;
use crate::quantity::Unknown;
use crate::units::{Angle, Point3, Vec3};

/// The arch plane reaches this far beyond the first and last ostium, mm.
const BEYOND_OSTIA_MM: f64 = 20.0;
/// Points of the centreline that fix the plane lie this far apart, mm.
const PLANE_STEP_MM: f64 = 1.0;
/// Where |T·n| is larger the clock is uncertain: the aorta runs out of the arch plane there.
const UNCERTAIN_TILT: f64 = 0.8;
/// Where |n × T| is smaller there is no outer curve at all.
const LEAST_SINE: f64 = 1e-6;
/// This far from both ends of the data bends are less certain, mm: the spline is straight there.
pub const UNCERTAIN_END_MM: f64 = 20.0;
/// A stretch whose points lie nearer than this (rms) to a straight line has no plane, mm.
const LEAST_BEND_MM: f64 = 0.5;

/// Where the centreline bends less, per mm, no point of the wall is the outermost of a bend.
const LEAST_BEND_PER_MM: f64 = 2e-3;
/// Where the aorta runs up or down within this sine (17°), no point of the wall lies straight up.
const LEAST_UP: f64 = 0.3;

/// The plane in which the arch lies as nearly as it can.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ArchPlane {
    /// Unit normal, LPS; its sign is chosen so that the outer curve is n × T.
    pub normal: Vec3,
    /// A point of the plane: the mean of the points that fix it.
    pub point: Point3,
    /// Root mean square distance of those points from it, mm.
    pub rms_mm: f64,
    /// First station of the stretch that fixes it.
    pub from_mm: f64,
    /// Last station of that stretch.
    pub to_mm: f64,
}

/// Directions at one station: tangent, outer curve, and b = T × o (3:00, front-left on a usual arch).
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct OuterFrame {
    /// The centreline there.
    pub centre: CentrePoint,
    /// Towards 12:00.
    pub outer: Vec3,
    /// Towards 3:00.
    pub side: Vec3,
    /// d outer / d s, per mm.
    pub outer_change: Vec3,
    /// d side / d s, per mm.
    pub side_change: Vec3,
    /// Whether the clock is certain here: the aorta does not run out of the arch plane.
    pub certain: bool,
}

impl OuterFrame {
    /// Unit direction of a clock position, square to the flow.
    pub fn towards(&self, clock: Angle) -> Vec3 {
        self.outer * clock.cos() + self.side * clock.sin()
    }

    /// Unit direction towards larger clock at a clock position.
    pub fn around(&self, clock: Angle) -> Vec3 {
        self.side * clock.cos() - self.outer * clock.sin()
    }

    /// Change of [`OuterFrame::towards`] along the flow, per mm.
    pub fn towards_change(&self, clock: Angle) -> Vec3 {
        self.outer_change * clock.cos() + self.side_change * clock.sin()
    }

    /// Clock of a direction (its part square to the flow).
    pub fn clock_of(&self, direction: &Vec3) -> Angle {
        Angle::atan2(direction.dot(&self.side), direction.dot(&self.outer))
    }
}

/// Centreline, plane and carried direction of one aorta.
#[derive(Clone, Debug)]
pub struct Course {
    line: Centreline,
    carried: Carried,
    plane: Result<ArchPlane, Unknown>,
}

impl Course {
    /// From a centreline and the stations of the arch's ostia (all of the line where there are none).
    pub fn new(line: Centreline, ostia_mm: &[f64]) -> Self {
        let carried = Carried::along(&line);
        let plane = fit_plane(&line, ostia_mm);
        Course { line, carried, plane }
    }

    /// The centreline.
    pub fn line(&self) -> &Centreline {
        &self.line
    }

    /// The arch plane.
    ///
    /// # Errors
    /// Unknown where the arch is nearly straight.
    pub fn plane(&self) -> Result<&ArchPlane, Unknown> {
        self.plane.as_ref().map_err(Clone::clone)
    }

    /// Directions at a station.
    ///
    /// # Errors
    /// Unknown where there is no arch plane, no data, or the aorta runs square to the plane.
    pub fn frame(&self, station_mm: f64) -> Result<OuterFrame, Unknown> {
        self.plane()?;
        if !self.line.reaches(station_mm) {
            return Err(Unknown(message::outside_data(station_mm, self.line.range_mm())));
        }
        self.frame_at(self.line.at(station_mm))
    }

    /// Centreline, outer curve and side at a point of the centreline that is known already.
    ///
    /// # Errors
    /// As [`Course::frame`].
    pub fn frame_at(&self, centre: CentrePoint) -> Result<OuterFrame, Unknown> {
        let station_mm = centre.station_mm;
        let n = self.plane()?.normal;
        let u = n.cross(&centre.tangent);
        let length = u.norm();
        if length < LEAST_SINE {
            return Err(Unknown(message::no_outer_curve(station_mm)));
        }
        let outer = u / length;
        let u_change = n.cross(&centre.curvature);
        let outer_change = (u_change - outer * outer.dot(&u_change)) / length;
        let side = centre.tangent.cross(&outer);
        let side_change = centre.curvature.cross(&outer) + centre.tangent.cross(&outer_change);
        let certain = centre.tangent.dot(&n).abs() <= UNCERTAIN_TILT;
        Ok(OuterFrame { centre, outer, side, outer_change, side_change, certain })
    }

    /// The cross plane at a station, quickly and to 1e-6 mm; it needs no arch plane.
    pub(crate) fn cross_plane(&self, station_mm: f64) -> CrossPlane {
        self.carried.cross_plane(station_mm)
    }

    /// Clock, at a station, of one line that is carried along the aorta without twist. Only
    /// differences of this angle between stations mean anything.
    ///
    /// # Errors
    /// As [`Course::frame`].
    fn carried_clock(&self, station_mm: f64) -> Result<Angle, Unknown> {
        let frame = self.frame(station_mm)?;
        let carried = self.carried.at(station_mm, &frame.centre.point, &frame.centre.tangent);
        Ok(frame.clock_of(&carried))
    }

    /// By how much a line carried without twist turns on the clock from one station to another;
    /// positive = clockwise looking downstream.
    ///
    /// # Errors
    /// As [`Course::frame`].
    pub fn drift(&self, from_mm: f64, to_mm: f64) -> Result<Angle, Unknown> {
        Ok((self.carried_clock(to_mm)? - self.carried_clock(from_mm)?).wrapped())
    }

    /// Whether bends and clock are certain at a station: away from the data's ends, and not out of
    /// the arch plane.
    pub fn certain(&self, station_mm: f64) -> bool {
        self.away_from_ends(station_mm) && self.frame(station_mm).is_ok_and(|f| f.certain)
    }

    /// Whether a station lies away from the two ends of the data.
    pub fn away_from_ends(&self, station_mm: f64) -> bool {
        let (first, last) = self.line.range_mm();
        station_mm >= first + UNCERTAIN_END_MM && station_mm <= last - UNCERTAIN_END_MM
    }

    /// Clock of what 12:00 means on a sheet, at a station.
    ///
    /// # Errors
    /// As [`Course::frame`]; unknown where the meaning picks no point: on a straight piece the local bend,
    /// where the aorta itself runs up or down the way straight up.
    pub fn twelve(&self, station_mm: f64, meaning: TwelveOClock) -> Result<Angle, Unknown> {
        let frame = self.frame(station_mm)?;
        let (towards, least, why) = match meaning {
            TwelveOClock::ArchPlane => return Ok(Angle::ZERO),
            TwelveOClock::LocalBend => (-frame.centre.curvature, LEAST_BEND_PER_MM, message::TWELVE_ON_STRAIGHT),
            TwelveOClock::StraightUp => {
                (Vec3::z() - frame.centre.tangent * frame.centre.tangent.z, LEAST_UP, message::TWELVE_RUNS_UP)
            }
        };
        if towards.norm() < least {
            return Err(Unknown::because(why));
        }
        Ok(frame.clock_of(&towards))
    }

    /// Largest angle between the three meanings of 12:00 at a station: arch plane, outermost point of
    /// the local bend, straight up.
    ///
    /// # Errors
    /// As [`Course::frame`].
    pub fn spread_of_twelve(&self, station_mm: f64) -> Result<Angle, Unknown> {
        let frame = self.frame(station_mm)?;
        let bend = -frame.centre.curvature;
        let mut clocks = vec![Angle::ZERO, frame.clock_of(&Vec3::z())];
        if bend.norm() >= LEAST_BEND_PER_MM {
            clocks.push(frame.clock_of(&bend));
        }
        let mut largest = Angle::ZERO;
        for a in &clocks {
            for b in &clocks {
                let apart = (*a - *b).wrapped().abs();
                if apart > largest {
                    largest = apart;
                }
            }
        }
        Ok(largest)
    }
}

/// Least-squares plane through points 1 mm apart, and the sign that makes n × T point outward.
fn fit_plane(line: &Centreline, ostia_mm: &[f64]) -> Result<ArchPlane, Unknown> {
    let (first, last) = line.range_mm();
    let (from_mm, to_mm) = if ostia_mm.is_empty() {
        (first, last)
    } else {
        let low = ostia_mm.iter().copied().fold(f64::INFINITY, f64::min);
        let high = ostia_mm.iter().copied().fold(f64::NEG_INFINITY, f64::max);
        ((low - BEYOND_OSTIA_MM).max(first), (high + BEYOND_OSTIA_MM).min(last))
    };
    if to_mm - from_mm < 3.0 * PLANE_STEP_MM {
        return Err(Unknown::because(message::NO_PLANE));
    }
    let steps = ((to_mm - from_mm) / PLANE_STEP_MM).floor() as usize;
    let points: Vec<Point3> = (0..=steps).map(|i| line.at(from_mm + i as f64 * PLANE_STEP_MM).point).collect();
    let count = points.len() as f64;
    let mean = points.iter().fold(Vec3::zeros(), |sum, p| sum + p.coords) / count;
    let spread = points.iter().fold(nalgebra::Matrix3::zeros(), |sum, p| {
        let d = p.coords - mean;
        sum + d * d.transpose()
    }) / count;
    let eigen = nalgebra::SymmetricEigen::new(spread);
    let mut order = [0, 1, 2];
    order.sort_by(|a, b| eigen.eigenvalues[*a].total_cmp(&eigen.eigenvalues[*b]));
    let variance = |rank: usize| eigen.eigenvalues[order[rank]].max(0.0);
    if variance(1).sqrt() < LEAST_BEND_MM {
        return Err(Unknown::because(message::NO_PLANE));
    }
    let normal = eigen.eigenvectors.column(order[0]).into_owned().normalize();
    // ∫ κ·(n × T) ds over the arch; the integrand is smooth, 1 mm panels are ample.
    let outward: f64 = (0..steps)
        .map(|i| {
            let a = from_mm + i as f64 * PLANE_STEP_MM;
            panel(a, a + PLANE_STEP_MM, |s| {
                let c = line.at(s);
                let u = normal.cross(&c.tangent);
                let length = u.norm();
                if length < LEAST_SINE { 0.0 } else { c.curvature.dot(&u) / length }
            })
        })
        .sum();
    let normal = if outward > 0.0 { -normal } else { normal };
    Ok(ArchPlane { normal, point: Point3::from(mean), rms_mm: variance(0).sqrt(), from_mm, to_mm })
}
