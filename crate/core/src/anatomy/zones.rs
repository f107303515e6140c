//! Landing zones of the arch with their lengths on inner curve, centreline and outer curve.
//!
//! Zones as in the reporting standards of 2020 (J Vasc Surg 2020;71:723-47): 0 from the origin to the
//! downstream edge of the innominate artery, 1 to that of the left common carotid, 2 to that of the
//! left subclavian, 3 the next 20 mm. A common trunk of the first two removes zone 1.

use super::openings::{Ostium, Vessel};
use super::wall::{Wall, WallLine};
use crate::quantity::{Quantity, Unknown};

/// Length of zone 3, mm.
const ZONE_3_MM: f64 = 20.0;

/// A landing zone.
#[derive(Clone, Debug)]
pub struct Zone {
    /// Its number.
    pub zone: u8,
    /// Its upstream end.
    pub from_mm: f64,
    /// Its downstream end.
    pub to_mm: f64,
    /// Length along the inner curve.
    pub inner_mm: Quantity,
    /// Length along the centreline.
    pub centre_mm: f64,
    /// Length along the outer curve.
    pub outer_mm: Quantity,
}

/// The zones whose ends are known. `from_mm` is where zone 0 begins: the origin, or the first point
/// of the data where that lies further downstream.
pub(super) fn zones(
    from_mm: f64,
    ostia: &[Ostium],
    vessels: &[Vessel],
    wall: &Result<Wall, Unknown>,
    inner: &Result<WallLine, Unknown>,
    outer: &Result<WallLine, Unknown>,
) -> Vec<Zone> {
    let edge_of = |id: &str| -> Option<(usize, f64)> {
        let ostium = vessels.iter().find(|v| v.id == id)?.ostium?;
        Some((ostium, ostia[ostium].edges_mm.as_ref().ok()?.1))
    };
    let length = |line: &Result<WallLine, Unknown>, a: f64, b: f64| -> Quantity {
        let measured = || -> Result<f64, Unknown> {
            let line = line.as_ref().map_err(Clone::clone)?;
            wall.as_ref().map_err(Clone::clone)?.between(line, a, b)
        };
        measured().into()
    };
    let mut zones = Vec::new();
    let mut add = |zone: u8, from_mm: f64, to_mm: f64| {
        zones.push(Zone {
            zone,
            from_mm,
            to_mm,
            inner_mm: length(inner, from_mm, to_mm),
            centre_mm: to_mm - from_mm,
            outer_mm: length(outer, from_mm, to_mm),
        });
    };
    let (Some((ia, end_0)), Some((lcca, end_1)), Some((lsa, end_2))) = (edge_of("IA"), edge_of("LCCA"), edge_of("LSA"))
    else {
        return zones;
    };
    let mut from = from_mm;
    for (zone, to, present) in [(0, end_0, true), (1, end_1, lcca != ia), (2, end_2, lsa != lcca)] {
        if present && to > from {
            add(zone, from, to);
            from = to;
        }
    }
    add(3, from, from + ZONE_3_MM);
    zones
}
