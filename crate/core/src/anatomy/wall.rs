//! The aortic wall: points on it and lengths along it.
//!
//! X(s, θ) = c(s) + r(s, θ)(cos θ · o + sin θ · b). A length along the wall at a fixed clock position
//! is ∫ |∂X/∂s| ds; it is longer than the centreline on the outer curve and shorter on the inner.

use super::course::{Course, OuterFrame};
use super::lumen::Lumen;
use crate::message;
use crate::numeric::quadrature::panel;
use crate::numeric::roots::bracketed;
use crate::quantity::Unknown;
use crate::units::{Angle, Point3, Vec3};
use std::sync::Arc;

/// Where the wall moves less than this per millimetre of centreline it folds to an edge, mm.
const LEAST_STRETCH: f64 = 1e-9;

/// Course and lumen together.
#[derive(Clone, Debug)]
pub struct Wall {
    course: Arc<Course>,
    lumen: Arc<Lumen>,
    /// Stations at which a panel of quadrature begins or ends.
    panels_mm: Arc<[f64]>,
}

/// A line along the wall at one clock position, with its length measured once.
#[derive(Clone, Debug)]
pub struct WallLine {
    /// Its clock position.
    pub clock: Angle,
    /// Length from the first panel to each.
    lengths_mm: Vec<f64>,
}

impl Wall {
    /// Puts course and lumen together.
    ///
    /// # Errors
    /// Unknown where there is no arch plane.
    pub fn new(course: Arc<Course>, lumen: Arc<Lumen>) -> Result<Self, Unknown> {
        course.plane()?;
        let (first, last) = course.line().range_mm();
        let mut panels: Vec<f64> = course
            .line()
            .stations_mm()
            .chain(lumen.stations_mm().iter().copied())
            .filter(|s| (first..=last).contains(s))
            .collect();
        panels.sort_by(f64::total_cmp);
        panels.dedup_by(|a, b| *a - *b < 1e-9);
        Ok(Wall { course, lumen, panels_mm: panels.into() })
    }

    /// The course.
    pub fn course(&self) -> &Course {
        &self.course
    }

    /// The lumen.
    pub fn lumen(&self) -> &Lumen {
        &self.lumen
    }

    /// The wall's point at a station and clock position, LPS mm.
    ///
    /// # Errors
    /// Unknown outside the data.
    pub fn point(&self, station_mm: f64, clock: Angle) -> Result<Point3, Unknown> {
        let frame = self.course.frame(station_mm)?;
        Ok(frame.centre.point + frame.towards(clock) * self.lumen.radius(station_mm, clock).mm)
    }

    /// |∂X/∂s|: millimetres of wall per millimetre of centreline at a clock position.
    ///
    /// # Errors
    /// Unknown outside the data.
    pub fn scale(&self, station_mm: f64, clock: Angle) -> Result<f64, Unknown> {
        Ok(self.stretch(&self.course.frame(station_mm)?, clock).norm())
    }

    /// ∂X/∂s.
    fn stretch(&self, frame: &OuterFrame, clock: Angle) -> Vec3 {
        let (r, along) = self.lumen.radius_along(frame.centre.station_mm, clock);
        frame.centre.tangent + frame.towards(clock) * along + frame.towards_change(clock) * r
    }

    /// The wall's own directions at a point of it, unit vectors: along the flow at a fixed clock
    /// position, and outward square to the wall.
    ///
    /// # Errors
    /// Unknown outside the data, and where the wall folds to an edge.
    pub fn directions(&self, station_mm: f64, clock: Angle) -> Result<(Vec3, Vec3), Unknown> {
        let frame = self.course.frame(station_mm)?;
        let radius = self.lumen.radius(station_mm, clock);
        let along = self.stretch(&frame, clock);
        let around = frame.towards(clock) * radius.around + frame.around(clock) * radius.mm;
        let outward = around.cross(&along);
        match (along.try_normalize(LEAST_STRETCH), outward.try_normalize(LEAST_STRETCH)) {
            (Some(along), Some(outward)) => Ok((along, outward)),
            _ => Err(Unknown(message::wall_edge(station_mm))),
        }
    }

    /// Whether the wall folds at a station: the inner side turns back on itself, κ r ≥ 1.
    pub fn folds(&self, station_mm: f64) -> bool {
        let Ok(frame) = self.course.frame(station_mm) else { return false };
        let inner = frame.clock_of(&frame.centre.curvature);
        let r = self.lumen.radius_along(station_mm, inner).0;
        frame.centre.curvature.norm() * r >= 1.0
    }

    /// Measures the wall along a clock position.
    pub fn line(&self, clock: Angle) -> WallLine {
        let mut lengths_mm = Vec::with_capacity(self.panels_mm.len());
        let mut length = 0.0;
        lengths_mm.push(length);
        for pair in self.panels_mm.windows(2) {
            length += self.piece(clock, pair[0], pair[1]);
            lengths_mm.push(length);
        }
        WallLine { clock, lengths_mm }
    }

    fn piece(&self, clock: Angle, from_mm: f64, to_mm: f64) -> f64 {
        panel(from_mm, to_mm, |s| self.course.frame(s).map_or(0.0, |f| self.stretch(&f, clock).norm()))
    }

    /// Length along a measured line from one station to another, mm; negative upstream.
    ///
    /// # Errors
    /// Unknown where one of them lies outside the data.
    pub fn between(&self, line: &WallLine, from_mm: f64, to_mm: f64) -> Result<f64, Unknown> {
        Ok(self.length_at(line, to_mm)? - self.length_at(line, from_mm)?)
    }

    /// The station a length along the line away from another; negative lengths go upstream.
    ///
    /// # Errors
    /// Unknown where it lies outside the data.
    pub fn station_at(&self, line: &WallLine, from_mm: f64, length_mm: f64) -> Result<f64, Unknown> {
        let goal = self.length_at(line, from_mm)? + length_mm;
        let last = line.lengths_mm.len() - 1;
        let i = line.lengths_mm.partition_point(|l| *l <= goal);
        if goal < 0.0 || i > last {
            let end = if goal < 0.0 { self.panels_mm[0] } else { self.panels_mm[last] };
            return Err(Unknown(message::outside_data(end, self.course.line().range_mm())));
        }
        let (a, b) = (self.panels_mm[i - 1], self.panels_mm[i]);
        let miss = |s: f64| line.lengths_mm[i - 1] + self.piece(line.clock, a, s) - goal;
        Ok(bracketed(a, b, 1e-10, miss).unwrap_or(a))
    }

    fn length_at(&self, line: &WallLine, station_mm: f64) -> Result<f64, Unknown> {
        if !self.course.line().reaches(station_mm) {
            return Err(Unknown(message::outside_data(station_mm, self.course.line().range_mm())));
        }
        let i = self.panels_mm.partition_point(|s| *s <= station_mm).max(1) - 1;
        Ok(line.lengths_mm[i] + self.piece(line.clock, self.panels_mm[i], station_mm))
    }
}
