//! The report: every result of a plan as plain data with units in its names, as `extrados report
//! --json` prints it. Its keys are fixed for version 1; parts that are not computed are absent.
//!
//! [`build`] fills it from a plan; [`words`] says numbers as the page and the sheet show them, and
//! [`names`] what they are about.

pub mod assumptions;
pub mod build;
pub mod csv;
pub mod extent;
pub mod fabric;
pub mod names;
pub mod ranking;
pub mod record;
pub mod records;
pub mod release;
pub mod remarks;
pub mod room;
pub mod survey;
pub mod words;

use crate::anatomy::rebuilt::BendShape;
use crate::carm::views::Shows;
use crate::casefile::case::Approach;
use crate::graft::lie::{KeptLine, Lie, Possibility};
use crate::placement::tunnel::TunnelState;
use crate::rules::verdict::Word;
use record::Record;
use serde::Serialize;

/// All results of a case. Unknown numbers are `None`, with the reason in `why` beside them.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[allow(missing_docs)]
pub struct Report {
    pub format: &'static str,
    pub version: u32,
    /// Program and version.
    pub program: String,
    /// SHA-256 of the case's text.
    pub case_sha256: String,
    /// What was taken for granted, in sentences.
    pub assumed: Vec<String>,
    pub ct: CtPart,
    /// Present only where the arch was rebuilt from a measuring sheet.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub rough: Option<RoughPart>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub centreline: Option<CentrelinePart>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub arch_plane: Option<PlanePart>,
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub stations: Vec<StationPart>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub anatomy: Option<survey::AnatomyPart>,
    pub folds: Vec<FoldPart>,
    pub zones: Vec<ZonePart>,
    pub ostia: Vec<OstiumPart>,
    pub vessels: Vec<VesselPart>,
    /// Where the axis of each graft comes to rest as an elastic rod; the middle is no rod.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub rods: Vec<RodPart>,
    pub tunnels: Vec<TunnelPart>,
    pub stents: Vec<StentPart>,
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub buildable: Vec<fabric::BuildablePart>,
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub openings: Vec<fabric::OpeningPart>,
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub space_to_wall: Vec<fabric::SpacePart>,
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub components: Vec<fabric::ComponentPart>,
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub overlaps: Vec<fabric::OverlapPart>,
    /// Dissection, extent, surgery of the neck vessels, cord.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub extent: Option<extent::ExtentPart>,
    pub verdicts: Vec<VerdictPart>,
    /// The case's rule sets side by side; absent where it has none.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub rule_sets: Vec<RuleSetPart>,
    /// The room of the placement: long work, filled in by whoever has done it.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub room: Option<room::RoomPart>,
    /// What was done, against the plan; absent until something is entered.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub done: Option<Record>,
    /// How much hangs on each assumption: long work too.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub assumptions: Vec<assumptions::AssumptionPart>,
    pub views: Vec<ViewPart>,
    /// What each step of the release leaves fed.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub steps: Vec<release::FeedPart>,
    /// The release as a whole; absent where the case has no steps.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub release: Option<release::ReleasePart>,
    /// What the sheet prints, entry by entry.
    pub sheet: Vec<SheetPart>,
    pub warnings: Vec<Warning>,
}

/// The CT.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[allow(missing_docs)]
pub struct CtPart {
    /// Days from the CT to the day of planning.
    pub age_days: Option<f64>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub why: Option<String>,
}

/// How the arch was rebuilt from a measuring sheet. Such a plan is not for ordering a graft.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[allow(missing_docs)]
pub struct RoughPart {
    pub heading: &'static str,
    pub shape: BendShape,
    pub turn_deg: f64,
    pub apex_deg: f64,
    pub radius_mm: f64,
    pub from_station_mm: f64,
    pub to_station_mm: f64,
    pub residuals: Vec<ResidualPart>,
    pub cannot_be_known: Vec<&'static str>,
}

/// A typed number of the sheet against the rebuilt arch.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[allow(missing_docs)]
pub struct ResidualPart {
    pub key: &'static str,
    pub typed: f64,
    pub rebuilt: Option<f64>,
    /// Rebuilt less typed.
    pub difference: Option<f64>,
    pub unit: &'static str,
    /// Whether the arch was rebuilt from it.
    pub used: bool,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub why: Option<String>,
}

/// The centreline as a whole.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[allow(missing_docs)]
pub struct CentrelinePart {
    pub length_mm: f64,
    pub input_length_mm: Option<f64>,
    pub residual_rms_mm: Option<f64>,
    pub residual_max_mm: Option<f64>,
    /// Length over the straight distance between the ends.
    pub tortuosity: Option<f64>,
}

/// The arch plane.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[allow(missing_docs)]
pub struct PlanePart {
    pub normal_lps: [f64; 3],
    pub point_lps_mm: [f64; 3],
    pub rms_mm: f64,
    pub from_station_mm: f64,
    pub to_station_mm: f64,
}

/// The aorta at one station.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[allow(missing_docs)]
pub struct StationPart {
    pub station_mm: f64,
    pub point_lps_mm: [f64; 3],
    pub tangent_lps: [f64; 3],
    pub outer_lps: Option<[f64; 3]>,
    pub curvature_per_mm: f64,
    pub torsion_per_mm: Option<f64>,
    pub twist_drift_deg: Option<f64>,
    pub mean_radius_mm: Option<f64>,
    pub certain: bool,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub why: Option<String>,
}

/// A stretch where the inner side of the wall folds.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[allow(missing_docs)]
pub struct FoldPart {
    pub from_station_mm: f64,
    pub to_station_mm: f64,
}

/// A landing zone.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[allow(missing_docs)]
pub struct ZonePart {
    pub zone: u8,
    pub largest_mm: Option<f64>,
    pub smallest_mm: Option<f64>,
    pub area_least_mm: Option<f64>,
    pub area_most_mm: Option<f64>,
    pub inner_bend: Option<f64>,
    pub turn_deg: Option<f64>,
    pub healthy_inner_mm: Option<f64>,
    pub inner_mm: Option<f64>,
    pub centre_mm: Option<f64>,
    pub outer_mm: Option<f64>,
    pub from_station_mm: Option<f64>,
    pub to_station_mm: f64,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub why: Option<String>,
}

/// An opening in the wall.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[allow(missing_docs)]
pub struct OstiumPart {
    pub id: String,
    pub station_mm: f64,
    pub clock_deg: Option<f64>,
    /// The clock as shown, with its side in words.
    pub clock: Option<String>,
    pub wall_point_lps_mm: Option<[f64; 3]>,
    pub vessels: Vec<String>,
    pub twist_drift_deg: Option<f64>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub why: Option<String>,
}

/// A vessel.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[allow(missing_docs)]
pub struct VesselPart {
    pub id: String,
    pub ostium: Option<String>,
    pub takeoff_lps: Option<[f64; 3]>,
    pub takeoff_deg: Option<f64>,
    pub lean_deg: Option<f64>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub why: Option<String>,
}

/// The rod that a graft's axis is in one possibility.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[allow(missing_docs)]
pub struct RodPart {
    pub component: String,
    pub lie: Lie,
    pub length_kept_by: KeptLine,
    pub push_per_mm2: Option<f64>,
    /// ½∫κ² ds.
    pub bending_per_mm: Option<f64>,
    pub length_mm: Option<f64>,
    pub from_station_mm: Option<f64>,
    pub to_station_mm: Option<f64>,
    /// How far one more step of the search would move it.
    pub optimality_error_mm: Option<f64>,
    /// Share of the graft's length along which its fabric touches the wall or fills the lumen.
    pub contact_share: Option<f64>,
    /// Largest distance of the graft's axis from the centreline.
    pub largest_offset_mm: Option<f64>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub why: Option<String>,
}

/// A tunnel in one possibility.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[allow(missing_docs)]
pub struct TunnelPart {
    pub id: String,
    pub component: String,
    pub serves: String,
    pub lie: Lie,
    pub length_kept_by: KeptLine,
    pub mouth_lps_mm: Option<[f64; 3]>,
    pub mouth_station_mm: Option<f64>,
    pub mouth_clock_deg: Option<f64>,
    pub offset_mm: Option<f64>,
    pub clearance_mm: Option<f64>,
    pub edge_clearance_mm: Option<f64>,
    pub clearance_centreline_mm: Option<f64>,
    pub clock_error_deg: Option<f64>,
    pub clock_error_wall_mm: Option<f64>,
    pub straight_mm: Option<f64>,
    pub space_at_mouth_mm: Option<f64>,
    pub state: TunnelState,
    pub path: PathPart,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub why: Option<String>,
}

/// The bridging path of a tunnel.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[allow(missing_docs)]
pub struct PathPart {
    pub length_mm: Option<f64>,
    pub least_radius_mm: Option<f64>,
    pub largest_possible_radius_mm: Option<f64>,
    pub turn_deg: Option<f64>,
    pub mouth_to_takeoff_deg: Option<f64>,
    /// Least stent that this path needs by itself, without an error.
    pub stent_length_mm: Option<f64>,
    /// The stent of the stock that serves all possibilities; two that overlap have none.
    pub stock_length_mm: Option<f64>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub why: Option<String>,
}

/// The stent to order for a tunnel, over all possibilities.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[allow(missing_docs)]
pub struct StentPart {
    pub tunnel: String,
    pub component: String,
    pub serves: String,
    pub least_length_mm: Option<f64>,
    pub most_length_mm: Option<f64>,
    pub least_diameter_mm: Option<f64>,
    pub most_diameter_mm: Option<f64>,
    pub choice: &'static str,
    /// Of the stock: one, or two that overlap, the one in the tunnel first.
    pub lengths_mm: Vec<f64>,
    pub diameters_mm: Vec<f64>,
    pub next_lengths_mm: Vec<f64>,
    pub next_diameters_mm: Vec<f64>,
    /// The same in words.
    pub text: String,
    /// Where the limits come from.
    pub source: &'static str,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub why: Option<String>,
}

/// A verdict.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[allow(missing_docs)]
pub struct VerdictPart {
    pub rule: String,
    pub measure: String,
    pub of: String,
    pub value: Option<f64>,
    pub margin: Option<f64>,
    pub error: Option<f64>,
    pub unit: String,
    pub verdict: Word,
    pub hangs_on: Option<Possibility>,
    pub why: Option<String>,
    pub source: String,
    pub required: bool,
    /// What would change it, where it is unmet and the rule says so.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub would_change: Option<String>,
}

/// A rule set with its verdicts.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[allow(missing_docs)]
pub struct RuleSetPart {
    pub id: String,
    pub name: String,
    pub approach: Option<Approach>,
    pub unmet: usize,
    pub unknown: usize,
    pub borderline: usize,
    pub met: usize,
    pub verdicts: Vec<VerdictPart>,
    pub not_judged: Vec<String>,
}

/// A C-arm view.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[allow(missing_docs)]
pub struct ViewPart {
    #[serde(rename = "for")]
    pub of: String,
    pub shows: Shows,
    /// Of views that hang on where the graft lies.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub lie: Option<Lie>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub length_kept_by: Option<KeptLine>,
    /// The view to use, within reach.
    pub primary_deg: Option<f64>,
    pub secondary_deg: Option<f64>,
    /// The same to whole degrees, in words.
    pub words: Option<String>,
    /// Whether an ideal view is within reach; if not, the best within reach is given.
    pub reachable: Option<bool>,
    pub ideal_primary_deg: Option<f64>,
    pub ideal_secondary_deg: Option<f64>,
    pub foreshortening: Option<f64>,
    pub foreshortening_by_rounding: Option<f64>,
    pub off_edge_deg: Option<f64>,
    pub error_deg: Option<f64>,
    pub overlaps: Vec<String>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub why: Option<String>,
}

/// One entry of the sheet.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[allow(missing_docs)]
pub struct SheetPart {
    pub id: String,
    pub text: String,
}

/// Something to mind that is no fault.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[allow(missing_docs)]
pub struct Warning {
    pub code: String,
    #[serde(rename = "where")]
    pub place: String,
    pub text: String,
    pub mend: String,
}
