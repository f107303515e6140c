//! The anatomy: what the measured case means in space. Computed once per revision of what was
//! measured; a drag of the graft never comes here.
//!
//! [`course`] is centreline, arch plane and outer curve; [`twelve`] reads typed clock positions about it; [`lumen`] the distance to the wall; [`wall`]
//! points and lengths on it; [`openings`] ostia, vessels and keep-clear points; [`edges`] what
//! a sheet measured to an edge; [`entry`] how a stent enters a vessel; [`zones`] the landing zones;
//! [`rebuilt`] an arch from a measuring sheet; [`measuring`] brings them about, piece by piece.
//! Nothing here knows of a graft.

pub mod course;
pub mod edges;
pub mod entry;
pub mod lumen;
pub mod measuring;
pub mod openings;
pub mod rebuilt;
pub mod survey;
pub mod tissue;
pub mod twelve;
pub mod wall;
pub mod zones;

use crate::casefile::case::Case;
use crate::curve::Centreline;
use crate::fault::Fault;
use crate::message;
use crate::quantity::Unknown;
use crate::task::Task;
use crate::units::Angle;
use course::Course;
use lumen::Lumen;
use measuring::Measuring;
use openings::{KeepClear, Ostium, Vessel};
use rebuilt::Rebuilt;
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
    /// How the arch was rebuilt from a measuring sheet; `None` where a centreline was measured. Such an
    /// anatomy is rough.
    pub rough: Option<Rebuilt>,
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
    /// From a case with centreline points or a measuring sheet, without pause; [`Measuring`] is the same
    /// in pieces.
    ///
    /// # Errors
    /// The case has neither, too few points, an origin outside them, or a sheet that gives no arch.
    pub fn measure(case: &Arc<Case>) -> Result<Self, Fault> {
        Measuring::of(case.clone()).finish().unwrap_or_else(|| Err(no_centreline()))
    }

    /// Whether what begins at the origin is known.
    ///
    /// # Errors
    /// Unknown until the origin is marked on the centreline, or said of a measuring sheet.
    pub fn origin(&self) -> Result<(), Unknown> {
        match (self.origin_marked, &self.rough) {
            (true, _) => Ok(()),
            (false, Some(_)) => Err(Unknown::because(message::UNSAID_ORIGIN)),
            (false, None) => Err(Unknown::because(message::UNANSWERED_ORIGIN)),
        }
    }

    /// Whether the beginning of a landing zone is known: zone 0 begins at the origin.
    ///
    /// # Errors
    /// As [`Anatomy::origin`]; unknown where the data do not reach it.
    pub fn begins(&self, zone: &Zone) -> Result<(), Unknown> {
        if zone.zone > 0 {
            return Ok(());
        }
        self.origin()?;
        let range = self.course.line().range_mm();
        if zone.from_mm > 0.0 { Err(Unknown(message::outside_data(0.0, range))) } else { Ok(()) }
    }

    /// On a curve handed over as it stands, whose station 0 is the origin.
    pub fn on_curve(line: Centreline, case: &Arc<Case>) -> Result<Self, Fault> {
        Measuring::on(line, case.clone()).finish().unwrap_or_else(|| Err(no_centreline()))
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

    /// Whether it is known how the aorta stands in the patient: without it no view angle is.
    ///
    /// # Errors
    /// Unknown for an arch rebuilt from a sheet that does not say where its plane points.
    pub fn bearing(&self) -> Result<(), Unknown> {
        self.rough.as_ref().map_or(Ok(()), Rebuilt::bearing)
    }

    /// Twist drift at a station: by how much a line carried without twist from the first ostium of
    /// the arch has turned on the clock there; `None` without an ostium or an arch plane, and of a
    /// rebuilt arch, which is flat whatever the aorta is.
    pub fn drift(&self, station_mm: f64) -> Option<Angle> {
        if self.rough.is_some() {
            return None;
        }
        let first = self.first_ostium()?.place.station_mm;
        self.course.drift(first, station_mm).ok()
    }

    /// The ostium a vessel leaves through.
    pub fn ostium_of(&self, vessel: &str) -> Option<&Ostium> {
        let index = self.vessels.iter().find(|v| v.id == vessel)?.ostium?;
        self.ostia.get(index)
    }
}

/// There is nothing to measure on.
fn no_centreline() -> Fault {
    Fault::new("no_centreline", "/anatomy/centreline", message::NO_CENTRELINE, "")
}
