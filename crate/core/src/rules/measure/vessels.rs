//! Measures of the arch vessels: where a bridging stent lands.

use super::{Measure, Part, Reading, Scope, Subject, reading, unknown};
use crate::casefile::case::VesselInput;
use crate::message;
use crate::quantity::{Quantity, Unknown};

/// These measures.
pub const MEASURES: &[Measure] = &[
    Measure {
        id: "vessel.landing_diameter_mm",
        hangs_on: Part::Anatomy,
        unit: "mm",
        name: "Diameter of a vessel",
        sentence: "Diameter of the vessel wherever it was measured from the beginning of its healthy wall to its first branch",
        needs: &["vessel"],
        nothing: message::NO_VESSEL,
        subjects: vessel_subjects,
        read: |scope, _, of| diameters(scope, of).unwrap_or_else(unknown),
    },
    Measure {
        id: "vessel.landing_length_mm",
        hangs_on: Part::Anatomy,
        unit: "mm",
        name: "Landing in a vessel",
        sentence: "Length of the vessel from the beginning of its healthy wall to its first branch",
        needs: &["vessel"],
        nothing: message::NO_VESSEL,
        subjects: vessel_subjects,
        read: |scope, _, of| landing(scope, of).map_or_else(unknown, |value| vec![reading(value, true)]),
    },
    Measure {
        id: "vessel.takeoff_deg",
        hangs_on: Part::Anatomy,
        unit: "deg",
        name: "Take-off of a vessel",
        sentence: "Angle between the vessel's first 10 mm and the direction of the flow",
        needs: &["vessel", "takeoff"],
        nothing: message::NO_VESSEL,
        subjects: vessel_subjects,
        read: |scope, _, of| {
            let typed = vessel(scope, of).and_then(|v| v.takeoff_deg.ok_or(Unknown::because(message::NO_TAKEOFF)));
            let error = scope.case.errors.takeoff_sd_deg;
            typed.map_or_else(unknown, |degrees| vec![reading(Quantity::known(degrees, error), true)])
        },
    },
];

/// Vessels of the case, in its order, each with its own id as its kind.
fn vessel_subjects(scope: &Scope<'_>) -> Vec<Subject> {
    let of = |v: &VesselInput| Subject { id: v.id.clone(), flow: None, kind: Some(v.id.clone()) };
    scope.case.anatomy.vessels.iter().map(of).collect()
}

fn vessel<'a>(scope: &Scope<'a>, of: &Subject) -> Result<&'a VesselInput, Unknown> {
    scope.case.anatomy.vessels.iter().find(|v| v.id == of.id).ok_or(Unknown::because(message::NO_VESSEL))
}

fn healthy_from(vessel: &VesselInput) -> Result<f64, Unknown> {
    vessel.healthy_from_mm.ok_or_else(|| Unknown(message::no_healthy_from(&vessel.id)))
}

fn landing(scope: &Scope<'_>, of: &Subject) -> Result<Quantity, Unknown> {
    let vessel = vessel(scope, of)?;
    let end = vessel.to_first_branch_mm.ok_or_else(|| Unknown(message::no_first_branch(&vessel.id)))?;
    // A length between two typed places.
    Ok(Quantity::known(end - healthy_from(vessel)?, scope.case.errors.station_sd_mm * 2f64.sqrt()))
}

fn diameters(scope: &Scope<'_>, of: &Subject) -> Result<Vec<Reading>, Unknown> {
    let vessel = vessel(scope, of)?;
    let from = healthy_from(vessel)?;
    let to = vessel.to_first_branch_mm.unwrap_or(f64::INFINITY);
    let inside = vessel.diameters.iter().filter(|d| d.at_mm >= from && d.at_mm <= to);
    let error = scope.case.errors.diameter_sd_mm;
    let readings: Vec<Reading> = inside.map(|d| reading(Quantity::known(d.diameter_mm, error), true)).collect();
    if readings.is_empty() { Err(Unknown(message::no_vessel_diameter(&vessel.id))) } else { Ok(readings) }
}
