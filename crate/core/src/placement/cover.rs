//! What fabric covers: the distance from its edge to points that must stay clear.

use crate::anatomy::Anatomy;
use crate::anatomy::openings::KeepClear;
use crate::graft::lie::{GraftLie, PlacedGraft};
use crate::graft::shape;
use crate::quantity::{Quantity, Unknown};

/// Length of wall from the nearest fabric edge to the edge of a keep-clear point, at the point's
/// clock, mm; negative where fabric covers any of it, by as much as the graft would have to move.
///
/// # Errors
/// Unknown where the point's clock or size is, or the fabric's edge lies beyond the data.
pub fn distance_to_fabric(
    point: &KeepClear,
    placed: &PlacedGraft,
    lie: &GraftLie,
    anatomy: &Anatomy,
) -> Result<Quantity, Unknown> {
    let line = point.place.line.as_ref().map_err(Clone::clone)?;
    let radius = *point.radius_mm.get()?;
    let wall = anatomy.wall()?;
    let at = point.place.station_mm;
    let mut least = f64::INFINITY;
    for (from_u, to_u) in shape::covered(&placed.graft) {
        // Lengths from the point to the two edges, + where the edge lies away from the fabric.
        let edge = |u: f64| lie.fabric_station_mm(&placed.graft, u, line.clock, anatomy);
        let upstream = edge(from_u).and_then(|s| wall.between(line, at, s));
        let downstream = edge(to_u).and_then(|s| wall.between(line, s, at));
        let clear = match (upstream, downstream) {
            (Ok(a), Ok(b)) => a.max(b),
            // An edge beyond the data is farther away than any measured point; only the other edge
            // can leave the point free.
            (Ok(a), Err(unknown)) | (Err(unknown), Ok(a)) => {
                if a > 0.0 {
                    a
                } else {
                    return Err(unknown);
                }
            }
            (Err(unknown), Err(_)) => return Err(unknown),
        };
        least = least.min(clear - radius);
    }
    if least.is_infinite() {
        return Err(Unknown::because(crate::message::NO_SECTION));
    }
    let scale = wall.scale(at, line.clock)?;
    Ok(Quantity::known(least, point.place.station_sd_mm * scale))
}
