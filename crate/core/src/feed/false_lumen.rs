//! Which ways still feed the false lumen at the end of each step: what the steps have put in place, told to
//! [`crate::dissection`], which knows what that closes.
//!
//! A piece that is not open from end to end seals nothing yet. Where a step has a graft lie elsewhere than
//! drawn it is not known.

use super::standing::Standing;
use crate::casefile::case::{Case, ComponentKind};
use crate::dissection::acts::{Act, acts};
use crate::dissection::flow::Flow;
use crate::dissection::in_place::Ground;
use crate::dissection::stages::{remaining, ways_at};
use crate::dissection::ways::ways;
use crate::message;
use crate::plan::Plan;
use crate::quantity::Unknown;

/// Ids of ways that flow, of those left on purpose, of those that are not known.
pub type Remaining = [Vec<String>; 3];

/// At the end of each step; nothing where no way of a false lumen is known.
pub fn at_steps<'a>(
    plan: &Plan,
    standings: impl Iterator<Item = &'a Standing>,
) -> Vec<Option<Result<Remaining, Unknown>>> {
    if ways(&plan.case).is_empty() {
        return standings.map(|_| None).collect();
    }
    let ground = Ground::of(plan);
    let all = acts(&plan.case);
    let at = |standing: &Standing| match &ground {
        Ok(ground) => at_step(ground, &plan.case, &all, standing),
        Err(why) => Err(why.clone()),
    };
    standings.map(|standing| Some(at(standing))).collect()
}

fn at_step(ground: &Ground<'_>, case: &Case, all: &[Act], standing: &Standing) -> Result<Remaining, Unknown> {
    let component = |id: &str| case.components.iter().find(|component| component.id == id);
    let drawn = |id: &str| component(id).and_then(|component| component.placement);
    if standing.placed.iter().any(|(id, there)| drawn(id).is_some_and(|drawn| drawn != *there)) {
        return Err(Unknown::because(message::LIES_ELSEWHERE));
    }
    // Steps without a stage are the last of the plan.
    let stage = standing.stage.unwrap_or(u32::MAX);
    let open = |id: &str, length_mm: f64| {
        let mut own = standing.released.iter().filter(|piece| piece.component == id);
        own.any(|piece| piece.open_to_mm.is_none_or(|to| to >= length_mm))
    };
    let done = |name: &str| match component(name) {
        Some(plug) if plug.kind == ComponentKind::Plug => {
            plug.in_vessel.as_ref().is_some_and(|vessel| standing.closed.contains(vessel))
        }
        Some(piece) => piece.graft.as_ref().is_some_and(|graft| open(name, graft.length_mm)),
        None if standing.bridged.iter().any(|own| own == name) => true,
        None => {
            let served = super::standing::servers(case).iter().any(|(id, _)| *id == name);
            !served && all.iter().any(|act| act.name == name && act.stage <= stage)
        }
    };
    let mut ways = ways_at(ground, stage, &done);
    for way in ways.iter_mut().filter(|way| standing.closed.contains(&way.id)) {
        (way.flow, way.on_purpose) = (Flow::Shut, false);
    }
    Ok(remaining(&ways))
}
