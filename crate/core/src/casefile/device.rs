//! What is implanted as typed values: grafts with their fabric, tunnels, openings and marks, plugs, and where
//! each is put, as the file holds them.

use serde::{Deserialize, Serialize};
use std::sync::Arc;

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

impl Component {
    /// One of which nothing more is known yet.
    pub fn new(id: String, kind: ComponentKind) -> Self {
        Component {
            id,
            kind,
            stage: None,
            graft: None,
            placement: None,
            in_vessel: None,
            at_mm: None,
            diameter_mm: None,
            length_mm: None,
        }
    }
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

impl ComponentKind {
    /// Its word in a file.
    pub fn as_str(self) -> &'static str {
        match self {
            ComponentKind::AscendingTube => "ascending_tube",
            ComponentKind::ArchGraft => "arch_graft",
            ComponentKind::Extension => "extension",
            ComponentKind::Plug => "plug",
        }
    }
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
