//! The outline of a tube on the detector's picture: where its wall runs along the rays.

use super::projection::Picture;
use crate::anatomy::Anatomy;
use crate::anatomy::wall::Wall;
use crate::casefile::case::Graft;
use crate::graft::lie::GraftLie;
use crate::graft::shape;
use crate::numeric::contour::zero_lines;
use crate::units::{Angle, Point3, Vec3};
use std::f64::consts::TAU;

/// Points round the tube.
pub const AROUND: usize = 48;
/// Distance of the rows along the tube, mm, and the most of them.
const STEP_MM: f64 = 2.0;
const MOST_ROWS: f64 = 300.0;

/// A tube as rows of points round it.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Tube {
    /// Row by row along the tube, [`AROUND`] to a row.
    points: Vec<Point3>,
    normals: Vec<Vec3>,
}

/// Values from one to another, both counted, about [`STEP_MM`] apart.
fn along(from: f64, to: f64) -> impl Iterator<Item = f64> {
    let steps = ((to - from) / STEP_MM).ceil().clamp(1.0, MOST_ROWS) as usize;
    (0..=steps).map(move |k| from + (to - from) * k as f64 / steps as f64)
}

/// Clock positions round a tube, evenly spaced.
pub fn clocks() -> impl Iterator<Item = Angle> {
    (0..AROUND).map(|k| Angle::rad(TAU * k as f64 / AROUND as f64))
}

impl Tube {
    /// Of the aorta's wall between two stations.
    pub fn of_wall(wall: &Wall, from_mm: f64, to_mm: f64) -> Self {
        let row = |station: f64| clocks().map(|clock| wall.point(station, clock).ok()).collect::<Option<Vec<_>>>();
        Tube::new(along(from_mm, to_mm).filter_map(row).flatten().collect())
    }

    /// Of a graft's fabric between two of its points; rows beyond the data or without fabric are left
    /// out.
    pub fn of_fabric(graft: &Graft, lie: &GraftLie, anatomy: &Anatomy, from_u: f64, to_u: f64) -> Self {
        let row = |u: f64| {
            shape::section_at(graft, u).filter(|section| section.covered)?;
            clocks().map(|clock| lie.fabric(graft, u, clock, anatomy).ok().map(|f| f.point)).collect::<Option<Vec<_>>>()
        };
        Tube::new(along(from_u, to_u).filter_map(row).flatten().collect())
    }

    fn new(points: Vec<Point3>) -> Self {
        let rows = points.len() / AROUND;
        let at = |row: usize, k: usize| points[row * AROUND + k % AROUND];
        let normal = |row: usize, k: usize| {
            let up = at((row + 1).min(rows - 1), k) - at(row.saturating_sub(1), k);
            let round = at(row, k + 1) - at(row, k + AROUND - 1);
            round.cross(&up)
        };
        let normals = (0..rows * AROUND).map(|i| normal(i / AROUND, i % AROUND)).collect();
        Tube { points, normals }
    }

    /// Every point.
    pub fn points(&self) -> &[Point3] {
        &self.points
    }

    /// The lines at which rays touch the tube, in the plane of the isocentre.
    pub fn outline(&self, picture: &Picture) -> Vec<Vec<[f64; 2]>> {
        let facing: Vec<f64> =
            self.points.iter().zip(&self.normals).map(|(p, normal)| normal.dot(&picture.ray(p))).collect();
        let rows = self.points.len() / AROUND;
        let spot = |[row, column]: [f64; 2]| {
            let (r, k) = (row.floor() as usize, column.floor() as usize);
            let (along, round) = (row - row.floor(), column - column.floor());
            let from = self.points[r * AROUND + k % AROUND];
            let to = if along > 0.0 {
                self.points[(r + 1).min(rows - 1) * AROUND + k % AROUND]
            } else {
                self.points[r * AROUND + (k + 1) % AROUND]
            };
            picture.spot(&(from + (to - from) * along.max(round)))
        };
        let lines = zero_lines(&facing, AROUND, true);
        lines.into_iter().map(|line| line.into_iter().filter_map(spot).collect()).collect()
    }

    /// Its first and last row as closed rings.
    pub fn ends(&self, picture: &Picture) -> Vec<Vec<[f64; 2]>> {
        let rows = self.points.len() / AROUND;
        if rows < 2 {
            return Vec::new();
        }
        [0, rows - 1].map(|row| picture.line(&self.points[row * AROUND..(row + 1) * AROUND])).into()
    }
}

#[cfg(test)]
mod tests {
    use super::super::angles::Positioner;
    use super::*;

    // A straight tube of radius 10 seen square to it is a strip 20 wide, seen along it a circle; with a
    // beam its edges are where rays touch: R·SOD/√(SOD² − R²) from the middle.
    #[test]
    fn a_straight_tube() {
        let row =
            |z: usize| clocks().map(move |c| Point3::new(10.0 * c.cos(), 10.0 * c.sin(), z as f64)).collect::<Vec<_>>();
        let tube = Tube::new((0..40).flat_map(row).collect());
        let mut picture =
            Picture { screen: Positioner::deg(37.0, 0.0).screen(), isocentre: Point3::origin(), beam: None };
        let lines = tube.outline(&picture);
        assert_eq!(lines.len(), 2);
        for [x, _] in lines.iter().flatten() {
            assert!((x.abs() - 10.0).abs() < 0.03, "{x}");
        }
        let (near, far) = (500.0, 900.0);
        picture.beam =
            Some(super::super::projection::Beam { source_to_isocentre_mm: near, source_to_detector_mm: far });
        let touch = 10.0 * near / (near * near - 100.0_f64).sqrt();
        for [x, _] in tube.outline(&picture).iter().flatten() {
            assert!((x.abs() - touch).abs() < 0.03, "{x} {touch}");
        }
        assert_eq!(tube.ends(&picture).len(), 2);
        assert!(Tube::new(Vec::new()).outline(&picture).is_empty());
    }
}
