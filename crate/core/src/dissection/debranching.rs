//! Surgery of the neck vessels: what each bypass changes in landing, feed and rules, and what must be minded
//! of vessels that nothing else can stand in for.

use super::acts::surgery;
use super::flow::Flow;
use super::stages::StageEnd;
use super::words;
use crate::anatomy::Anatomy;
use crate::casefile::case::{Bypass, BypassKind, BypassState, VertebralIs, VesselInput};
use crate::plan::Plan;
use serde::Serialize;

/// What one bypass, transposition, interposition or ligation changes.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Surgery {
    /// In words, which also name it.
    pub name: String,
    /// Stage; 0 where it is done, `None` where nobody entered one.
    pub stage: Option<u32>,
    /// By how much the landing zone may begin further upstream once its ostium may be covered, mm along
    /// the centreline.
    pub gained_mm: Option<f64>,
    /// What changes in landing.
    pub landing: String,
    /// What changes in feed.
    pub feed: String,
    /// What changes in rules.
    pub rules: String,
}

/// Every one of them, in the order of the case.
pub fn surgeries(plan: &Plan, anatomy: &Anatomy) -> Vec<Surgery> {
    plan.case.anatomy.bypasses.iter().map(|bypass| one(plan, anatomy, bypass)).collect()
}

fn one(plan: &Plan, anatomy: &Anatomy, bypass: &Bypass) -> Surgery {
    let vessels = &plan.case.anatomy.vessels;
    let receives = vessels.iter().find(|v| v.id == bypass.to);
    let place = anatomy.ostia.iter().position(|o| o.vessels.contains(&bypass.to));
    let edge = |index: usize| anatomy.ostia.get(index)?.edges_mm.as_ref().ok().map(|edges| edges.1);
    let frees = matches!(bypass.kind, BypassKind::Bypass | BypassKind::Transposition);
    let gained_mm = place.filter(|_| frees).and_then(|index| Some(edge(index)? - edge(index.checked_sub(1)?)?));
    let zone = place.filter(|_| frees).and_then(edge).and_then(|edge| {
        anatomy.zones.iter().find(|zone| zone.from_mm < edge - 1e-6 && zone.to_mm >= edge - 1e-6).map(|zone| zone.zone)
    });
    let healthy = receives.and_then(|vessel| vessel.healthy_from_mm);
    let carried = receives.map(words::carried).unwrap_or_default();
    let subjects: Vec<&str> = plan
        .tunnels
        .iter()
        .filter(|tunnel| tunnel.serves == bypass.to)
        .map(|tunnel| tunnel.id.as_str())
        .chain(place.and_then(|index| anatomy.ostia.get(index)).map(|ostium| ostium.id.as_str()))
        .chain([bypass.to.as_str()])
        .collect();
    let mut judged: Vec<&str> = Vec::new();
    for verdict in plan.verdicts.iter().filter(|verdict| subjects.contains(&verdict.of.as_str())) {
        if !judged.contains(&verdict.rule.as_str()) {
            judged.push(&verdict.rule);
        }
    }
    Surgery {
        name: surgery(bypass),
        stage: if bypass.state == BypassState::Done { Some(0) } else { bypass.stage },
        gained_mm,
        landing: words::landing_change(bypass, gained_mm, zone, healthy),
        feed: words::feed_change(bypass, &carried),
        rules: words::rules_change(bypass, &judged),
    }
}

/// What must be minded, in sentences: an only carotid, a dominant or isolated vertebral artery, a mammary
/// graft, and every stage that ends with one of them unfed.
pub fn minded(plan: &Plan, stages: &[StageEnd]) -> Vec<String> {
    let vessels = &plan.case.anatomy.vessels;
    let carries = |vessel: &VesselInput, part: &str| vessel.carries.iter().any(|own| own.ends_with(part));
    let carotids = vessels.iter().flat_map(|v| &v.carries).filter(|own| own.ends_with("carotid")).count();
    let mut said = Vec::new();
    for vessel in vessels {
        let mut matters: Vec<&str> = Vec::new();
        if carotids == 1 && carries(vessel, "carotid") {
            matters.push(words::ONLY_CAROTID);
        }
        if carries(vessel, "vertebral") && vessel.carries.len() == 1 && vessels.iter().all(|v| v.id != vessel.from) {
            matters.push(words::ISOLATED_VERTEBRAL);
        }
        match vessel.vertebral_is {
            Some(VertebralIs::Dominant) => matters.push(words::DOMINANT_VERTEBRAL),
            Some(VertebralIs::Only) => matters.push(words::ONLY_VERTEBRAL),
            Some(VertebralIs::Equal) | None => {}
        }
        if vessel.mammary_graft == Some(true) {
            matters.push(words::MAMMARY_GRAFT);
        }
        let unfed: Vec<u32> = stages
            .iter()
            .filter(|end| end.vessels.iter().any(|(id, flow)| *id == vessel.id && *flow == Flow::Shut))
            .map(|end| end.stage)
            .collect();
        said.extend(matters.into_iter().map(|what| words::minded(&vessel.id, what, &unfed)));
        // A vessel that carries nothing of this is said too where a stage leaves it unfed.
        if !unfed.is_empty() && !said.iter().any(|line| line.starts_with(&format!("{}:", vessel.id))) {
            said.push(words::minded(&vessel.id, "", &unfed));
        }
    }
    said
}
