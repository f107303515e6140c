//! Both lumens by station, and each vessel: which lumen feeds it, how far it is dissected, where it is
//! healthy enough to land in.

use crate::anatomy::twelve;
use crate::bridging::vessel::{Landing, landing};
use crate::casefile::case::{FedFrom, TrueLumen};
use crate::plan::Plan;
use crate::quantity::Unknown;
use crate::units::Angle;

/// Both lumens at a station.
#[derive(Clone, Debug, PartialEq)]
pub struct LumensAt {
    /// Station, mm.
    pub station_mm: f64,
    /// Area-derived diameter of the true lumen, mm.
    pub true_mm: Option<f64>,
    /// Diameter of the whole aorta, mm.
    pub whole_mm: Option<f64>,
    /// Diameter of a circle of the false lumen's area, √(whole² − true²), mm.
    pub false_mm: Option<f64>,
    /// Clock of the true lumen's middle.
    pub centre: Option<Angle>,
    /// Where the flap meets the wall, smaller clock first.
    pub flap: Option<[Angle; 2]>,
}

/// A vessel in dissection.
#[derive(Clone, Debug, PartialEq)]
pub struct VesselAt {
    /// Its id.
    pub id: String,
    /// Which lumen feeds it.
    pub fed_from: Option<FedFrom>,
    /// How far from the aortic wall it is dissected, mm; 0 where it is healthy from the wall on.
    pub dissected_mm: Option<f64>,
    /// Where a stent may land.
    pub landing: Result<Landing, Unknown>,
}

/// Both lumens at every measured station, upstream first.
pub fn lumens(plan: &Plan) -> Vec<LumensAt> {
    // A clock that cannot be read is none.
    let course = || plan.anatomy.as_ref().map(|anatomy| &*anatomy.course).map_err(Clone::clone);
    let read = |station_mm: f64, deg: Option<f64>| {
        let clock = twelve::read(&plan.case, course(), station_mm, deg).ok()?;
        clock.value().copied()
    };
    let one = |own: &TrueLumen| {
        let clock = |deg| read(own.station_mm, deg);
        let (centre, edge) = (clock(own.centre_clock_deg), clock(own.flap_clock_deg));
        LumensAt {
            station_mm: own.station_mm,
            true_mm: own.diameter_mm,
            whole_mm: own.whole_diameter_mm,
            false_mm: own.diameter_mm.zip(own.whole_diameter_mm).map(|(t, w)| (w * w - t * t).max(0.0).sqrt()),
            centre,
            // The true lumen reaches as far on the other side of its middle.
            flap: centre.zip(edge).map(|(centre, edge)| [edge, (centre + (centre - edge).wrapped()).wrapped()]),
        }
    };
    plan.case.anatomy.true_lumen.iter().map(one).collect()
}

/// Area-derived diameter of the true lumen at a station, linear between measured ones, mm; `None` beyond
/// them.
pub fn true_mm(plan: &Plan, station_mm: f64) -> Option<f64> {
    let measured = || plan.case.anatomy.true_lumen.iter().filter_map(|t| Some((t.station_mm, t.diameter_mm?)));
    let before = measured().rfind(|(s, _)| *s <= station_mm)?;
    let after = measured().find(|(s, _)| *s >= station_mm)?;
    let length = after.0 - before.0;
    let share = if length > 0.0 { (station_mm - before.0) / length } else { 0.0 };
    Some(before.1 + share * (after.1 - before.1))
}

/// The vessels, in the order of the case.
pub fn vessels(plan: &Plan) -> Vec<VesselAt> {
    let least = plan.case.stock.as_ref().and_then(|stock| stock.least_landing_mm);
    let own = &plan.case.anatomy.vessels;
    own.iter()
        .map(|vessel| VesselAt {
            id: vessel.id.clone(),
            fed_from: vessel.fed_from,
            dissected_mm: vessel.healthy_from_mm,
            landing: landing(&plan.case, &vessel.id, least),
        })
        .collect()
}
