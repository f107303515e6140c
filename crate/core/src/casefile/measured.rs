//! The anatomy as typed values: what was measured on the CT, as the file holds it.
//!
//! Nothing here is derived; [`crate::anatomy`] puts it in space.

use serde::{Deserialize, Serialize};

/// What was measured on the CT.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
#[serde(default)]
pub struct AnatomyInput {
    /// Centreline points; exactly one of this and `sheet_arch` is given.
    pub centreline: Option<CentrelineInput>,
    /// Lengths from a measuring sheet, in place of points.
    pub sheet_arch: Option<SheetArch>,
    /// Lumen sections along the aorta.
    pub lumen: Vec<LumenSection>,
    /// What the wall is made of, by stretch.
    pub wall: Vec<WallStretch>,
    /// In dissection, the true lumen by station.
    pub true_lumen: Vec<TrueLumen>,
    /// Openings in the aortic wall.
    pub ostia: Vec<OstiumInput>,
    /// Vessels that leave through the openings.
    pub vessels: Vec<VesselInput>,
    /// Points that fabric must not cover.
    pub keep_clear: Vec<KeepClearInput>,
    /// Ways in and out of the false lumen.
    pub ways: Vec<Way>,
    /// Bypasses done or planned.
    pub bypasses: Vec<Bypass>,
    /// Named stations.
    pub landmarks: Vec<Landmark>,
    /// The stretch to be treated.
    pub lesion: Option<Lesion>,
    /// The aortic valve.
    pub valve: Option<Valve>,
    /// The way in.
    pub access: Option<Access>,
    /// What feeds the spinal cord.
    pub cord: Option<Cord>,
}

/// Centreline points as imported or typed.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct CentrelineInput {
    /// Points in patient axes (LPS), mm, in the direction of the blood flow.
    pub points_lps_mm: Vec<[f64; 3]>,
    /// Length below which bends are taken for noise, mm; 0 interpolates the points.
    #[serde(default = "seven")]
    pub smoothing_length_mm: f64,
    /// What station 0 is, in the trade's word (`sinotubular_junction`, `upper_coronary`, …).
    #[serde(default = "sinotubular_junction")]
    pub origin: String,
    /// Arc length along the given points where station 0 lies; `None` counts from the first point.
    #[serde(default)]
    pub origin_at_mm: Option<f64>,
}

fn seven() -> f64 {
    7.0
}

fn sinotubular_junction() -> String {
    "sinotubular_junction".into()
}

/// Lengths of the arch as a measuring sheet gives them.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
#[serde(default)]
pub struct SheetArch {
    /// Upstream end of the measured lengths and of the bend.
    pub from_station_mm: Option<f64>,
    /// Downstream end.
    pub to_station_mm: Option<f64>,
    /// Length along the inner curve.
    pub inner_mm: Option<f64>,
    /// Length along the outer curve.
    pub outer_mm: Option<f64>,
    /// Length along the centreline.
    pub centre_mm: Option<f64>,
    /// Width of the arch.
    pub width_mm: Option<f64>,
    /// Height of the arch.
    pub height_mm: Option<f64>,
    /// Radius of the bend.
    pub radius_mm: Option<f64>,
    /// Diameter of the lumen in the bend.
    pub diameter_mm: Option<f64>,
    /// Direction of the arch plane, from straight back towards the patient's left.
    pub plane_from_sagittal_deg: Option<f64>,
    /// What station 0 is, in the trade's word; `None` until it is said.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub origin: Option<String>,
}

/// One measured section of the lumen.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct LumenSection {
    /// Where.
    pub station_mm: f64,
    /// How it was measured.
    #[serde(flatten)]
    pub kind: LumenKind,
}

/// How a section of the lumen was measured.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(tag = "kind", rename_all = "snake_case")]
pub enum LumenKind {
    /// Diameter of the circle of equal area: serves for sizing only.
    Area {
        /// The diameter.
        diameter_mm: f64,
    },
    /// Largest and smallest diameter, and where the largest points.
    MaxMin {
        /// Largest diameter.
        largest_mm: f64,
        /// Smallest diameter.
        smallest_mm: f64,
        /// Clock of the largest diameter; it points both ways.
        #[serde(default)]
        largest_clock_deg: Option<f64>,
    },
    /// Diameter of the largest inscribed sphere: reads smaller than the others.
    Inscribed {
        /// The diameter.
        diameter_mm: f64,
    },
    /// Distances from the centreline to the wall, evenly spaced from 12:00 towards larger clock.
    Contour {
        /// The radii.
        radii_mm: Vec<f64>,
    },
}

/// What the wall is made of over a stretch.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct WallStretch {
    /// Upstream end.
    pub from_station_mm: f64,
    /// Downstream end.
    pub to_station_mm: f64,
    /// Native, surgical graft or stent graft.
    pub kind: WallKind,
    /// What else is seen there.
    #[serde(default)]
    pub signs: Vec<WallSign>,
    /// From which layer to which the diameter was measured, in words.
    #[serde(default)]
    pub diameter_measured: Option<String>,
}

/// What a wall is made of.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
#[allow(missing_docs)]
pub enum WallKind {
    Native,
    SurgicalGraft,
    StentGraft,
}

/// What is seen on a wall.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
#[allow(missing_docs)]
pub enum WallSign {
    Dissected,
    Kinked,
    Crimped,
    Bulging,
    Atheroma,
    Thrombus,
}

/// In dissection, the true lumen and the flap at one station.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[allow(missing_docs)]
pub struct TrueLumen {
    pub station_mm: f64,
    #[serde(default)]
    pub diameter_mm: Option<f64>,
    #[serde(default)]
    pub centre_clock_deg: Option<f64>,
    #[serde(default)]
    pub flap_clock_deg: Option<f64>,
    #[serde(default)]
    pub whole_diameter_mm: Option<f64>,
}

/// An opening in the aortic wall.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct OstiumInput {
    /// Its id.
    pub id: String,
    /// Station of its centre.
    pub station_mm: f64,
    /// Clock of its centre, as typed while the hand is unanswered, else stored.
    #[serde(default)]
    pub clock_deg: Option<f64>,
    /// Length on the wall along the flow.
    #[serde(default)]
    pub along_mm: Option<f64>,
    /// Length on the wall around.
    #[serde(default)]
    pub across_mm: Option<f64>,
}

/// A vessel that leaves through an ostium, or from another vessel.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct VesselInput {
    /// Its id; `IA`, `LCCA` and `LSA` end the landing zones.
    pub id: String,
    /// Id of the ostium, or of the vessel it leaves from.
    pub from: String,
    /// Distance from the wall at which it leaves another vessel.
    #[serde(default)]
    pub at_mm: f64,
    /// Angle between the vessel's first 10 mm and the downstream tangent.
    #[serde(default)]
    pub takeoff_deg: Option<f64>,
    /// Turn of the part across the flow, from the outward normal towards larger clock.
    #[serde(default)]
    pub lean_deg: Option<f64>,
    /// Diameters along it.
    #[serde(default)]
    pub diameters: Vec<VesselDiameter>,
    /// Length to its first branch.
    #[serde(default)]
    pub to_first_branch_mm: Option<f64>,
    /// Where healthy wall begins.
    #[serde(default)]
    pub healthy_from_mm: Option<f64>,
    /// Which lumen feeds it in dissection.
    #[serde(default)]
    pub fed_from: Option<FedFrom>,
    /// What it carries: `right_carotid`, `left_vertebral`, `left_mammary`, …
    #[serde(default)]
    pub carries: Vec<String>,
    /// Where the mammary artery leaves.
    #[serde(default)]
    pub mammary_at_mm: Option<f64>,
    /// Where the vertebral artery leaves.
    #[serde(default)]
    pub vertebral_at_mm: Option<f64>,
    /// What the vertebral artery it carries is beside the other.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub vertebral_is: Option<VertebralIs>,
    /// Whether a patent mammary graft to the heart hangs on it.
    #[serde(default)]
    pub mammary_graft: Option<bool>,
    /// Whether it may be unfed at a step's end.
    #[serde(default)]
    pub needs: Option<Needs>,
}

/// A diameter along a vessel.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[allow(missing_docs)]
pub struct VesselDiameter {
    pub at_mm: f64,
    pub diameter_mm: f64,
}

/// Which lumen feeds a vessel.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
#[allow(missing_docs)]
pub enum FedFrom {
    TrueLumen,
    FalseLumen,
    Both,
}

/// What a vertebral artery is beside the other.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
#[allow(missing_docs)]
pub enum VertebralIs {
    Equal,
    Dominant,
    Only,
}

/// What a vessel needs.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
#[allow(missing_docs)]
pub enum Needs {
    Normal,
    NotUnfedAtAStepsEnd,
}

/// A point on the wall that fabric must not cover.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct KeepClearInput {
    /// Its id.
    pub id: String,
    /// What it is: `coronary`, `vein_graft`, …
    #[serde(default)]
    pub kind: String,
    /// Side, in words.
    #[serde(default)]
    pub side: Option<String>,
    /// Station of its centre.
    pub station_mm: f64,
    /// Clock of its centre.
    #[serde(default)]
    pub clock_deg: Option<f64>,
    /// Radius on the wall.
    #[serde(default)]
    pub radius_mm: Option<f64>,
}

/// A way in or out of the false lumen.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[allow(missing_docs)]
pub struct Way {
    pub id: String,
    pub kind: WayKind,
    #[serde(default)]
    pub station_mm: Option<f64>,
    #[serde(default)]
    pub clock_deg: Option<f64>,
    #[serde(default)]
    pub in_vessel: Option<String>,
    #[serde(default)]
    pub at_mm: Option<f64>,
    #[serde(default)]
    pub along_mm: Option<f64>,
    #[serde(default)]
    pub across_mm: Option<f64>,
    #[serde(default)]
    pub closed_by: Vec<String>,
    #[serde(default)]
    pub stage: Option<u32>,
    #[serde(default)]
    pub left_on_purpose: bool,
}

/// What kind of way it is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
#[allow(missing_docs)]
pub enum WayKind {
    SutureLine,
    Entry,
    Reentry,
    Vessel,
}

/// A bypass or the like.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[allow(missing_docs)]
pub struct Bypass {
    pub from: String,
    pub to: String,
    pub kind: BypassKind,
    #[serde(default)]
    pub state: BypassState,
    #[serde(default)]
    pub stage: Option<u32>,
    /// Where the receiving vessel is tied or cut, or where its graft begins, from the aortic wall.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub at_mm: Option<f64>,
}

/// What kind of bypass.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
#[allow(missing_docs)]
pub enum BypassKind {
    Bypass,
    Transposition,
    Interposition,
    Ligation,
}

/// Whether a bypass exists yet.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
#[allow(missing_docs)]
pub enum BypassState {
    Done,
    #[default]
    Planned,
}

/// A named station.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[allow(missing_docs)]
pub struct Landmark {
    pub id: String,
    pub station_mm: f64,
}

/// The stretch to be treated.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[allow(missing_docs)]
pub struct Lesion {
    pub from_station_mm: f64,
    pub to_station_mm: f64,
    #[serde(default)]
    pub side: Option<String>,
}

/// The aortic valve.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[allow(missing_docs)]
pub struct Valve {
    pub kind: String,
    #[serde(default)]
    pub annulus_station_mm: Option<f64>,
}

/// The way in.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
#[allow(missing_docs)]
pub struct Access {
    #[serde(default)]
    pub least_diameter_mm: Option<f64>,
}

/// What feeds the spinal cord.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
#[allow(missing_docs)]
pub struct Cord {
    #[serde(default)]
    pub internal_iliac_open: Option<bool>,
    #[serde(default)]
    pub earlier_abdominal_repair: Option<bool>,
}
