//! The case as typed values: names, units and meanings of version 1 of the file.
//!
//! The plan around what was measured ([`super::measured`]), what is implanted ([`super::device`]), what it is
//! judged by ([`super::rule`]) and how it is released ([`super::procedure`]), whose types can be named from here too.
//!
//! Plain data in the order in which it is written. Ranges and sentences about each field are in
//! [`super::fields`]; a value of these types that came through [`super::Document`] is within them.
//! Numbers that nobody measured are `None` (`null` in the file).

pub use super::device::*;
pub use super::measured::*;
pub use super::procedure::*;
pub use super::rule::*;
use crate::message;
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
    /// Whether the patient has a connective-tissue disease; `None` until it is said.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub connective_tissue_disease: Option<bool>,
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
    /// Sets of rules that this case is held against side by side, each by itself.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub rule_sets: Vec<RuleSet>,
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
            connective_tissue_disease: None,
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
            rule_sets: Vec::new(),
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

/// Push per bending stiffness, per mm².
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(default)]
#[allow(missing_docs)]
pub struct Push {
    pub relaxed_per_mm2: f64,
    pub pushed_per_mm2: f64,
}

impl Push {
    /// Where nobody says otherwise; from memory.
    pub const DEFAULT: Push = Push { relaxed_per_mm2: 1e-6, pushed_per_mm2: 1e-3 };
}

impl Default for Push {
    fn default() -> Self {
        Push::DEFAULT
    }
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
            source: message::FROM_MEMORY.into(),
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
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub graft_diameters_mm: Vec<f64>,
    pub least_bend_radius_mm: Option<f64>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub least_overlap_mm: Option<f64>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub least_landing_mm: Option<f64>,
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

impl Default for CArm {
    /// From memory, and said so wherever a view rests on it.
    fn default() -> Self {
        CArm { primary_limit_deg: [-100.0, 100.0], secondary_limit_deg: [-45.0, 45.0], table_turn_deg: 0.0 }
    }
}

/// A named alternative.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[allow(missing_docs)]
pub struct Alternative {
    pub name: String,
    /// An object, in which a missing one is empty.
    #[serde(default = "no_changes")]
    pub changes: serde_json::Value,
}

fn no_changes() -> serde_json::Value {
    serde_json::Value::Object(serde_json::Map::new())
}
