//! How much shorter a line looks at a view, and the views at which it does not.
//!
//! A line of direction v seen from the direction d has |v × d| of its length. Every view square to it
//! shows it whole; in positioner angles these lie on one curve, s(p) = atan((v_y cos p − v_x sin p)/v_z).
//! Directions here are the machine's axes where positioner angles come in, else any axes of both.

use super::angles::Positioner;
use crate::units::{Angle, Point3, Vec3};
use std::f64::consts::TAU;

/// A line shorter than this has no direction, mm or without unit.
const LEAST_LENGTH: f64 = 1e-9;

/// Share of its length at which a line is seen from a unit direction; a line of no length is seen
/// whole, for nothing of it is lost.
pub fn seen(line: &Vec3, toward: &Vec3) -> f64 {
    let length = line.norm();
    if length < LEAST_LENGTH { 1.0 } else { (line.cross(toward).norm() / length).min(1.0) }
}

/// Share by which a line looks shorter: 1 − [`seen`].
pub fn of_line(line: &Vec3, toward: &Vec3) -> f64 {
    1.0 - seen(line, toward)
}

/// Share by which a curve through points looks shorter, over its whole length.
pub fn of_curve(points: &[Point3], toward: &Vec3) -> f64 {
    let (mut whole, mut shown) = (0.0, 0.0);
    for pair in points.windows(2) {
        let piece = pair[1] - pair[0];
        whole += piece.norm();
        shown += piece.cross(toward).norm();
    }
    if whole < LEAST_LENGTH { 0.0 } else { (1.0 - shown / whole).max(0.0) }
}

/// The secondary angle at which a line is square to the view, with the primary held; `None` where
/// none is (a line across the patient is square at one primary only, whatever the secondary).
pub fn secondary_for(line: &Vec3, primary: Angle) -> Option<Angle> {
    let across = line.y * primary.cos() - line.x * primary.sin();
    if line.norm() < LEAST_LENGTH || line.z.abs() < LEAST_LENGTH * line.norm() {
        return None;
    }
    Some(Angle::rad((across / line.z).atan()))
}

/// The two primary angles at which a line is square to the view, with the secondary held; `None`
/// where it never is.
pub fn primaries_for(line: &Vec3, secondary: Angle) -> Option<[Angle; 2]> {
    let across = line.x.hypot(line.y);
    if across < LEAST_LENGTH {
        return None;
    }
    let sine = line.z * secondary.tan() / across;
    if !(-1.0..=1.0).contains(&sine) {
        return None;
    }
    let (lies, off) = (Angle::atan2(line.y, line.x), Angle::rad(sine.asin()));
    Some([(lies - off).wrapped(), (lies + Angle::HALF_TURN + off).wrapped()])
}

/// All views square to a line, once round it in `steps` steps; empty for a line of no length.
pub fn perpendicular(line: &Vec3, steps: usize) -> Vec<Positioner> {
    let Some(axis) = line.try_normalize(LEAST_LENGTH) else { return Vec::new() };
    let [u, w] = square_to(&axis);
    (0..=steps)
        .map(|step| {
            let turn = Angle::rad(TAU * step as f64 / steps.max(1) as f64);
            Positioner::towards(&(u * turn.cos() + w * turn.sin()))
        })
        .collect()
}

/// The direction from which two lines are both seen whole; its opposite serves as well. `None` for
/// lines that run alike, which a whole curve of views shows.
pub fn both(a: &Vec3, b: &Vec3) -> Option<Vec3> {
    let (a, b) = (a.try_normalize(LEAST_LENGTH)?, b.try_normalize(LEAST_LENGTH)?);
    a.cross(&b).try_normalize(1e-6)
}

/// The direction square to a curve as nearly as one can be: it lies along the least of the curve's
/// spread of directions, Σ l t tᵀ. `None` for a curve of no length.
///
/// For a curve in a plane this is the plane's normal; for a straight one any direction square to it.
pub fn across_curve(points: &[Point3]) -> Option<Vec3> {
    let mut spread = nalgebra::Matrix3::zeros();
    for pair in points.windows(2) {
        let piece = pair[1] - pair[0];
        let length = piece.norm();
        if length >= LEAST_LENGTH {
            spread += piece * piece.transpose() / length;
        }
    }
    // A trace that is no number is no curve either.
    if spread.trace().is_nan() || spread.trace() <= LEAST_LENGTH {
        return None;
    }
    let eigen = nalgebra::SymmetricEigen::new(spread);
    eigen.eigenvectors.column(eigen.eigenvalues.imin()).into_owned().try_normalize(LEAST_LENGTH)
}

/// Two unit directions square to a unit direction and to each other.
pub fn square_to(axis: &Vec3) -> [Vec3; 2] {
    let least = Vec3::ith(axis.abs().imin(), 1.0);
    let u = axis.cross(&least).normalize();
    [u, axis.cross(&u)]
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use super::*;

    const LINE: [f64; 3] = [0.36, 0.48, 0.8];

    fn line() -> Vec3 {
        Vec3::from(LINE)
    }

    // The perpendicular curve of (.36, .48, .8), each value by closed form and by root finding.
    #[test]
    fn perpendicular_views_of_a_line() {
        for (p, s) in [
            (-60.0, 34.5944730749),
            (-30.0, 36.671931461),
            (0.0, 30.9637565321),
            (30.0, 16.4157769908),
            (45.0, 6.05449847939),
            (60.0, -5.12636323755),
        ] {
            let found = secondary_for(&line(), Angle::deg(p)).unwrap();
            assert!((found.to_deg() - s).abs() < 1e-9, "{p}: {}", found.to_deg());
            assert!(line().dot(&Positioner::new(Angle::deg(p), found).direction()).abs() < 1e-12);
        }
        for (s, p) in [(-20.0, 82.1618154189), (10.0, 39.5324291728), (30.0, 2.79413771127)] {
            let found = primaries_for(&line(), Angle::deg(s)).unwrap();
            assert!((found[0].to_deg() - p).abs() < 1e-9, "{s}: {}", found[0].to_deg());
            for p in found {
                assert!(line().dot(&Positioner::new(p, Angle::deg(s)).direction()).abs() < 1e-12);
            }
        }
        // Largest |s| on the curve = 90 − asin|v_z|.
        let highest = perpendicular(&line(), 7200).iter().map(|at| at.secondary.to_deg()).fold(0.0, f64::max);
        assert!((highest - 36.8698976458).abs() < 1e-4, "{highest}");
        assert!(primaries_for(&line(), Angle::deg(37.0)).is_none());
    }

    #[test]
    fn the_whole_curve_is_square_to_its_line() {
        for v in [line(), Vec3::z(), Vec3::x(), Vec3::new(0.3, -0.9, 1e-14), -line()] {
            let curve = perpendicular(&v, 90);
            assert_eq!(curve.len(), 91);
            assert!(curve.iter().all(|at| v.dot(&at.direction()).abs() < 1e-12));
        }
        assert!(perpendicular(&Vec3::zeros(), 90).is_empty());
        assert!(secondary_for(&Vec3::x(), Angle::deg(10.0)).is_none());
        assert!(primaries_for(&Vec3::z(), Angle::deg(10.0)).is_none());
    }

    // Lines (.36, .48, .8) and (.8, .6, 0) together, by root finding; foreshortening at (45, 0).
    #[test]
    fn two_lines_at_once_and_a_factor() {
        let d = both(&line(), &Vec3::new(0.8, 0.6, 0.0)).unwrap();
        let at = Positioner::towards(&if d.y < 0.0 { d } else { -d });
        assert!((at.primary.to_deg() - 36.8698976458).abs() < 1e-9, "{}", at.primary.to_deg());
        assert!((at.secondary.to_deg() - 11.8597791209).abs() < 1e-9, "{}", at.secondary.to_deg());
        assert!(both(&line(), &(line() * -3.0)).is_none());
        let factor = seen(&line(), &Positioner::deg(45.0, 0.0).direction());
        assert!((factor - 0.996393496566).abs() < 1e-11, "{factor}");
    }

    #[test]
    fn a_flat_curve_is_whole_from_its_normal() {
        let arc = |k: i32| {
            let t = f64::from(k) / 20.0;
            Point3::from(Vec3::new(0.6, -0.8, 0.0) * t.cos() * 30.0 + Vec3::z() * t.sin() * 30.0)
        };
        let points: Vec<Point3> = (0..40).map(arc).collect();
        let normal = across_curve(&points).unwrap();
        assert!((normal.dot(&Vec3::new(0.8, 0.6, 0.0)).abs() - 1.0).abs() < 1e-12);
        assert!(of_curve(&points, &normal).abs() < 1e-12);
        // Along the straight piece between its ends a straight curve vanishes.
        let straight = [Point3::origin(), Point3::new(0.0, 0.0, 5.0)];
        assert!((of_curve(&straight, &Vec3::z()) - 1.0).abs() < 1e-12);
        assert!(across_curve(&straight).unwrap().z.abs() < 1e-12);
        assert!(across_curve(&[Point3::origin(); 3]).is_none() && across_curve(&[]).is_none());
        assert_eq!(of_curve(&[], &Vec3::z()), 0.0);
        assert_eq!(of_line(&Vec3::zeros(), &Vec3::z()), 0.0);
    }
}
