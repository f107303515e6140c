//! Dissection, extent, surgery of the neck vessels and cord in the report and in words. Only names and units
//! change here; no number is computed.

use super::words::mm;
use crate::casefile::case::{Case, FedFrom};
use crate::dissection::cord::CordLine;
use crate::dissection::debranching::Surgery;
use crate::dissection::extent::Range;
use crate::dissection::flow::Flow;
use crate::dissection::stages::{LeftOut, StageEnd, WayAt};
use crate::dissection::ways::WayIn;
use crate::dissection::{Extent, words};
use crate::graft::lie::{KeptLine, Lie};
use crate::plan::Plan;
use crate::quantity::Quantity;
use crate::units::Angle;
use serde::Serialize;

/// Everything about the extent of the repair.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[allow(missing_docs)]
pub struct ExtentPart {
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub lumens: Vec<LumensPart>,
    pub vessels: Vec<FeedPart>,
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub ways: Vec<WayPart>,
    pub pieces: Vec<PiecePart>,
    pub stages: Vec<StagePart>,
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub left_out: Vec<LeftOut>,
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub surgery: Vec<Surgery>,
    pub cord: Vec<CordLine>,
    pub minded: Vec<String>,
    pub remarks: Vec<String>,
    pub assumed: Vec<String>,
}

/// Both lumens at a station.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[allow(missing_docs)]
pub struct LumensPart {
    pub station_mm: f64,
    pub true_mm: Option<f64>,
    pub false_mm: Option<f64>,
    pub whole_mm: Option<f64>,
    pub centre_clock_deg: Option<f64>,
    pub flap_clocks_deg: Option<[f64; 2]>,
}

/// A vessel in dissection.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[allow(missing_docs)]
pub struct FeedPart {
    pub id: String,
    pub fed_from: Option<FedFrom>,
    pub dissected_mm: Option<f64>,
    pub landing_from_mm: Option<f64>,
    pub landing_to_mm: Option<f64>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub why: Option<String>,
}

/// A way of the false lumen.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[allow(missing_docs)]
pub struct WayPart {
    pub id: String,
    pub name: String,
    pub station_mm: Option<f64>,
    pub in_vessel: Option<String>,
    pub at_mm: Option<f64>,
    pub along_mm: Option<f64>,
    pub across_mm: Option<f64>,
    pub entered: bool,
    /// The stage at whose end no blood passes any more; `None` where it passes to the end.
    pub closed_in: Option<u32>,
    pub closed_by: Vec<String>,
    pub left_on_purpose: bool,
}

/// A piece on its way down to the coeliac artery.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[allow(missing_docs)]
pub struct PiecePart {
    pub component: String,
    pub from_station_mm: Option<[f64; 2]>,
    pub to_station_mm: Option<[f64; 2]>,
    pub overlaps: Option<String>,
    pub overlap_mm: Option<[f64; 2]>,
    pub distal_oversize_percent: Option<[f64; 2]>,
    pub whole_oversize_percent: Option<f64>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub why: Option<String>,
}

/// The end of a stage.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[allow(missing_docs)]
pub struct StagePart {
    pub stage: u32,
    pub done: Vec<String>,
    pub ways: Vec<WayAtPart>,
    pub vessels: Vec<FedPart>,
    pub remaining: Vec<String>,
    pub on_purpose: Vec<String>,
    pub unknown: Vec<String>,
    pub text: String,
    pub covered_mm: Option<[f64; 2]>,
    pub beyond_lsa_mm: Option<[f64; 2]>,
    pub free_above_coeliac_mm: Option<[f64; 2]>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub why: Option<String>,
}

/// A way at the end of a stage.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[allow(missing_docs)]
pub struct WayAtPart {
    pub id: String,
    pub state: &'static str,
    pub through: Vec<String>,
    pub by: Vec<String>,
    pub on_purpose: bool,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub lie: Option<Lie>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub length_kept_by: Option<KeptLine>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub why: Option<String>,
}

/// A vessel at the end of a stage.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[allow(missing_docs)]
pub struct FedPart {
    pub id: String,
    pub state: &'static str,
    pub through: Vec<String>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub why: Option<String>,
}

/// Of a plan; absent without an anatomy.
pub fn of(plan: &Plan) -> Option<ExtentPart> {
    Extent::of(plan).ok().map(|extent| part(&extent))
}

/// As the report has it.
pub fn part(extent: &Extent) -> ExtentPart {
    let deg = |clock: &Angle| clock.to_deg();
    ExtentPart {
        lumens: extent
            .lumens
            .iter()
            .map(|own| LumensPart {
                station_mm: own.station_mm,
                true_mm: own.true_mm,
                false_mm: own.false_mm,
                whole_mm: own.whole_mm,
                centre_clock_deg: own.centre.as_ref().map(deg),
                flap_clocks_deg: own.flap.as_ref().map(|[a, b]| [deg(a), deg(b)]),
            })
            .collect(),
        vessels: extent
            .vessels
            .iter()
            .map(|own| FeedPart {
                id: own.id.clone(),
                fed_from: own.fed_from,
                dissected_mm: own.dissected_mm,
                landing_from_mm: own.landing.as_ref().ok().map(|landing| landing.from_mm),
                landing_to_mm: own.landing.as_ref().ok().map(|landing| landing.farthest_mm).filter(|to| to.is_finite()),
                why: own.landing.as_ref().err().map(|why| why.0.clone()),
            })
            .collect(),
        ways: extent.ways.iter().enumerate().map(|(index, way)| way_part(extent, index, way)).collect(),
        pieces: extent
            .pieces
            .iter()
            .map(|own| PiecePart {
                component: own.component.clone(),
                from_station_mm: own.from_mm.value().copied(),
                to_station_mm: own.to_mm.value().copied(),
                overlaps: own.overlap_mm.as_ref().map(|(up, _)| up.clone()),
                overlap_mm: own.overlap_mm.as_ref().and_then(|(_, overlap)| overlap.value().copied()),
                distal_oversize_percent: own.distal_percent.value().copied(),
                whole_oversize_percent: own.whole_percent,
                why: own.from_mm.why().or(own.to_mm.why()).or(own.distal_percent.why()).map(str::to_string),
            })
            .collect(),
        stages: extent.stages.iter().map(stage).collect(),
        left_out: extent.left_out.clone(),
        surgery: extent.surgeries.clone(),
        cord: extent.cord.clone(),
        minded: extent.minded.clone(),
        remarks: extent.remarks.clone(),
        assumed: extent.assumed.clone(),
    }
}

fn way_part(extent: &Extent, index: usize, way: &WayIn) -> WayPart {
    let closed = extent.closed(index);
    WayPart {
        id: way.id.clone(),
        name: way.name.clone(),
        station_mm: way.station_mm,
        in_vessel: way.in_vessel.clone(),
        at_mm: way.at_mm,
        along_mm: way.along_mm,
        across_mm: way.across_mm,
        entered: !way.implied,
        closed_in: closed.map(|(stage, _)| stage),
        closed_by: closed.map_or(Vec::new(), |(_, at)| at.by.clone()),
        left_on_purpose: way.on_purpose,
    }
}

fn stage(end: &StageEnd) -> StagePart {
    let [remaining, on_purpose, unknown] = end.remaining();
    let number = |range: &Range| range.value().copied();
    StagePart {
        stage: end.stage,
        done: end.done.clone(),
        ways: end.ways.iter().map(way_at).collect(),
        vessels: end
            .vessels
            .iter()
            .map(|(id, flow)| {
                let (through, why) = told(flow);
                let state = match flow {
                    Flow::Flows(_) => "fed",
                    Flow::Shut => "unfed",
                    Flow::Unknown(_) => "unknown",
                };
                FedPart { id: id.clone(), state, through, why }
            })
            .collect(),
        text: words::remaining(&remaining, &on_purpose, &unknown),
        remaining,
        on_purpose,
        unknown,
        covered_mm: number(&end.covered.covered_mm),
        beyond_lsa_mm: number(&end.covered.beyond_lsa_mm),
        free_above_coeliac_mm: number(&end.covered.free_mm),
        why: match (&end.covered.covered_mm, &end.covered.free_mm) {
            (Quantity::Unknown { why }, _) | (_, Quantity::Unknown { why }) => Some(why.clone()),
            _ => None,
        },
    }
}

fn way_at(at: &WayAt) -> WayAtPart {
    let (through, why) = told(&at.flow);
    let state = match at.flow {
        Flow::Flows(_) => "flows",
        Flow::Shut => "closed",
        Flow::Unknown(_) => "unknown",
    };
    WayAtPart {
        id: at.id.clone(),
        state,
        through,
        by: at.by.clone(),
        on_purpose: at.on_purpose,
        lie: at.hangs_on.map(|own| own.lie),
        length_kept_by: at.hangs_on.map(|own| own.length_kept_by),
        why,
    }
}

fn told(flow: &Flow) -> (Vec<String>, Option<String>) {
    match flow {
        Flow::Flows(through) => (through.clone(), None),
        Flow::Shut => (Vec::new(), None),
        Flow::Unknown(why) => (Vec::new(), Some(why.clone())),
    }
}

/// Everything in lines of words.
pub fn lines(extent: &Extent, case: &Case) -> Vec<String> {
    let mut lines = Vec::new();
    for own in &extent.lumens {
        let or = |mm_: Option<f64>| mm_.map_or(words::UNKNOWN.into(), mm);
        let centre = own.centre.map_or(words::UNKNOWN.into(), |clock| super::words::clock(case, clock));
        lines.push(format!(
            "True lumen at {}: {} of {} wide, towards {centre}",
            mm(own.station_mm),
            or(own.true_mm),
            or(own.whole_mm)
        ));
    }
    for (index, way) in extent.ways.iter().enumerate() {
        let closed = match extent.closed(index) {
            Some((0, _)) => "closed before".to_owned(),
            Some((stage, at)) if at.by.is_empty() => format!("closed in stage {stage}"),
            Some((stage, at)) => format!("closed in stage {stage} by {}", at.by.join(", ")),
            None => "not closed by this plan".to_owned(),
        };
        let purpose = if way.on_purpose { ", left on purpose until then" } else { "" };
        lines.push(format!("Way {}, {}, {}: {closed}{purpose}", way.id, way.name, size(way)));
    }
    lines.extend(stages(extent).into_iter().map(|[at, done, words]| {
        let done = if done.is_empty() { done } else { format!(" ({done})") };
        format!("{at}{done}: {words}")
    }));
    for own in &extent.pieces {
        let overlap = own.overlap_mm.as_ref();
        let overlap = overlap.map_or(String::new(), |(up, mm_)| format!(", overlaps {up} by {}", words::range(mm_)));
        let whole = own.whole_percent.map_or(String::new(), |percent| {
            format!(", over the whole aorta {}", words::percent(&Quantity::exact([percent; 2])))
        });
        lines.push(format!(
            "Piece {}: from {} to {}{overlap}; distal oversize {}{whole}",
            own.component,
            words::range(&own.from_mm),
            words::range(&own.to_mm),
            words::percent(&own.distal_percent)
        ));
    }
    for own in &extent.left_out {
        lines.push(format!("Without {}: {}", own.act, without(own)));
    }
    for own in &extent.surgeries {
        lines.push(format!("{}: {} {} {}", own.name, own.landing, own.feed, own.rules));
    }
    for own in &extent.cord {
        let published =
            if own.published.is_empty() { String::new() } else { format!(" ({}; {})", own.published, own.source) };
        lines.push(format!("Cord, {}: {}{published}", own.what.to_lowercase(), own.here));
    }
    lines.extend(extent.minded.iter().map(|sentence| format!("Mind: {sentence}")));
    lines.extend(extent.remarks.iter().map(|sentence| format!("Mind: {sentence}")));
    lines.extend(extent.assumed.iter().map(|sentence| format!("Assumed: {sentence}")));
    lines
}

/// Each stage: its end, what is done in it, and what still flows then with how far the aorta is covered.
pub fn stages(extent: &Extent) -> Vec<[String; 3]> {
    let stage = |end: &StageEnd| {
        let at = if end.stage == 0 { "Before the plan".to_owned() } else { format!("End of stage {}", end.stage) };
        let [flows, purpose, unknown] = end.remaining();
        let flow = if extent.ways.is_empty() {
            String::new()
        } else {
            format!("{}; ", words::remaining(&flows, &purpose, &unknown))
        };
        let [covered, free] = [&end.covered.covered_mm, &end.covered.free_mm].map(words::range);
        [at, end.done.join("; "), format!("{flow}covered {covered}, free above the coeliac {free}")]
    };
    extent.stages.iter().map(stage).collect()
}

/// Size of a way in words.
pub fn size(way: &WayIn) -> String {
    match (way.along_mm, way.across_mm) {
        (Some(along), Some(across)) => format!("{} × {} mm", super::words::size(along), super::words::size(across)),
        (Some(along), None) => format!("{} long", mm(along)),
        (None, Some(across)) => format!("{} around", mm(across)),
        (None, None) => "size unknown".into(),
    }
}

/// What would hold without one act, in words.
pub fn without(own: &LeftOut) -> String {
    let mut parts = Vec::new();
    let mut add = |what: &str, ids: &[String]| {
        if !ids.is_empty() {
            parts.push(format!("{what} {}", ids.join(", ")));
        }
    };
    add("flows:", &own.flows);
    add("not known:", &own.unknown);
    add("not fed:", &own.unfed);
    if parts.is_empty() { "nothing more flows".into() } else { parts.join("; ") }
}
