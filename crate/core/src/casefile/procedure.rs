//! The release as typed values: its steps, what is laid out and checked, and what was done in the end.

use super::device::Placement;
use serde::{Deserialize, Serialize};

/// The release.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
#[serde(default)]
#[allow(missing_docs)]
pub struct Procedure {
    pub planned_on: Option<String>,
    /// What feed through the space beside a graft must exceed; `None`: the program's own limit.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub least_space_mm: Option<f64>,
    pub steps: Vec<Step>,
    /// What is done if a vessel shuts, in words.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub fallback: Option<String>,
    /// What is laid out beside components and stents; empty: the program's own list.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub kit: Vec<Check>,
    /// What is checked before and during the release; empty: the program's own list.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub checklist: Vec<Check>,
}

/// A line to tick.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[allow(missing_docs)]
pub struct Check {
    pub text: String,
    #[serde(default)]
    pub source: String,
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
    /// Diameter to which the rest is still held; `None`: it is still in its carrier.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub held_diameter_mm: Option<f64>,
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

impl StepAction {
    /// Its word in a file.
    pub fn as_str(self) -> &'static str {
        match self {
            StepAction::Release => "release",
            StepAction::Catheterise => "catheterise",
            StepAction::Bridge => "bridge",
            StepAction::Balloon => "balloon",
            StepAction::Close => "close",
            StepAction::RemoveWire => "remove_wire",
        }
    }
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
