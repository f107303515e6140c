//! How a stent enters a vessel from the aorta: the pose at the ostium, and where that pose goes when
//! each of the numbers it rests on is off by its error.

use super::course::{Course, OuterFrame};
use super::openings::WallPlace;
use super::wall::Wall;
use crate::casefile::case::VesselInput;
use crate::message;
use crate::quantity::{Quantity, Unknown};
use crate::units::{Angle, Pose, Vec3};

/// A take-off that rises from the wall by less than this sine runs along it, dimensionless.
const LEAST_RISE: f64 = 1e-6;

/// The pose at a vessel's ostium.
#[derive(Clone, Debug, PartialEq)]
pub struct Entry {
    /// The ostium's centre with the take-off.
    pub pose: Pose,
    /// The same when the ostium's station, its clock, the take-off angle or the lean is off by
    /// [`Entry::SHARE`] of one standard deviation.
    pub off: [Pose; 4],
    /// One standard deviation of its direction, degrees.
    pub takeoff_sd_deg: f64,
}

impl Entry {
    /// Errors are taken to first order over this share of a standard deviation.
    pub const SHARE: f64 = 0.1;

    /// Of a vessel that leaves through an ostium on a wall.
    ///
    /// # Errors
    /// Unknown where clock, lumen or take-off is, or the take-off does not leave the wall.
    pub(super) fn new(
        vessel: &VesselInput,
        place: &WallPlace,
        wall: &Wall,
        course: &Course,
        takeoff_sd_deg: f64,
    ) -> Result<Self, Unknown> {
        let angle = Angle::deg(vessel.takeoff_deg.ok_or(Unknown::because(message::NO_TAKEOFF))?);
        let lean = Angle::deg(vessel.lean_deg.ok_or(Unknown::because(message::NO_TAKEOFF))?);
        let (clock, clock_sd_deg) = match &place.clock {
            Quantity::Known { value, error, .. } => (*value, *error),
            Quantity::Unknown { why } => return Err(Unknown(why.clone())),
        };
        let pose = |station_mm: f64, clock: Angle, angle: Angle| -> Result<Pose, Unknown> {
            let frame = course.frame(station_mm)?;
            Ok(Pose { point: wall.point(station_mm, clock)?, direction: takeoff(&frame, clock, angle, lean) })
        };
        let here = pose(place.station_mm, clock, angle)?;
        let frame = course.frame(place.station_mm)?;
        if here.direction.dot(&frame.towards(clock)) <= LEAST_RISE {
            return Err(Unknown::because(message::TAKEOFF_INTO_WALL));
        }
        let step = |deg: f64| Angle::deg(deg * Self::SHARE);
        // The last of the data is not passed for the sake of an error.
        let station = place.station_mm + place.station_sd_mm * Self::SHARE;
        let along = pose(station, clock, angle).unwrap_or(here);
        let around = pose(place.station_mm, clock + step(clock_sd_deg), angle)?;
        let turned = pose(place.station_mm, clock, angle + step(takeoff_sd_deg))?;
        // A lean is worth as much as the take-off: the direction is as uncertain to both sides.
        let aside = frame.around(clock) * lean.cos() - frame.towards(clock) * lean.sin();
        let tilt = step(takeoff_sd_deg);
        let leaned = Pose { direction: here.direction * tilt.cos() + aside * tilt.sin(), ..here };
        Ok(Entry { pose: here, off: [along, around, turned, leaned], takeoff_sd_deg })
    }
}

/// Direction of a take-off: an angle to the downstream tangent, and the turn of its part across the
/// flow from the outward normal towards larger clock.
pub(super) fn takeoff(frame: &OuterFrame, clock: Angle, angle: Angle, lean: Angle) -> Vec3 {
    let across = frame.towards(clock) * lean.cos() + frame.around(clock) * lean.sin();
    frame.centre.tangent * angle.cos() + across * angle.sin()
}
