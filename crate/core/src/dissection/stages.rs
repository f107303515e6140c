//! Stage by stage: what is done, which ways still let blood through at the stage's end, what is fed, how much
//! of the aorta is covered; and what would still flow if one act were left out.

use super::acts::{Act, acts};
use super::extent::{Covered, covered};
use super::flow::Flow;
use super::in_place::Ground;
use super::ways::{WayIn, ways};
use crate::graft::lie::Possibility;
use serde::Serialize;
use std::cmp::Ordering;

/// The end of a stage.
#[derive(Clone, Debug)]
pub struct StageEnd {
    /// Its number; 0 is before the plan.
    pub stage: u32,
    /// What is done in it, in words.
    pub done: Vec<String>,
    /// Every way, in order.
    pub ways: Vec<WayAt>,
    /// Every vessel, in order: through what it is fed.
    pub vessels: Vec<(String, Flow)>,
    /// How much of the aorta is covered by then.
    pub covered: Covered,
}

/// A way at the end of a stage.
#[derive(Clone, Debug)]
pub struct WayAt {
    /// Its id.
    pub id: String,
    /// What it does, in the worst possibility.
    pub flow: Flow,
    /// What lies on it, where it is shut.
    pub by: Vec<String>,
    /// Whether blood passes here on purpose at this stage's end.
    pub on_purpose: bool,
    /// The possibility in which it flows, where it does not in all.
    pub hangs_on: Option<Possibility>,
}

/// What would hold at the end of the plan without one act.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct LeftOut {
    /// The act, in words.
    pub act: String,
    /// Ids of ways that then flow and otherwise do not.
    pub flows: Vec<String>,
    /// Ids of ways of which it is then not known.
    pub unknown: Vec<String>,
    /// Ids of vessels that are then not fed and otherwise are.
    pub unfed: Vec<String>,
}

/// What holds once certain acts are done: ways and vessels in their worst possibility.
struct Holds {
    ways: Vec<WayAt>,
    vessels: Vec<(String, Flow)>,
}

/// Every stage's end, the state before the plan first.
pub fn stages(ground: &Ground<'_>) -> Vec<StageEnd> {
    let acts = acts(&ground.plan.case);
    let mut numbers: Vec<u32> = acts.iter().map(|act| act.stage).chain([0]).collect();
    numbers.sort_unstable();
    numbers.dedup();
    let all = ways(&ground.plan.case);
    let end = |stage: &u32| {
        let done = |name: &str| acts.iter().any(|act| act.name == name && act.stage <= *stage);
        let Holds { ways, vessels } = holds(ground, &all, *stage, &done);
        StageEnd {
            stage: *stage,
            done: acts.iter().filter(|act| act.stage == *stage).map(|act| act.words.clone()).collect(),
            ways,
            vessels,
            covered: covered(ground.plan, ground.anatomy, &done),
        }
    };
    numbers.iter().map(end).collect()
}

/// Every way while certain acts are done, at the end of a stage.
pub fn ways_at(ground: &Ground<'_>, stage: u32, done: &dyn Fn(&str) -> bool) -> Vec<WayAt> {
    holds(ground, &ways(&ground.plan.case), stage, done).ways
}

/// Ids of ways that flow, of those left on purpose, and of those that are not known.
pub fn remaining(ways: &[WayAt]) -> [Vec<String>; 3] {
    let ids = |wanted: &dyn Fn(&WayAt) -> bool| -> Vec<String> {
        ways.iter().filter(|way| wanted(way)).map(|way| way.id.clone()).collect()
    };
    [
        ids(&|way| matches!(way.flow, Flow::Flows(_)) && !way.on_purpose),
        ids(&|way| way.on_purpose),
        ids(&|way| matches!(way.flow, Flow::Unknown(_)) && !way.on_purpose),
    ]
}

/// What each act is needed for: the plan's end without it. Acts that lie behind are left alone.
pub fn left_out(ground: &Ground<'_>, end: &StageEnd) -> Vec<LeftOut> {
    let acts = acts(&ground.plan.case);
    let all = ways(&ground.plan.case);
    let without = |act: &Act| {
        let done = |name: &str| name != act.name && acts.iter().any(|own| own.name == name);
        let holds = holds(ground, &all, end.stage, &done);
        let changed = |wanted: fn(&Flow) -> bool| {
            let pairs = holds.ways.iter().zip(&end.ways);
            pairs
                .filter(|(now, then)| wanted(&now.flow) && !wanted(&then.flow))
                .map(|(now, _)| now.id.clone())
                .collect()
        };
        let pairs = holds.vessels.iter().zip(&end.vessels);
        let unfed = pairs.filter(|(now, then)| now.1 == Flow::Shut && then.1 != Flow::Shut);
        LeftOut {
            act: act.words.clone(),
            flows: changed(|flow| matches!(flow, Flow::Flows(_))),
            unknown: changed(|flow| matches!(flow, Flow::Unknown(_))),
            unfed: unfed.map(|(now, _)| now.0.clone()).collect(),
        }
    };
    acts.iter().filter(|act| act.stage > 0).map(without).collect()
}

fn holds(ground: &Ground<'_>, all: &[WayIn], stage: u32, done: &dyn Fn(&str) -> bool) -> Holds {
    let mut worst = Holds { ways: Vec::new(), vessels: Vec::new() };
    for (index, possibility) in ground.possibilities.iter().enumerate() {
        let in_place = ground.in_place(*possibility, done);
        let flows = in_place.works.flows().unwrap_or_default();
        let way = |((way, (id, flow)), by): ((&WayIn, &(String, Flow)), &Vec<String>)| WayAt {
            id: id.clone(),
            by: if *flow == Flow::Shut { by.clone() } else { Vec::new() },
            on_purpose: way.on_purpose && way.stage.is_none_or(|closed| closed > stage) && *flow != Flow::Shut,
            flow: flow.clone(),
            hangs_on: None,
        };
        let ways: Vec<WayAt> = all.iter().zip(&flows.ways).zip(&in_place.closers).map(way).collect();
        if index == 0 {
            worst = Holds { ways, vessels: flows.vessels };
            continue;
        }
        for (old, new) in worst.ways.iter_mut().zip(ways) {
            match rank(&new.flow).cmp(&rank(&old.flow)) {
                Ordering::Greater => *old = WayAt { hangs_on: *possibility, ..new },
                // It was worse before: in that possibility, not in all.
                Ordering::Less if old.hangs_on.is_none() => old.hangs_on = ground.possibilities[0],
                Ordering::Less | Ordering::Equal => {}
            }
        }
        for (old, new) in worst.vessels.iter_mut().zip(flows.vessels) {
            // For a vessel no blood is the worse.
            if rank(&new.1) < rank(&old.1) {
                *old = new;
            }
        }
    }
    worst
}

/// Shut, unknown, flowing.
fn rank(flow: &Flow) -> u8 {
    match flow {
        Flow::Shut => 0,
        Flow::Unknown(_) => 1,
        Flow::Flows(_) => 2,
    }
}
