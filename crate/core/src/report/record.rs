//! What was done, against what was planned: landing, turn, stents. A centre's own errors come from it.

use super::words;
use crate::bridging::stent::Choice;
use crate::casefile::case::{ComponentKind, StentDone};
use crate::graft::lie::{KeptLine, Lie};
use crate::plan::Plan;
use crate::units::Angle;
use serde::Serialize;

/// What was done, with its differences from the plan.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[allow(missing_docs)]
pub struct Record {
    /// The component whose landing it is.
    pub component: Option<String>,
    pub landing_station_mm: Option<f64>,
    /// Where its proximal edge was planned, in every possibility.
    pub landings: Vec<Landing>,
    /// How far it came to lie turned from the plan, + clockwise looking downstream.
    pub turn_deg: Option<f64>,
    pub stents: Vec<StentRecord>,
}

/// A landing against its plan in one possibility.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[allow(missing_docs)]
pub struct Landing {
    pub lie: Lie,
    pub length_kept_by: KeptLine,
    pub planned_station_mm: Option<f64>,
    /// Done less planned, + downstream.
    pub difference_mm: Option<f64>,
}

/// A stent against its plan.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[allow(missing_docs)]
pub struct StentRecord {
    pub serves: String,
    pub diameter_mm: Option<f64>,
    pub length_mm: Option<f64>,
    /// What was planned, in words.
    pub planned: String,
    /// Done less planned, where one stent was planned.
    pub diameter_difference_mm: Option<f64>,
    pub length_difference_mm: Option<f64>,
}

/// The record of a plan; none where nothing was done yet.
pub fn record(plan: &Plan) -> Option<Record> {
    let done = plan.case.done.as_ref()?;
    let is_arch = |id: &str| plan.case.components.iter().any(|c| c.id == id && c.kind == ComponentKind::ArchGraft);
    let graft = plan.grafts.iter().find(|graft| is_arch(&graft.component)).or(plan.grafts.first());
    let landings = graft.map_or_else(Vec::new, |graft| {
        let each = graft.lies.iter().map(|lie| {
            let planned_station_mm = lie.station_mm(0.0).ok();
            Landing {
                lie: lie.possibility.lie,
                length_kept_by: lie.possibility.length_kept_by,
                planned_station_mm,
                difference_mm: done.landing_station_mm.zip(planned_station_mm).map(|(done, planned)| done - planned),
            }
        });
        each.collect()
    });
    Some(Record {
        component: graft.map(|graft| graft.component.clone()),
        landing_station_mm: done.landing_station_mm,
        landings,
        turn_deg: done.turn_deg,
        stents: done.stents.iter().map(|own| stent(plan, own)).collect(),
    })
}

fn stent(plan: &Plan, own: &StentDone) -> StentRecord {
    let order = plan.stents.iter().find(|order| order.serves == own.serves);
    let one = order.and_then(|order| match &order.choice {
        Choice::One { length, diameter } => Some((length.mm, diameter.mm)),
        _ => None,
    });
    StentRecord {
        serves: own.serves.clone(),
        diameter_mm: own.diameter_mm,
        length_mm: own.length_mm,
        planned: order.map_or_else(|| "none".into(), words::stent_short),
        diameter_difference_mm: own.diameter_mm.zip(one).map(|(done, (_, planned))| done - planned),
        length_difference_mm: own.length_mm.zip(one).map(|(done, (planned, _))| done - planned),
    }
}

/// The record in words, a lead and a line each.
pub fn lines(record: &Record) -> Vec<(String, String)> {
    let mm = |value: Option<f64>| value.map_or_else(|| words::UNKNOWN.to_owned(), words::mm);
    let off = |value: f64| if value > 0.0 { format!("+{}", words::mm(value)) } else { words::mm(value) };
    let mut lines = Vec::new();
    if record.landing_station_mm.is_some() {
        let known = record.landings.iter().filter_map(|landing| landing.difference_mm);
        let range = known.fold(None, |range: Option<[f64; 2]>, own| {
            Some(range.map_or([own, own], |[least, most]| [least.min(own), most.max(own)]))
        });
        let against = match range {
            Some([least, most]) if most - least < 0.05 => format!("{} from the plan", off(least)),
            Some([least, most]) => format!("{} to {} from the plan, by how it may lie", off(least), off(most)),
            None => "the plan's landing is unknown".into(),
        };
        lines.push(("Landed at".into(), format!("{}: {against} (+ downstream)", mm(record.landing_station_mm))));
    }
    if let Some(turn) = record.turn_deg {
        lines.push(("Turned by".into(), words::turn(Angle::deg(turn))));
    }
    for own in &record.stents {
        let size = match (own.length_mm, own.diameter_mm) {
            (Some(length), Some(diameter)) => format!("{} × {} mm", words::size(length), words::size(diameter)),
            (length, diameter) => format!("length {}, diameter {}", mm(length), mm(diameter)),
        };
        lines.push((format!("Stent to the {}", own.serves), format!("{size}; planned {}", own.planned)));
    }
    lines
}
