//! Lines: as a file gives them, and cleaned in patient axes and millimetres.
//!
//! Repeats are dropped, and a line with more points than a case can hold is thinned to points 0.1 mm
//! apart, so that later work is bounded. Knows nothing of trunk and branches.

use super::axes::{Axes, Unit};
use crate::casefile::fields::anatomy::MOST_POINTS;
use crate::curve::spline::REPEAT_MM;
use crate::fault::{Fault, Faults};
use crate::units::Point3;

/// Least distance of the points of a thinned line, mm: far below what any CT resolves.
const THINNED_MM: f64 = 0.1;

/// How wide the lumen is along a line.
#[derive(Clone, Debug, PartialEq)]
pub(super) enum Widths {
    Unknown,
    /// Radius of the largest inscribed sphere, one a point.
    Radii(Vec<f64>),
    /// Largest and smallest diameter, one pair a point.
    Extremes(Vec<[f64; 2]>),
}

impl Widths {
    fn picked(&self, kept: &[usize], factor: f64) -> Self {
        match self {
            Widths::Unknown => Widths::Unknown,
            Widths::Radii(all) => Widths::Radii(kept.iter().map(|i| all[*i] * factor).collect()),
            Widths::Extremes(all) => Widths::Extremes(kept.iter().map(|i| all[*i].map(|d| d * factor)).collect()),
        }
    }

    fn reversed(self) -> Self {
        match self {
            Widths::Unknown => Widths::Unknown,
            Widths::Radii(mut all) => {
                all.reverse();
                Widths::Radii(all)
            }
            Widths::Extremes(mut all) => {
                all.reverse();
                Widths::Extremes(all)
            }
        }
    }
}

/// A line in the axes and unit of its file.
#[derive(Clone, Debug)]
pub(super) struct RawLine {
    /// How it is named to the user.
    pub name: String,
    /// Its place in the file.
    pub place: String,
    pub points: Vec<[f64; 3]>,
    pub widths: Widths,
}

/// A cleaned line: LPS, mm, neighbours at least [`REPEAT_MM`] apart, two points at least.
#[derive(Clone, Debug)]
pub(super) struct Line {
    pub name: String,
    pub place: String,
    pub points: Vec<Point3>,
    pub widths: Widths,
    /// Length from the first point to each.
    along_mm: Vec<f64>,
}

impl Line {
    /// Converts and cleans; `None` where it is no line, and the fault is told.
    pub fn new(raw: &RawLine, axes: Axes, unit: Unit, faults: &mut Faults, assumed: &mut Vec<String>) -> Option<Self> {
        // Rounded first, so that the case file and what is computed here speak of the same points.
        let point = |p: &[f64; 3]| axes.to_patient(*p, unit.mm()).map(rounded);
        let points: Vec<Point3> = raw.points.iter().map(point).collect();
        let mut kept = spaced(&points, REPEAT_MM);
        let repeats = points.len() - kept.len();
        if repeats > 0 {
            assumed.push(format!("{}: {repeats} repeated points were dropped.", raw.name));
        }
        if kept.len() < 2 {
            faults.add(Fault::new(
                "short_line",
                raw.place.clone(),
                format!("{} has {} distinct points.", raw.name, kept.len()),
                "A line needs at least two; leave it out of the file, or check the unit.",
            ));
            return None;
        }
        if kept.len() > MOST_POINTS {
            let distinct = kept.len();
            kept = spaced(&points, THINNED_MM);
            assumed.push(format!(
                "{}: thinned from {distinct} to {} points, at least {THINNED_MM} mm apart.",
                raw.name,
                kept.len()
            ));
        }
        let closed = (points[0] - points[kept[kept.len() - 1]]).norm() < 2.0 * REPEAT_MM;
        if closed && kept.len() > 2 {
            faults.add(Fault::new(
                "closed_line",
                raw.place.clone(),
                format!("{} ends where it begins.", raw.name),
                "A centreline has two ends: cut it open or leave it out.",
            ));
            return None;
        }
        let widths = raw.widths.picked(&kept, unit.mm());
        let points = kept.iter().map(|i| points[*i]).collect();
        Some(Line::of(raw.name.clone(), raw.place.clone(), points, widths))
    }

    fn of(name: String, place: String, points: Vec<Point3>, widths: Widths) -> Self {
        let mut along = 0.0;
        let mut along_mm = vec![0.0];
        for pair in points.windows(2) {
            along += (pair[1] - pair[0]).norm();
            along_mm.push(along);
        }
        Line { name, place, points, widths, along_mm }
    }

    /// The same line run through the other way.
    pub fn reversed(self) -> Self {
        let mut points = self.points;
        points.reverse();
        Line::of(self.name, self.place, points, self.widths.reversed())
    }

    /// Length of the whole line.
    pub fn length_mm(&self) -> f64 {
        self.along_mm.last().copied().unwrap_or(0.0)
    }

    /// Length from the first point to each.
    pub fn along_mm(&self) -> &[f64] {
        &self.along_mm
    }

    pub fn first(&self) -> Point3 {
        self.points[0]
    }

    pub fn last(&self) -> Point3 {
        self.points[self.points.len() - 1]
    }

    /// The segment that holds a length along the line, and the share of it.
    fn within(&self, along_mm: f64) -> (usize, f64) {
        let last = self.along_mm.len() - 1;
        let i = self.along_mm.partition_point(|a| *a <= along_mm).clamp(1, last) - 1;
        let share = (along_mm - self.along_mm[i]) / (self.along_mm[i + 1] - self.along_mm[i]);
        (i, share.clamp(0.0, 1.0))
    }

    /// The point a length along the line; its ends beyond them.
    pub fn at(&self, along_mm: f64) -> Point3 {
        let (i, share) = self.within(along_mm);
        self.points[i] + (self.points[i + 1] - self.points[i]) * share
    }

    /// Radius of the lumen at a point of the line, as far as it is known.
    pub fn radius_of(&self, index: usize) -> Option<f64> {
        match &self.widths {
            Widths::Unknown => None,
            Widths::Radii(all) => Some(all[index]),
            Widths::Extremes(all) => Some(all[index].iter().sum::<f64>() / 4.0),
        }
    }

    /// Radius of the lumen a length along the line.
    pub fn radius_at(&self, along_mm: f64) -> Option<f64> {
        let (i, share) = self.within(along_mm);
        let (a, b) = (self.radius_of(i)?, self.radius_of(i + 1)?);
        Some(a + (b - a) * share)
    }

    /// Largest radius of the lumen, 0 where none is known.
    pub fn widest_mm(&self) -> f64 {
        (0..self.points.len()).filter_map(|i| self.radius_of(i)).fold(0.0, f64::max)
    }

    /// Distance of a point from the chain of points, and the length along it there.
    pub fn nearest(&self, point: &Point3) -> (f64, f64) {
        let mut best = (f64::INFINITY, 0.0);
        for (i, pair) in self.points.windows(2).enumerate() {
            let edge = pair[1] - pair[0];
            let share = ((point - pair[0]).dot(&edge) / edge.norm_squared()).clamp(0.0, 1.0);
            let distance = (point - (pair[0] + edge * share)).norm();
            if distance < best.0 {
                best = (distance, self.along_mm[i] + share * edge.norm());
            }
        }
        best
    }
}

/// A number for the case file: to a ten-thousandth, and never −0.
pub(super) fn rounded(value: f64) -> f64 {
    (value * 1e4).round() / 1e4 + 0.0
}

/// Indices of points at least a distance from the last kept one.
fn spaced(points: &[Point3], apart_mm: f64) -> Vec<usize> {
    let mut kept: Vec<usize> = Vec::new();
    for (i, point) in points.iter().enumerate() {
        if kept.last().is_none_or(|last| (point - points[*last]).norm() >= apart_mm) {
            kept.push(i);
        }
    }
    kept
}
