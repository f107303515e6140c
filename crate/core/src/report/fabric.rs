//! The report's parts about grafts as they are made and fabric as it lies. Only names and units
//! change here; no number is computed.

use crate::graft::buildable::{Buildable, Survey};
use crate::graft::lie::{KeptLine, Lie};
use crate::placement::footprint::Site;
use crate::plan::Plan;
use crate::quantity::Quantity;
use serde::Serialize;

/// Whether a graft can be made as it is drawn.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[allow(missing_docs)]
pub struct BuildablePart {
    pub component: String,
    pub state: Buildable,
    pub through_lumen_mm: Option<f64>,
    pub through_lumen_mm2: Option<f64>,
    pub through_lumen_at_u_mm: Option<f64>,
    pub between: Vec<BetweenPart>,
    pub edges: Vec<EdgesPart>,
    pub findings: Vec<FindingPart>,
}

/// Fabric between two mouths or openings.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[allow(missing_docs)]
pub struct BetweenPart {
    pub of: [String; 2],
    pub edges_mm: Option<f64>,
    pub along_mm: f64,
    pub turn_deg: f64,
}

/// Fabric from a mouth or opening to the edges of the graft.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[allow(missing_docs)]
pub struct EdgesPart {
    pub of: String,
    pub proximal_mm: f64,
    pub distal_mm: f64,
}

/// What stands against making a graft so.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[allow(missing_docs)]
pub struct FindingPart {
    pub code: &'static str,
    pub of: Vec<String>,
    pub state: Buildable,
    pub from_u_mm: Option<f64>,
    pub to_u_mm: Option<f64>,
    pub text: String,
}

/// A fenestration or scallop against its ostium.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[allow(missing_docs)]
pub struct OpeningPart {
    pub id: String,
    pub component: String,
    pub serves: String,
    pub lie: Lie,
    pub length_kept_by: KeptLine,
    pub overlap_mm2: Option<f64>,
    pub uncovered_share: Option<f64>,
    pub edge_distance_mm: Option<f64>,
    pub wall_distance_mm: Option<f64>,
    pub clock_error_deg: Option<f64>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub taken_from_seal_mm: Option<f64>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub left_of_seal_mm: Option<f64>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub why: Option<String>,
}

/// Space between fabric and wall.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[allow(missing_docs)]
pub struct SpacePart {
    pub at: String,
    pub of: Site,
    pub component: Option<String>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub lie: Option<Lie>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub length_kept_by: Option<KeptLine>,
    pub centre_mm: Option<f64>,
    pub least_mm: Option<f64>,
    pub mean_mm: Option<f64>,
    pub covered: Option<bool>,
    pub covered_share: Option<f64>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub why: Option<String>,
}

/// Where a piece lies.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[allow(missing_docs)]
pub struct ComponentPart {
    pub id: String,
    pub kind: &'static str,
    pub lie: Lie,
    pub length_kept_by: KeptLine,
    pub from_station_mm: Option<f64>,
    pub to_station_mm: Option<f64>,
    /// Ids of the ostia, points and ways that its fabric covers.
    pub covers: Vec<String>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub why: Option<String>,
}

/// Two neighbours.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[allow(missing_docs)]
pub struct OverlapPart {
    pub upstream: String,
    pub downstream: String,
    pub inside: String,
    pub lie: Lie,
    pub length_kept_by: KeptLine,
    pub overlap_mm: Option<f64>,
    pub inner_mm: Option<f64>,
    pub oversize_least_percent: Option<f64>,
    pub oversize_largest_percent: Option<f64>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub why: Option<String>,
}

fn number(quantity: &Quantity) -> Option<f64> {
    quantity.value().copied()
}

fn why(quantities: &[&Quantity]) -> Option<String> {
    quantities.iter().find_map(|q| q.why()).map(str::to_string)
}

pub(super) fn buildable(plan: &Plan) -> Vec<BuildablePart> {
    let part = |(component, survey): &(String, std::sync::Arc<Survey>)| BuildablePart {
        component: component.clone(),
        state: survey.buildable,
        through_lumen_mm: survey.through.map(|t| t.free_mm),
        through_lumen_mm2: survey.through.map(|t| t.free_mm2),
        through_lumen_at_u_mm: survey.through.map(|t| t.u_mm),
        between: survey
            .between
            .iter()
            .map(|b| BetweenPart {
                of: b.of.clone(),
                edges_mm: b.edges_mm,
                along_mm: b.along_mm,
                turn_deg: b.turn.to_deg(),
            })
            .collect(),
        edges: survey
            .edges
            .iter()
            .map(|e| EdgesPart { of: e.of.clone(), proximal_mm: e.proximal_mm, distal_mm: e.distal_mm })
            .collect(),
        findings: survey
            .findings
            .iter()
            .map(|f| FindingPart {
                code: f.code,
                of: f.of.clone(),
                state: f.so,
                from_u_mm: f.on_graft_mm.map(|on| on.0),
                to_u_mm: f.on_graft_mm.map(|on| on.1),
                text: f.text.clone(),
            })
            .collect(),
    };
    plan.surveys.iter().map(part).collect()
}

/// Every fenestration and scallop in every possibility.
pub fn openings(plan: &Plan) -> Vec<OpeningPart> {
    plan.fabric
        .openings
        .iter()
        .map(|o| OpeningPart {
            id: o.id.clone(),
            component: o.component.clone(),
            serves: o.serves.clone(),
            lie: o.possibility.lie,
            length_kept_by: o.possibility.length_kept_by,
            overlap_mm2: number(&o.overlap_mm2),
            uncovered_share: number(&o.uncovered_share),
            edge_distance_mm: number(&o.edge_distance_mm),
            wall_distance_mm: number(&o.wall_distance_mm),
            clock_error_deg: o.clock_error.value().map(|a| a.to_deg()),
            taken_from_seal_mm: o.taken_from_seal_mm,
            left_of_seal_mm: o.left_of_seal_mm,
            why: why(&[&o.overlap_mm2, &o.wall_distance_mm]),
        })
        .collect()
}

/// Space to the wall at every ostium, point and way.
pub fn spaces(plan: &Plan) -> Vec<SpacePart> {
    plan.fabric
        .spaces
        .iter()
        .map(|s| SpacePart {
            at: s.at.clone(),
            of: s.site,
            component: s.component.clone(),
            lie: s.possibility.map(|p| p.lie),
            length_kept_by: s.possibility.map(|p| p.length_kept_by),
            centre_mm: number(&s.centre_mm),
            least_mm: number(&s.least_mm),
            mean_mm: number(&s.mean_mm),
            covered: s.covered(),
            covered_share: number(&s.covered_share),
            why: why(&[&s.centre_mm, &s.least_mm]),
        })
        .collect()
}

/// Where every component lies and what it covers.
pub fn components(plan: &Plan) -> Vec<ComponentPart> {
    plan.fabric
        .extents
        .iter()
        .map(|e| {
            let own = plan.fabric.spaces.iter().filter(|s| {
                s.component.as_ref() == Some(&e.component)
                    && s.possibility == Some(e.possibility)
                    && s.covered() == Some(true)
            });
            let kind = plan.case.components.iter().find(|c| c.id == e.component).map_or("", |c| c.kind.as_str());
            ComponentPart {
                id: e.component.clone(),
                kind,
                lie: e.possibility.lie,
                length_kept_by: e.possibility.length_kept_by,
                from_station_mm: number(&e.from_mm),
                to_station_mm: number(&e.to_mm),
                covers: own.map(|s| s.at.clone()).collect(),
                why: why(&[&e.from_mm, &e.to_mm]),
            }
        })
        .collect()
}

/// Overlaps of neighbouring components.
pub fn overlaps(plan: &Plan) -> Vec<OverlapPart> {
    plan.fabric
        .overlaps
        .iter()
        .map(|o| OverlapPart {
            upstream: o.upstream.clone(),
            downstream: o.downstream.clone(),
            inside: o.inside.clone(),
            lie: o.possibility.lie,
            length_kept_by: o.possibility.length_kept_by,
            overlap_mm: number(&o.overlap_mm),
            inner_mm: number(&o.inner_mm),
            oversize_least_percent: o.oversize_percent.map(|p| p.0),
            oversize_largest_percent: o.oversize_percent.map(|p| p.1),
            why: why(&[&o.overlap_mm, &o.inner_mm]),
        })
        .collect()
}
