//! What a vessel offers a bridging stent: where it may land, and how far its end may reach.
//!
//! Distances run along the vessel from the aortic wall, as they were measured.

use crate::casefile::case::{BypassKind, Case, VesselInput};
use crate::message;
use crate::quantity::Unknown;

/// Least healthy wall a stent lands on, mm: common practice, no source.
pub const LANDING_MM: f64 = 15.0;
/// The same in the left subclavian artery, mm: common practice, no source.
pub const LANDING_SUBCLAVIAN_MM: f64 = 25.0;
/// The vessel of [`LANDING_SUBCLAVIAN_MM`].
const SUBCLAVIAN: &str = "LSA";

/// Where a stent may end in a vessel.
#[derive(Clone, Debug, PartialEq)]
pub struct Landing {
    /// Where healthy wall begins.
    pub from_mm: f64,
    /// The nearest end of a stent that lands.
    pub nearest_mm: f64,
    /// The farthest end of a stent that covers nothing.
    pub farthest_mm: f64,
    /// What lies there.
    pub farthest_is: &'static str,
    /// Smallest and largest diameter over the landing, mm; unknown where none was measured.
    pub diameters_mm: Result<[f64; 2], Unknown>,
}

/// The landing of a vessel; `least_mm` of healthy wall where the case gives one.
///
/// # Errors
/// Unknown where healthy wall or first branch was not entered.
pub fn landing(case: &Case, id: &str, least_mm: Option<f64>) -> Result<Landing, Unknown> {
    let vessels = &case.anatomy.vessels;
    let vessel = vessels.iter().find(|v| v.id == id).ok_or(Unknown::because(message::NO_OSTIUM))?;
    let grafts = case.anatomy.bypasses.iter().filter(|b| b.kind == BypassKind::Interposition && b.to == vessel.id);
    // An interposed graft is healthy wall from its beginning on.
    let from_mm = match (vessel.healthy_from_mm, grafts.filter_map(|graft| graft.at_mm).reduce(f64::min)) {
        (Some(healthy), Some(graft)) => healthy.min(graft),
        (healthy, graft) => healthy.or(graft).ok_or(Unknown::because(message::NO_HEALTHY_FROM))?,
    };
    // A stent has reached a vessel that leaves a trunk no sooner than the trunk divides.
    let divides = vessels.iter().any(|v| v.id == vessel.from);
    let from_mm = if divides { from_mm.max(vessel.at_mm) } else { from_mm };
    let first_branch = vessel.to_first_branch_mm.ok_or(Unknown::because(message::NO_FIRST_BRANCH))?;
    let usual = if id == SUBCLAVIAN { LANDING_SUBCLAVIAN_MM } else { LANDING_MM };
    let nearest_mm = from_mm + least_mm.unwrap_or(usual);
    // Vessels that leave this one are branches too, whatever was typed as the first.
    let leaving = vessels.iter().filter(|v| v.from == vessel.id).map(|v| (v.at_mm, "first branch"));
    let (farthest_mm, farthest_is) =
        [(Some(first_branch), "first branch"), (vessel.vertebral_at_mm, "vertebral artery")]
            .into_iter()
            .chain([(vessel.mammary_at_mm, "mammary artery")])
            .filter_map(|(at, what)| at.map(|at| (at, what)))
            .chain(leaving)
            .fold((f64::INFINITY, ""), |nearest, next| if next.0 < nearest.0 { next } else { nearest });
    Ok(Landing { from_mm, nearest_mm, farthest_mm, farthest_is, diameters_mm: diameters(vessel, from_mm, nearest_mm) })
}

/// Smallest and largest diameter between two places: linear between measured ones, constant beyond.
pub(crate) fn diameters(vessel: &VesselInput, from_mm: f64, to_mm: f64) -> Result<[f64; 2], Unknown> {
    let measured = &vessel.diameters;
    let (Some(first), Some(last)) = (measured.first(), measured.last()) else {
        return Err(Unknown::because(message::NO_VESSEL_DIAMETER));
    };
    let at = |mm: f64| {
        let i = measured.partition_point(|d| d.at_mm <= mm);
        match (i.checked_sub(1).map(|i| &measured[i]), measured.get(i)) {
            (Some(a), Some(b)) => {
                a.diameter_mm + (b.diameter_mm - a.diameter_mm) * (mm - a.at_mm) / (b.at_mm - a.at_mm)
            }
            (None, _) => first.diameter_mm,
            (_, None) => last.diameter_mm,
        }
    };
    let inside = measured.iter().filter(|d| d.at_mm > from_mm && d.at_mm < to_mm).map(|d| d.diameter_mm);
    let all = inside.chain([at(from_mm), at(to_mm)]);
    Ok(all.fold([f64::INFINITY, 0.0], |[least, most], d| [least.min(d), most.max(d)]))
}
