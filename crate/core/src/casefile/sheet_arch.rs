//! What the numbers of an arch from a measuring sheet ask of each other: those that no arch can have
//! together. What merely does not fit the rebuilt arch is no fault; it gets a residual there.

use super::measured::SheetArch;
use crate::fault::Fault;

/// Where the numbers stand in a case.
const PLACE: &str = "/anatomy/sheet_arch";
/// A full turn, in radians.
const FULL_TURN: f64 = std::f64::consts::TAU;

/// Everything that no arch can have together, a sentence each.
pub fn faults(sheet: &SheetArch) -> Vec<Fault> {
    let mut all = Vec::new();
    let mut fault = |code: &str, key: &str, text: String, mend: &str| {
        all.push(Fault::new(code, format!("{PLACE}/{key}"), text, mend));
    };
    let longer = [
        ("outer curve", "outer_mm", sheet.outer_mm, "inner curve", sheet.inner_mm),
        ("centreline", "centre_mm", sheet.centre_mm, "inner curve", sheet.inner_mm),
        ("outer curve", "outer_mm", sheet.outer_mm, "centreline", sheet.centre_mm),
    ];
    for (long_name, key, long, short_name, short) in longer {
        if let (Some(long), Some(short)) = (long, short)
            && long <= short
        {
            let text = format!("The {long_name}, {long} mm, is not longer than the {short_name}, {short} mm.");
            fault("lengths_contradict", key, text, "In a bend it must be: swap the two, or measure again.");
        }
    }
    if let (Some(inner), Some(outer), Some(diameter)) = (sheet.inner_mm, sheet.outer_mm, sheet.diameter_mm)
        && outer - inner >= FULL_TURN * diameter
    {
        let text = format!(
            "Outer less inner length, {} mm, over a diameter of {diameter} mm is more than a full turn.",
            outer - inner
        );
        fault("turns_too_far", "diameter_mm", text, "Check the two lengths and the diameter.");
    }
    if let Some(radius) = sheet.radius_mm {
        let along = sheet.from_station_mm.zip(sheet.to_station_mm).map(|(from, to)| to - from).or(sheet.centre_mm);
        if radius <= 0.0 {
            fault(
                "no_radius",
                "radius_mm",
                format!("A radius of {radius} mm is no bend."),
                "Enter the radius of the centreline.",
            );
        } else if let Some(length) = along.filter(|length| *length >= FULL_TURN * radius) {
            let text = format!("A bend of {length} mm with a radius of {radius} mm is more than a full turn.");
            fault("turns_too_far", "radius_mm", text, "Check the radius and the length of the bend.");
        }
    }
    all
}
