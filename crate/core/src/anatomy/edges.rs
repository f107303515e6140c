//! Distances as a sheet gives them: to an ostium's edge or centre, along one of three lines.
//!
//! A case holds the station of an ostium's centre. What was measured to an edge is turned into it, and
//! back, along the wall at the ostium's own clock. Knows nothing of how numbers are typed.

use super::Anatomy;
use crate::casefile::case::Line;
use crate::quantity::Unknown;
use crate::units::Angle;

/// To which point of an ostium a distance runs.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Reach {
    /// Its upstream edge.
    UpstreamEdge,
    /// Its centre.
    Centre,
    /// Its downstream edge.
    DownstreamEdge,
}

impl Reach {
    /// From the centre to this point as a share of the ostium's length along the flow.
    fn share(self) -> f64 {
        match self {
            Reach::UpstreamEdge => -0.5,
            Reach::Centre => 0.0,
            Reach::DownstreamEdge => 0.5,
        }
    }
}

impl Anatomy {
    /// Station of the centre of an ostium of which one point lies at a station, mm: half of `along_mm`
    /// away from an edge, measured along the wall at the ostium's clock.
    ///
    /// # Errors
    /// Unknown without a wall, or where it lies outside the data.
    pub fn centre_of(&self, point_mm: f64, reach: Reach, clock: Angle, along_mm: f64) -> Result<f64, Unknown> {
        self.along_wall(point_mm, clock, -reach.share() * along_mm)
    }

    /// Station of a point of an ostium whose centre lies at a station, mm: the way back from
    /// [`Anatomy::centre_of`].
    ///
    /// # Errors
    /// As [`Anatomy::centre_of`].
    pub fn point_of(&self, centre_mm: f64, reach: Reach, clock: Angle, along_mm: f64) -> Result<f64, Unknown> {
        self.along_wall(centre_mm, clock, reach.share() * along_mm)
    }

    fn along_wall(&self, from_mm: f64, clock: Angle, length_mm: f64) -> Result<f64, Unknown> {
        if length_mm == 0.0 {
            return Ok(from_mm);
        }
        let wall = self.wall()?;
        wall.station_at(&wall.line(clock), from_mm, length_mm)
    }

    /// Length between two stations along the inner curve, the centreline or the outer curve, mm;
    /// negative upstream.
    ///
    /// # Errors
    /// Unknown without a wall (but for the centreline), or outside the data.
    pub fn length_along(&self, line: Line, from_mm: f64, to_mm: f64) -> Result<f64, Unknown> {
        match line {
            Line::Centre => Ok(to_mm - from_mm),
            Line::Inner => self.wall()?.between(self.inner.as_ref().map_err(Clone::clone)?, from_mm, to_mm),
            Line::Outer => self.wall()?.between(self.outer.as_ref().map_err(Clone::clone)?, from_mm, to_mm),
        }
    }

    /// Station a typed length downstream of another along one of the three lines, mm: the way back
    /// from [`Anatomy::length_along`].
    ///
    /// # Errors
    /// As [`Anatomy::length_along`].
    pub fn station_after(&self, line: Line, from_mm: f64, length_mm: f64) -> Result<f64, Unknown> {
        match line {
            Line::Centre => Ok(from_mm + length_mm),
            Line::Inner => self.wall()?.station_at(self.inner.as_ref().map_err(Clone::clone)?, from_mm, length_mm),
            Line::Outer => self.wall()?.station_at(self.outer.as_ref().map_err(Clone::clone)?, from_mm, length_mm),
        }
    }
}
