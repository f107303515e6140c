//! Every way in and out of the false lumen: what was entered, and what follows from how vessels are fed.

use crate::casefile::case::{Case, FedFrom, Way, WayKind};
use crate::spoken::mm;

/// A way as the plan takes it.
#[derive(Clone, Debug, PartialEq)]
pub struct WayIn {
    /// Its id; for one that nobody entered, the vessel's.
    pub id: String,
    /// Its kind and place in words.
    pub name: String,
    /// Station in the aorta, mm.
    pub station_mm: Option<f64>,
    /// Vessel in which it lies.
    pub in_vessel: Option<String>,
    /// Distance from the aortic wall there, mm.
    pub at_mm: Option<f64>,
    /// Length along the flow, mm.
    pub along_mm: Option<f64>,
    /// Length around, mm.
    pub across_mm: Option<f64>,
    /// What the case says closes it.
    pub said: Vec<String>,
    /// The stage in which the case says it is closed.
    pub stage: Option<u32>,
    /// Whether it is left open on purpose.
    pub on_purpose: bool,
    /// Whether it follows from how a vessel is fed and nobody entered it.
    pub implied: bool,
}

/// All ways, those entered first.
pub fn ways(case: &Case) -> Vec<WayIn> {
    let mut all: Vec<WayIn> = case.anatomy.ways.iter().map(entered).collect();
    for vessel in &case.anatomy.vessels {
        let opens = matches!(vessel.fed_from, Some(FedFrom::FalseLumen | FedFrom::Both));
        if opens && !case.anatomy.ways.iter().any(|way| way.in_vessel.as_ref() == Some(&vessel.id)) {
            all.push(WayIn {
                id: vessel.id.clone(),
                name: format!("ostium of the {}, fed from the false lumen", vessel.id),
                station_mm: None,
                in_vessel: Some(vessel.id.clone()),
                at_mm: Some(0.0),
                along_mm: None,
                across_mm: None,
                said: Vec::new(),
                stage: None,
                on_purpose: false,
                implied: true,
            });
        }
    }
    all
}

fn entered(way: &Way) -> WayIn {
    let kind = match way.kind {
        WayKind::SutureLine => "suture line",
        WayKind::Entry => "entry",
        WayKind::Reentry => "re-entry",
        WayKind::Vessel => "way",
    };
    let place = match (&way.in_vessel, way.station_mm, way.at_mm) {
        (Some(vessel), _, Some(at)) => format!(" in the {vessel} at {}", mm(at)),
        (Some(vessel), _, None) => format!(" in the {vessel}"),
        (None, Some(station), _) => format!(" at {}", mm(station)),
        (None, None, _) => String::new(),
    };
    WayIn {
        id: way.id.clone(),
        name: format!("{kind}{place}"),
        station_mm: way.station_mm,
        in_vessel: way.in_vessel.clone(),
        at_mm: way.at_mm,
        along_mm: way.along_mm,
        across_mm: way.across_mm,
        said: way.closed_by.clone(),
        stage: way.stage,
        on_purpose: way.left_on_purpose,
        implied: false,
    }
}
