//! The anatomy: what the measured case means in space. Computed once per revision of what was
//! measured; a drag of the graft never comes here.
//!
//! [`course`] is centreline, arch plane and outer curve; [`lumen`] the distance to the wall; [`wall`]
//! points and lengths on it; [`openings`] ostia, vessels and keep-clear points; [`zones`] the landing
//! zones. Nothing here knows of a graft.

pub mod course;
pub mod lumen;
pub mod openings;
pub mod wall;
pub mod zones;

use crate::casefile::case::{Case, CentrelineInput};
use crate::curve::Centreline;
use crate::curve::spline::Fitted;
use crate::fault::Fault;
use crate::message;
use crate::quantity::Unknown;
use crate::units::{Angle, Point3};
use course::Course;
use lumen::Lumen;
use openings::{KeepClear, Ostium, Placing, Vessel};
use std::sync::Arc;
use wall::{Wall, WallLine};
use zones::Zone;

/// How well the centreline fits its points.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Fit {
    /// Length of the chain of given points, mm.
    pub input_length_mm: f64,
    /// Root mean square distance from the points, mm.
    pub residual_rms_mm: f64,
    /// Largest distance from a point, mm.
    pub residual_max_mm: f64,
}

/// A stretch of stations, mm.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Stretch {
    /// First station.
    pub from_mm: f64,
    /// Last station.
    pub to_mm: f64,
}

/// Everything that follows from what was measured.
#[derive(Clone, Debug)]
pub struct Anatomy {
    /// How well the line fits; `None` for a curve handed over in closed form.
    pub fit: Option<Fit>,
    /// Centreline, arch plane, outer curve.
    pub course: Arc<Course>,
    /// The lumen.
    pub lumen: Result<Arc<Lumen>, Unknown>,
    /// The wall.
    pub wall: Result<Wall, Unknown>,
    /// The wall along 6:00.
    pub inner: Result<WallLine, Unknown>,
    /// The wall along 12:00.
    pub outer: Result<WallLine, Unknown>,
    /// Whether the user marked where station 0 lies.
    pub origin_marked: bool,
    /// Openings, in order of station.
    pub ostia: Vec<Ostium>,
    /// Vessels, in the order of the case.
    pub vessels: Vec<Vessel>,
    /// Points that fabric must keep clear of.
    pub keep_clear: Vec<KeepClear>,
    /// Landing zones.
    pub zones: Vec<Zone>,
    /// Where the inner side of the wall folds.
    pub folds: Vec<Stretch>,
}

impl Anatomy {
    /// From a case with centreline points.
    ///
    /// # Errors
    /// The case has no points, too few, or an origin outside them.
    pub fn measure(case: &Case) -> Result<Self, Fault> {
        let input = case.anatomy.centreline.as_ref().ok_or_else(|| {
            Fault::new("no_centreline", "/anatomy/centreline", message::NO_CENTRELINE, "")
        })?;
        let (line, fit) = fit(input)?;
        Ok(Self::on(line, case, Some(fit), input.origin_at_mm.is_some()))
    }

    /// On a curve handed over as it stands, whose station 0 is the origin.
    pub fn on_curve(line: Centreline, case: &Case) -> Self {
        Self::on(line, case, None, true)
    }

    fn on(line: Centreline, case: &Case, fit: Option<Fit>, origin_marked: bool) -> Self {
        let input = &case.anatomy;
        let stations: Vec<f64> = input.ostia.iter().map(|o| o.station_mm).collect();
        let course = Arc::new(Course::new(line, &stations));
        let lumen = Lumen::new(&input.lumen).map(Arc::new).ok_or(Unknown::because(message::NO_LUMEN));
        let wall = lumen.clone().and_then(|lumen| Wall::new(course.clone(), lumen));
        let along = |clock| wall.as_ref().map(|w| w.line(clock)).map_err(Clone::clone);
        let (inner, outer) = (along(Angle::HALF_TURN), along(Angle::ZERO));
        let placing = Placing { case, course: &course, wall: &wall };
        let mut ostia: Vec<Ostium> = input.ostia.iter().map(|o| placing.ostium(o, &input.vessels)).collect();
        ostia.sort_by(|a, b| a.place.station_mm.total_cmp(&b.place.station_mm));
        let vessels: Vec<Vessel> =
            input.vessels.iter().map(|v| placing.vessel(v, &input.vessels, &ostia)).collect();
        let keep_clear = input.keep_clear.iter().map(|k| placing.keep_clear(k)).collect();
        let begin = course.line().range_mm().0.max(0.0);
        let zones = zones::zones(begin, &ostia, &vessels, &wall, &inner, &outer);
        let folds = wall.as_ref().map(folds).unwrap_or_default();
        Anatomy {
            fit,
            course,
            lumen,
            wall,
            inner,
            outer,
            origin_marked,
            ostia,
            vessels,
            keep_clear,
            zones,
            folds,
        }
    }

    /// The wall.
    ///
    /// # Errors
    /// Unknown without a lumen or an arch plane.
    pub fn wall(&self) -> Result<&Wall, Unknown> {
        self.wall.as_ref().map_err(Clone::clone)
    }

    /// The lumen.
    ///
    /// # Errors
    /// Unknown where nothing was measured.
    pub fn lumen(&self) -> Result<&Lumen, Unknown> {
        self.lumen.as_deref().map_err(Clone::clone)
    }

    /// The first ostium of the arch.
    pub fn first_ostium(&self) -> Option<&Ostium> {
        self.ostia.first()
    }

    /// Twist drift at a station: by how much a line carried without twist from the first ostium of
    /// the arch has turned on the clock there; `None` without an ostium or an arch plane.
    pub fn drift(&self, station_mm: f64) -> Option<Angle> {
        let first = self.first_ostium()?.place.station_mm;
        self.course.drift(first, station_mm).ok()
    }

    /// The ostium a vessel leaves through.
    pub fn ostium_of(&self, vessel: &str) -> Option<&Ostium> {
        let index = self.vessels.iter().find(|v| v.id == vessel)?.ostium?;
        self.ostia.get(index)
    }
}

/// Fits the given points and marks station 0.
fn fit(input: &CentrelineInput) -> Result<(Centreline, Fit), Fault> {
    let points: Vec<Point3> = input.points_lps_mm.iter().map(|p| Point3::from(*p)).collect();
    let fitted = Fitted::new(&points, input.smoothing_length_mm)?;
    let origin = match input.origin_at_mm {
        None => 0.0,
        Some(along) => fitted.length_at_input(along).ok_or_else(|| {
            Fault::new(
                "origin_outside",
                "/anatomy/centreline/origin_at_mm",
                format!(
                    "The origin is marked at {along} mm, but the points end at {:.1} mm.",
                    fitted.input_length_mm
                ),
                "Mark it between 0 and the length of the given points.",
            )
        })?,
    };
    let fit = Fit {
        input_length_mm: fitted.input_length_mm,
        residual_rms_mm: fitted.residual_rms_mm,
        residual_max_mm: fitted.residual_max_mm,
    };
    Ok((fitted.line.with_origin(origin), fit))
}

/// Stretches where the wall folds, to about 1 mm.
fn folds(wall: &Wall) -> Vec<Stretch> {
    let mut stretches: Vec<Stretch> = Vec::new();
    let (first, last) = wall.course().line().range_mm();
    let mut open = false;
    let steps = (last - first).ceil() as usize;
    for k in 0..=steps {
        let s = (first + k as f64).min(last);
        let here = wall.folds(s);
        match (here, open, stretches.last_mut()) {
            (true, true, Some(stretch)) => stretch.to_mm = s,
            (true, ..) => stretches.push(Stretch { from_mm: s, to_mm: s }),
            (false, ..) => {}
        }
        open = here;
    }
    stretches
}
