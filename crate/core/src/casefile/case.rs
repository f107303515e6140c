//! The case as typed values: names, units and meanings of version 1 of the file.
//!
//! The plan around what was measured ([`super::measured`]) and what is implanted
//! ([`super::device`]), whose types can be named from here too.
//!
//! Plain data in the order in which it is written. Ranges and sentences about each field are in
//! [`super::fields`]; a value of these types that came through [`super::Document`] is within them.
//! Numbers that nobody measured are `None` (`null` in the file).

pub use super::device::*;
pub use super::measured::*;
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
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub graft_diameters_mm: Vec<f64>,
    pub least_bend_radius_mm: Option<f64>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub least_overlap_mm: Option<f64>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub least_landing_mm: Option<f64>,
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
    /// What would change an unmet verdict, in words.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub would_change: Option<String>,
}

/// A set of rules with its name and sources.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
#[serde(default)]
pub struct RuleSet {
    /// Its id.
    #[serde(skip_serializing_if = "String::is_empty")]
    pub id: String,
    /// Name of the set.
    pub name: String,
    /// Which way of treatment it is about.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub approach: Option<Approach>,
    /// Where the rules come from.
    pub sources: Vec<String>,
    /// The rules.
    pub rules: Vec<Rule>,
    /// What its source asks for and no rule here judges, in sentences.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub not_judged: Vec<String>,
}

/// Ways of treatment that this program plans.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
#[allow(missing_docs)]
pub enum Approach {
    Branched,
    Fenestrated,
    Any,
}

impl Rule {
    /// A rule without limits on a measure, by its own line and edge: to read it with.
    pub fn on(measure: &str) -> Self {
        Rule {
            id: String::new(),
            measure: measure.into(),
            of: each(),
            when: When::default(),
            line: None,
            to: None,
            at_least: None,
            at_most: None,
            unit: String::new(),
            required: false,
            source: String::new(),
            would_change: None,
        }
    }
}

fn yes() -> bool {
    true
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
    /// Only where the seal that is measured lies on such a wall.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub wall: Option<String>,
    /// Only patients with (or without) a connective-tissue disease.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub connective_tissue_disease: Option<bool>,
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
