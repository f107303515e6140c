//! What lies on the wall: ostia with their vessels, and points that fabric must keep clear of.

use super::course::Course;
use super::entry::{self, Entry};
use super::twelve;
use super::wall::{Wall, WallLine};
use crate::casefile::case::{Case, Errors, KeepClearInput, OstiumInput, VesselInput};
use crate::message;
use crate::quantity::{Quantity, Unknown};
use crate::units::{Angle, Point3, Vec3};

/// A place on the wall: its station, its clock, and the wall measured along that clock.
#[derive(Clone, Debug)]
pub struct WallPlace {
    /// Station of its centre, mm.
    pub station_mm: f64,
    /// Error of that station, one standard deviation, mm.
    pub station_sd_mm: f64,
    /// Stored clock of its centre, with one standard deviation in degrees.
    pub clock: Quantity<Angle>,
    /// Its point on the wall, LPS mm.
    pub point: Quantity<Point3>,
    /// The wall measured along its clock position.
    pub line: Result<WallLine, Unknown>,
}

/// An opening in the aortic wall.
#[derive(Clone, Debug)]
pub struct Ostium {
    /// Its id.
    pub id: String,
    /// Where its centre lies.
    pub place: WallPlace,
    /// Length on the wall along the flow, mm.
    pub along_mm: Quantity,
    /// Length on the wall around, mm.
    pub across_mm: Quantity,
    /// Stations of its upstream and downstream edge: where the wall's length from the centre, at its
    /// own clock, reaches half of `along_mm`.
    pub edges_mm: Result<(f64, f64), Unknown>,
    /// Ids of the vessels that leave through it, in the order of the case.
    pub vessels: Vec<String>,
}

/// A vessel of the arch.
#[derive(Clone, Debug)]
pub struct Vessel {
    /// Its id.
    pub id: String,
    /// Place in the list of ostia of the one it leaves through, over other vessels where needed.
    pub ostium: Option<usize>,
    /// Unit direction of its first 10 mm, LPS.
    pub takeoff: Quantity<Vec3>,
    /// Angle to the downstream tangent: 0 along the flow, 90 square.
    pub takeoff_angle: Option<Angle>,
    /// Turn of the part across the flow, from the outward normal towards larger clock.
    pub lean: Option<Angle>,
    /// How a stent enters it from the aorta.
    pub entry: Result<Entry, Unknown>,
}

/// A point that fabric must keep clear of.
#[derive(Clone, Debug)]
pub struct KeepClear {
    /// Its id.
    pub id: String,
    /// What it is.
    pub kind: String,
    /// Where its centre lies.
    pub place: WallPlace,
    /// Its radius on the wall, mm.
    pub radius_mm: Quantity,
}

/// What openings are placed with.
pub(super) struct Placing<'a> {
    pub(super) case: &'a Case,
    pub(super) course: &'a Course,
    pub(super) wall: &'a Result<Wall, Unknown>,
}

impl Placing<'_> {
    fn errors(&self) -> &Errors {
        &self.case.errors
    }

    fn place(&self, station_mm: f64, clock_deg: Option<f64>) -> WallPlace {
        let clock = match twelve::read(self.case, Ok(self.course), station_mm, clock_deg) {
            Ok(clock) => clock,
            Err(Unknown(why)) => Quantity::Unknown { why },
        };
        let wall = self.wall.as_ref().map_err(Clone::clone);
        let on_wall = || -> Result<(Point3, WallLine), Unknown> {
            let angle = *clock.get()?;
            let wall = wall?;
            Ok((wall.point(station_mm, angle)?, wall.line(angle)))
        };
        let (point, line) = match on_wall() {
            Ok((point, line)) => (Quantity::exact(point), Ok(line)),
            Err(unknown) => (Quantity::unknown(unknown.0.clone()), Err(unknown)),
        };
        WallPlace { station_mm, station_sd_mm: self.errors().station_sd_mm, clock, point, line }
    }

    /// Places an ostium.
    pub(super) fn ostium(&self, input: &OstiumInput, vessels: &[VesselInput]) -> Ostium {
        let place = self.place(input.station_mm, input.clock_deg);
        let size = |mm: Option<f64>| match mm {
            Some(mm) => Quantity::known(mm, self.errors().diameter_sd_mm),
            None => Quantity::unknown(message::NO_SIZE),
        };
        let along_mm = size(input.along_mm);
        let edges_mm = || -> Result<(f64, f64), Unknown> {
            let half = along_mm.get()? / 2.0;
            let line = place.line.as_ref().map_err(Clone::clone)?;
            let wall = self.wall.as_ref().map_err(Clone::clone)?;
            Ok((wall.station_at(line, input.station_mm, -half)?, wall.station_at(line, input.station_mm, half)?))
        };
        Ostium {
            id: input.id.clone(),
            edges_mm: edges_mm(),
            across_mm: size(input.across_mm),
            along_mm,
            vessels: vessels.iter().filter(|v| trunk_of(v, vessels) == input.id).map(|v| v.id.clone()).collect(),
            place,
        }
    }

    /// Places a vessel; `ostia` are those of the case.
    pub(super) fn vessel(&self, input: &VesselInput, vessels: &[VesselInput], ostia: &[Ostium]) -> Vessel {
        let trunk = trunk_of(input, vessels);
        let ostium = ostia.iter().position(|o| o.id == trunk);
        let takeoff = || -> Result<Quantity<Vec3>, Unknown> {
            let angle = input.takeoff_deg.ok_or(Unknown::because(message::NO_TAKEOFF))?;
            let lean = Angle::deg(input.lean_deg.ok_or(Unknown::because(message::NO_TAKEOFF))?);
            let ostium = ostium.map(|i| &ostia[i]).ok_or(Unknown::because(message::NO_OSTIUM))?;
            let clock = *ostium.place.clock.get()?;
            let frame = self.course.frame(ostium.place.station_mm)?;
            let takeoff = entry::takeoff(&frame, clock, Angle::deg(angle), lean);
            Ok(Quantity::known(takeoff, self.errors().takeoff_sd_deg))
        };
        Vessel {
            id: input.id.clone(),
            ostium,
            takeoff: takeoff().unwrap_or_else(|Unknown(why)| Quantity::Unknown { why }),
            takeoff_angle: input.takeoff_deg.map(Angle::deg),
            lean: input.lean_deg.map(Angle::deg),
            entry: self.entry(root_of(input, vessels), ostium.map(|i| &ostia[i])),
        }
    }

    /// How a vessel is entered: `root` is the vessel itself, or the trunk it branches from.
    fn entry(&self, root: &VesselInput, ostium: Option<&Ostium>) -> Result<Entry, Unknown> {
        let ostium = ostium.ok_or(Unknown::because(message::NO_OSTIUM))?;
        let wall = self.wall.as_ref().map_err(Clone::clone)?;
        Entry::new(root, &ostium.place, wall, self.course, self.errors().takeoff_sd_deg)
    }

    /// Places a keep-clear point.
    pub(super) fn keep_clear(&self, input: &KeepClearInput) -> KeepClear {
        KeepClear {
            id: input.id.clone(),
            kind: input.kind.clone(),
            place: self.place(input.station_mm, input.clock_deg),
            radius_mm: match input.radius_mm {
                Some(mm) => Quantity::exact(mm),
                None => Quantity::unknown(message::NO_KEEP_CLEAR_SIZE),
            },
        }
    }
}

/// The vessel at the root of a vessel's `from` chain: the trunk it branches from, or itself.
fn root_of<'a>(vessel: &'a VesselInput, vessels: &'a [VesselInput]) -> &'a VesselInput {
    let mut root = vessel;
    // A chain cannot be longer than the list, so a circle in an unchecked case ends too.
    for _ in vessels {
        match vessels.iter().find(|v| v.id == root.from) {
            Some(parent) => root = parent,
            None => break,
        }
    }
    root
}

/// The id at the root of a vessel's `from` chain: an ostium's, where the case is sound.
fn trunk_of<'a>(vessel: &'a VesselInput, vessels: &'a [VesselInput]) -> &'a str {
    root_of(vessel, vessels).from.as_str()
}
