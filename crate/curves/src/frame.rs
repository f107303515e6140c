//! Rotation-minimising frames: how a direction is carried along a curve without twist.
//!
//! Double reflection (Wang, Jüttler, Zheng and Liu, ACM Transactions on Graphics 27(1), article 2,
//! 2008, table I): the frame is reflected in the plane that halves the chord, then in the plane that
//! aligns the tangents. The error of one step falls with the fifth power of its length. Merely
//! projecting the last direction is first order and is not used.

use crate::curve::Centreline;
use crate::{Point3, Vec3};

/// Points of an aorta are told to about 1e-13 mm: a longer chord points where it should to 1e-7, and over a
/// shorter one no aorta turns by more.
const LEAST_CHORD_MM: f64 = 1e-6;

/// A unit direction square to the tangent at `from`, carried to the next point.
///
/// `from` and `to` are a point and its unit tangent. A chord so short that rounding gives its direction is
/// taken along the tangent, where a shorter and shorter one points.
pub fn carry(from: (&Point3, &Vec3), to: (&Point3, &Vec3), direction: &Vec3) -> Vec3 {
    let apart = to.0 - from.0;
    let chord = if apart.norm_squared() > LEAST_CHORD_MM * LEAST_CHORD_MM { apart } else { *from.1 };
    let c1 = chord.norm_squared();
    let reflect = |v: &Vec3| v - chord * (2.0 / c1 * chord.dot(v));
    let (reflected, tangent) = (reflect(direction), reflect(from.1));
    let turn = to.1 - tangent;
    let c2 = turn.norm_squared();
    if c2 > 0.0 { reflected - turn * (2.0 / c2 * turn.dot(&reflected)) } else { reflected }
}

/// A cross plane of the centreline.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct CrossPlane {
    /// Where the centreline passes it, LPS mm.
    pub point: Point3,
    /// Unit tangent.
    pub tangent: Vec3,
    /// A carried direction, and the one a quarter turn clockwise from it looking downstream.
    pub across: [Vec3; 2],
    /// Mean curvature of the centreline about there, per mm.
    pub curvature_per_mm: f64,
}

/// One direction carried along a whole centreline.
#[derive(Clone, Debug)]
pub struct Carried {
    stations_mm: Vec<f64>,
    points: Vec<Point3>,
    tangents: Vec<Vec3>,
    directions: Vec<Vec3>,
}

impl Carried {
    /// Carries some direction square to the first tangent along the line, about 1 mm a step.
    pub fn along(line: &Centreline) -> Self {
        let mut carried = Carried {
            stations_mm: line.stations_mm().collect(),
            points: Vec::new(),
            tangents: Vec::new(),
            directions: Vec::new(),
        };
        for i in 0..carried.stations_mm.len() {
            let here = line.at(carried.stations_mm[i]);
            let direction = match i.checked_sub(1) {
                None => any_square_to(&here.tangent),
                Some(last) => carry(
                    (&carried.points[last], &carried.tangents[last]),
                    (&here.point, &here.tangent),
                    &carried.directions[last],
                ),
            };
            carried.points.push(here.point);
            carried.tangents.push(here.tangent);
            carried.directions.push(direction);
        }
        carried
    }

    /// The cross plane at a station, from the table alone: a cubic between its points, good to about
    /// 1e-6 mm, at a twentieth of the cost of the line itself. For work that asks a thousand times.
    pub fn cross_plane(&self, station_mm: f64) -> CrossPlane {
        let last = self.stations_mm.len() - 1;
        let i = self.stations_mm.partition_point(|s| *s <= station_mm).clamp(1, last.max(1)) - 1;
        let j = (i + 1).min(last);
        let h = self.stations_mm[j] - self.stations_mm[i];
        let (t0, t1) = (self.tangents[i], self.tangents[j]);
        if h <= 0.0 {
            let across = [self.directions[i], t0.cross(&self.directions[i])];
            return CrossPlane { point: self.points[i], tangent: t0, across, curvature_per_mm: 0.0 };
        }
        let x = ((station_mm - self.stations_mm[i]) / h).clamp(0.0, 1.0);
        let chord = (self.points[j] - self.points[i]) / h;
        let (c2, c3) = (chord * 3.0 - t0 * 2.0 - t1, t0 + t1 - chord * 2.0);
        let point = self.points[i] + (t0 + (c2 + c3 * x) * x) * (x * h);
        let along = t0 + (c2 * 2.0 + c3 * (3.0 * x)) * x;
        let tangent = along / along.norm();
        let direction = self.directions[i] * (1.0 - x) + self.directions[j] * x;
        let square = direction - tangent * tangent.dot(&direction);
        let u = square / square.norm();
        CrossPlane { point, tangent, across: [u, tangent.cross(&u)], curvature_per_mm: (t1 - t0).norm() / h }
    }

    /// The carried direction at a station, of which the caller gives point and tangent.
    pub fn at(&self, station_mm: f64, point: &Point3, tangent: &Vec3) -> Vec3 {
        let i = self.stations_mm.partition_point(|s| *s <= station_mm).max(1) - 1;
        carry((&self.points[i], &self.tangents[i]), (point, tangent), &self.directions[i])
    }
}

/// A unit direction square to a unit tangent: the axis least along it, made square.
pub fn any_square_to(tangent: &Vec3) -> Vec3 {
    let axis = Vec3::ith(tangent.abs().imin(), 1.0);
    (axis - tangent * tangent.dot(&axis)).normalize()
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::f64::consts::TAU;

    /// Angle by which the frame carried in `steps` steps along the helix (20 cos t, 20 sin t, 5 t),
    /// 1.25 turns, ends away from the principal normal it began with.
    fn helix_angle(steps: usize) -> f64 {
        let at = |t: f64| {
            let tangent = Vec3::new(-20.0 * t.sin(), 20.0 * t.cos(), 5.0).normalize();
            (Point3::new(20.0 * t.cos(), 20.0 * t.sin(), 5.0 * t), tangent)
        };
        let normal = |t: f64| Vec3::new(-t.cos(), -t.sin(), 0.0);
        let end = 1.25 * TAU;
        let mut direction = normal(0.0);
        for k in 0..steps {
            let (p0, t0) = at(end * k as f64 / steps as f64);
            let (p1, t1) = at(end * (k + 1) as f64 / steps as f64);
            direction = carry((&p0, &t0), (&p1, &t1), &direction);
        }
        let (_, tangent) = at(end);
        let n = normal(end);
        direction.dot(&tangent.cross(&n)).atan2(direction.dot(&n))
    }

    // Closed form: −∫ τ ds = −1.90487034462 rad. Published order: local 5, global 4.
    #[test]
    fn fourth_order_on_a_helix() {
        let exact = -1.904_870_344_62;
        let error = |steps| helix_angle(steps) - exact;
        for (steps, published) in [(20, 3.494_288_39e-6), (40, 2.178_787_64e-7), (80, 1.360_942_16e-8)] {
            assert!((error(steps).abs() - published).abs() < 2e-11, "{steps} {}", error(steps));
        }
        assert!(error(20) / error(40) > 14.0 && error(40) / error(80) > 14.0);
    }

    // A place told twice, by two ways of computing it, is a chord of rounding: it may point anywhere.
    #[test]
    fn a_chord_of_rounding_turns_nothing() {
        let p = Point3::new(100.0, -50.0, 300.0);
        for chord in [Vec3::x(), Vec3::y(), Vec3::z(), Vec3::new(0.6, 0.64, 0.48)] {
            let (to, turned) = (p + chord * 1e-13, Vec3::new(1.0, 1e-15, -1e-15));
            let carried = carry((&p, &Vec3::x()), (&to, &turned), &Vec3::y());
            assert!((carried - Vec3::y()).norm() < 1e-9, "{chord:?}: {carried:?}");
        }
    }

    #[test]
    fn no_chord_and_no_turn_leave_the_direction() {
        let p = Point3::new(1.0, 2.0, 3.0);
        let t = Vec3::x();
        assert_eq!(carry((&p, &t), (&p, &t), &Vec3::y()), Vec3::y());
    }
}
