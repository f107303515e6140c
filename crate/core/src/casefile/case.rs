//! The case as typed values: names, units and meanings of version 1 of the file.
//!
//! Plain data in the order in which it is written. Ranges and sentences about each field are in
//! [`super::fields`]; a value of these types that came through [`super::Document`] is within them.
//! Numbers that nobody measured are `None` (`null` in the file).

use crate::units::ThreeOClock;
use serde::{Deserialize, Serialize};
use std::sync::Arc;

/// A whole case.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Case {
    /// Always `extrados-case`.
    pub format: String,
    /// Always 1.
    pub version: u32,
    /// The user's own label; no patient identifier is needed.
    #[serde(default)]
    pub label: String,
    /// Diagnosis in the user's words; rules may ask for one.
    #[serde(default)]
    pub diagnosis: String,
    /// True for demo cases, which are nobody's anatomy.
    #[serde(default)]
    pub invented: bool,
    /// The CT that was measured.
    #[serde(default)]
    pub ct: Ct,
    /// The clock of the user's sheet.
    #[serde(default)]
    pub clock: Clock,
    /// What was measured.
    #[serde(default)]
    pub anatomy: Arc<AnatomyInput>,
    /// Grafts and plugs, upstream first.
    #[serde(default)]
    pub components: Vec<Component>,
    /// Push on the graft, for the two lies that are not on the centreline.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub push: Option<Push>,
    /// The wire's direction at the annulus.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub wire: Option<Wire>,
    /// Errors of the CT and of the landing.
    #[serde(default)]
    pub errors: Errors,
    /// Stents at hand.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub stock: Option<Stock>,
    /// The rules this plan is judged by.
    #[serde(default)]
    pub rules: Vec<Rule>,
    /// The release, step by step.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub procedure: Option<Procedure>,
    /// Reach of the C-arm.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub carm: Option<CArm>,
    /// Named alternatives of this case, each a JSON merge patch.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub alternatives: Vec<Alternative>,
    /// What was done in the end.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub done: Option<Done>,
    /// Free notes; the only place where unknown keys are welcome.
    #[serde(default, skip_serializing_if = "serde_json::Map::is_empty")]
    pub notes: serde_json::Map<String, serde_json::Value>,
}

impl Default for Case {
    fn default() -> Self {
        Case {
            format: "extrados-case".into(),
            version: 1,
            label: String::new(),
            diagnosis: String::new(),
            invented: false,
            ct: Ct::default(),
            clock: Clock::default(),
            anatomy: Arc::default(),
            components: Vec::new(),
            push: None,
            wire: None,
            errors: Errors::default(),
            stock: None,
            rules: Vec::new(),
            procedure: None,
            carm: None,
            alternatives: Vec::new(),
            done: None,
            notes: serde_json::Map::new(),
        }
    }
}

/// The CT that was measured.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
#[serde(default)]
pub struct Ct {
    /// Day of the CT, `YYYY-MM-DD`.
    pub date: Option<String>,
    /// Phase of the cardiac cycle, in words.
    pub phase: Option<String>,
    /// Slice thickness, mm.
    pub slice_mm: Option<f64>,
    /// Who measured.
    pub measured_by: String,
    /// Who checked.
    pub checked_by: String,
}

/// The clock of the user's sheet. No hand is assumed.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
#[serde(default)]
pub struct Clock {
    /// Side of 3:00. While `None`, `clock_deg` holds numbers as typed and every clock is unknown.
    pub three_oclock_is: Option<ThreeOClock>,
    /// What 12:00 means. `None` is read as arch plane with a wider error.
    pub twelve_oclock_is: Option<TwelveOClock>,
}

/// What 12:00 means on the user's sheet.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum TwelveOClock {
    /// The outer curve as given by the arch plane: the stored convention.
    ArchPlane,
    /// The outermost point of the local bend.
    LocalBend,
    /// Straight up.
    StraightUp,
}

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

/// One piece that is implanted: a graft in the aorta, or a plug in a vessel.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Component {
    /// Its id.
    pub id: String,
    /// What it is.
    pub kind: ComponentKind,
    /// In which stage it goes in.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub stage: Option<u32>,
    /// The graft; absent for plugs.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub graft: Option<Arc<Graft>>,
    /// Where the graft is put.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub placement: Option<Placement>,
    /// The vessel a plug sits in.
    #[serde(default, rename = "in", skip_serializing_if = "Option::is_none")]
    pub in_vessel: Option<String>,
    /// How far in a plug sits.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub at_mm: Option<f64>,
    /// A plug's diameter.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub diameter_mm: Option<f64>,
    /// A plug's length.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub length_mm: Option<f64>,
}

/// What a component is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
#[allow(missing_docs)]
pub enum ComponentKind {
    AscendingTube,
    ArchGraft,
    Extension,
    Plug,
}

/// Where a graft is put.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub struct Placement {
    /// The graft point that is held, mm from the proximal fabric edge.
    #[serde(default)]
    pub held_u_mm: f64,
    /// Station of the held point's nearest centreline point.
    pub station_mm: f64,
    /// Clock of the reference line's direction at the station of the first ostium of the arch.
    #[serde(default)]
    pub clock_deg: f64,
}

/// A graft. In a graft file the same keys stand under a format and a version.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
#[serde(default)]
pub struct Graft {
    /// The user's own label.
    pub label: String,
    /// Length of the fabric, mm.
    pub length_mm: f64,
    /// Which line keeps its nominal length in a bend.
    pub length_kept_by: LengthKeptBy,
    /// Outer diameter of the carrier.
    pub carrier_outer_mm: Option<f64>,
    /// Length of the tip beyond the fabric.
    pub tip_length_mm: Option<f64>,
    /// Whether it turns itself to the outer curve as it opens.
    pub turns_itself: Option<bool>,
    /// Sections, upstream first, without gaps.
    pub sections: Vec<Section>,
    /// Inner branches.
    pub tunnels: Vec<Tunnel>,
    /// Fenestrations.
    pub fenestrations: Vec<Fenestration>,
    /// Scallops at the proximal edge.
    pub scallops: Vec<Scallop>,
    /// Radio-opaque marks.
    pub markers: Vec<Marker>,
    /// Stretches with barbs.
    pub barbs: Vec<Barbs>,
    /// Steps in which a maker can place things.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub maker_steps: Option<MakerSteps>,
}

/// Which line of a graft keeps its length.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum LengthKeptBy {
    /// The axis: pre-curved or slack grafts.
    Axis,
    /// The outer fabric line: woven cloth that does not stretch.
    OuterLine,
    /// Not stated: both are computed.
    #[default]
    Unknown,
}

/// A stretch of graft.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Section {
    /// Upstream end on the graft.
    pub from_u_mm: f64,
    /// Downstream end on the graft.
    pub to_u_mm: f64,
    /// Diameter at the upstream end.
    pub from_diameter_mm: f64,
    /// Diameter at the downstream end; a taper is linear.
    pub to_diameter_mm: f64,
    /// Distance by which its centre lies off the graft's axis.
    #[serde(default)]
    pub offset_mm: f64,
    /// Direction of that offset on the graft's clock.
    #[serde(default)]
    pub offset_clock_deg: f64,
    /// Whether it is covered with fabric.
    #[serde(default = "yes")]
    pub covered: bool,
    /// Whether it is meant to seal.
    #[serde(default)]
    pub seals: bool,
}

fn yes() -> bool {
    true
}

/// An inner branch.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Tunnel {
    /// Its id.
    pub id: String,
    /// Id of the vessel it serves.
    pub serves: String,
    /// Direction of the blood in it.
    pub flow: Flow,
    /// Station of the mouth on the graft.
    pub mouth_u_mm: f64,
    /// Clock of the mouth on the graft.
    pub mouth_clock_deg: f64,
    /// Length of the mouth on the fabric along the graft.
    #[serde(default)]
    pub mouth_along_mm: Option<f64>,
    /// Length of the mouth on the fabric around.
    #[serde(default)]
    pub mouth_across_mm: Option<f64>,
    /// Diameter of the body.
    #[serde(default)]
    pub diameter_mm: Option<f64>,
    /// Length of the body inside the graft.
    #[serde(default)]
    pub length_mm: Option<f64>,
    /// Rise of the mouth's direction off the fabric.
    #[serde(default)]
    pub rise_deg: f64,
    /// Turn of the mouth's direction along the fabric towards larger clock.
    #[serde(default)]
    pub side_deg: f64,
    /// Where it is wired from.
    #[serde(default)]
    pub wired_from: Option<String>,
}

/// Direction of the blood in a tunnel.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Flow {
    /// Downstream; the mouth must lie upstream of its ostium.
    Antegrade,
    /// Upstream; the mouth must lie downstream of its ostium.
    Retrograde,
}

/// A hole in the fabric over an ostium.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[allow(missing_docs)]
pub struct Fenestration {
    pub id: String,
    pub serves: String,
    pub u_mm: f64,
    pub clock_deg: f64,
    pub along_mm: f64,
    pub across_mm: f64,
}

/// A notch in the proximal edge.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[allow(missing_docs)]
pub struct Scallop {
    pub id: String,
    pub serves: String,
    pub clock_deg: f64,
    pub width_mm: f64,
    pub depth_mm: f64,
}

/// A radio-opaque mark.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[allow(missing_docs)]
pub struct Marker {
    #[serde(default)]
    pub name: String,
    pub u_mm: f64,
    #[serde(default)]
    pub clock_deg: f64,
}

/// A stretch with barbs.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[allow(missing_docs)]
pub struct Barbs {
    pub from_u_mm: f64,
    pub to_u_mm: f64,
}

/// Steps in which a maker can place things.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[allow(missing_docs)]
pub struct MakerSteps {
    pub u_mm: f64,
    pub clock_deg: f64,
}

/// Push per bending stiffness, per mm².
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[allow(missing_docs)]
pub struct Push {
    pub relaxed_per_mm2: f64,
    pub pushed_per_mm2: f64,
}

/// The wire's direction at the annulus.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[allow(missing_docs)]
pub struct Wire {
    #[serde(default)]
    pub annulus_tilt_deg: f64,
    #[serde(default)]
    pub annulus_tilt_range_deg: f64,
    #[serde(default)]
    pub annulus_towards_clock_deg: f64,
}

/// Errors of the CT and of the landing, one standard deviation each.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(default)]
pub struct Errors {
    /// Whether the user entered own errors; until then these are defaults and marked so.
    pub entered_by_user: bool,
    /// Mean of the landing error along the aorta.
    pub axial_mean_mm: f64,
    /// Standard deviation of the landing error along the aorta.
    pub axial_sd_mm: f64,
    /// Error of the rotation.
    pub rotation: RotationError,
    /// Of a diameter.
    pub diameter_sd_mm: f64,
    /// Of a station.
    pub station_sd_mm: f64,
    /// Of a clock position.
    pub clock_sd_deg: f64,
    /// Of a take-off angle.
    pub takeoff_sd_deg: f64,
    /// Where these come from.
    pub source: String,
}

impl Default for Errors {
    /// Defaults from memory, and marked so.
    fn default() -> Self {
        Errors {
            entered_by_user: false,
            axial_mean_mm: 0.0,
            axial_sd_mm: 4.0,
            rotation: RotationError::default(),
            diameter_sd_mm: 1.5,
            station_sd_mm: 2.0,
            clock_sd_deg: 5.0,
            takeoff_sd_deg: 8.0,
            source: "from memory".into(),
        }
    }
}

/// Error of the rotation: a mixture of a narrow and a wide normal.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(default)]
#[allow(missing_docs)]
pub struct RotationError {
    pub kind: String,
    pub mean_deg: f64,
    pub small_sd_deg: f64,
    pub large_sd_deg: f64,
    pub large_share: f64,
}

impl Default for RotationError {
    fn default() -> Self {
        RotationError {
            kind: "mixture".into(),
            mean_deg: 0.0,
            small_sd_deg: 8.0,
            large_sd_deg: 25.0,
            large_share: 0.35,
        }
    }
}

/// Stents at hand.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
#[serde(default)]
#[allow(missing_docs)]
pub struct Stock {
    pub stent_lengths_mm: Vec<f64>,
    pub stent_diameters_mm: Vec<f64>,
    pub least_bend_radius_mm: Option<f64>,
}

/// A rule: a limit on a measure, with its source.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Rule {
    /// Its id.
    pub id: String,
    /// Id of the measure it limits.
    pub measure: String,
    /// An id, or `each`.
    #[serde(default = "each")]
    pub of: String,
    /// Narrows `each`.
    #[serde(default)]
    pub when: When,
    /// Line along which a length is judged; none named: the inner curve.
    #[serde(default)]
    pub line: Option<Line>,
    /// Whether a length runs to an ostium's edge or centre.
    #[serde(default)]
    pub to: Option<To>,
    /// Lower limit.
    #[serde(default)]
    pub at_least: Option<f64>,
    /// Upper limit.
    #[serde(default)]
    pub at_most: Option<f64>,
    /// Unit of the limits.
    #[serde(default)]
    pub unit: String,
    /// Whether the plan needs it.
    #[serde(default = "yes")]
    pub required: bool,
    /// Where the limit comes from.
    #[serde(default)]
    pub source: String,
}

fn each() -> String {
    "each".into()
}

/// Narrows a rule that is for each.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
#[serde(default)]
#[allow(missing_docs)]
pub struct When {
    #[serde(skip_serializing_if = "Option::is_none")]
    pub flow: Option<Flow>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub kind: Option<String>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub diagnosis: Option<String>,
}

/// A line along the aorta.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
#[allow(missing_docs)]
pub enum Line {
    Inner,
    Centre,
    Outer,
}

/// To what a length runs.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
#[allow(missing_docs)]
pub enum To {
    Edge,
    Centre,
}

/// The release.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
#[serde(default)]
#[allow(missing_docs)]
pub struct Procedure {
    pub planned_on: Option<String>,
    pub steps: Vec<Step>,
}

/// One step of the release.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[allow(missing_docs)]
pub struct Step {
    #[serde(rename = "do")]
    pub action: StepAction,
    #[serde(default)]
    pub on: Option<String>,
    #[serde(default)]
    pub from_access: Option<String>,
    #[serde(default)]
    pub sheath_outer_mm: Option<f64>,
    #[serde(default)]
    pub open_to_mm: Option<f64>,
    #[serde(default)]
    pub wire: Option<String>,
    #[serde(default)]
    pub placement: Option<Placement>,
    #[serde(default)]
    pub view: Option<String>,
    #[serde(default)]
    pub minutes: Option<f64>,
    #[serde(default)]
    pub stage: Option<u32>,
}

/// What a step does.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
#[allow(missing_docs)]
pub enum StepAction {
    Release,
    Catheterise,
    Bridge,
    Balloon,
    Close,
    RemoveWire,
}

/// Reach of the C-arm.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[allow(missing_docs)]
pub struct CArm {
    pub primary_limit_deg: [f64; 2],
    pub secondary_limit_deg: [f64; 2],
    #[serde(default)]
    pub table_turn_deg: f64,
}

/// A named alternative.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[allow(missing_docs)]
pub struct Alternative {
    pub name: String,
    #[serde(default)]
    pub changes: serde_json::Map<String, serde_json::Value>,
}

/// What was done.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
#[serde(default)]
#[allow(missing_docs)]
pub struct Done {
    pub landing_station_mm: Option<f64>,
    pub turn_deg: Option<f64>,
    pub stents: Vec<StentDone>,
}

/// A bridging stent that was put in.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[allow(missing_docs)]
pub struct StentDone {
    pub serves: String,
    #[serde(default)]
    pub diameter_mm: Option<f64>,
    #[serde(default)]
    pub length_mm: Option<f64>,
}
