//! The release of a plan: every step with what it leaves fed, and what must not be unfed at its end.
//!
//! Everything here is read from the steps of the case and the plan's own geometry; the page, the report
//! and the sheet show it and compute nothing.

use super::false_lumen::{Remaining, at_steps};
use super::flow::{self, Extra, Feed, FeedState};
use super::orders::{self, Orders};
use super::stage::{Staging, possible};
use super::standing::{Standing, standings, steps, vessel_of};
use crate::casefile::case::{Case, Needs, Step, StepAction};
use crate::graft::lie::Possibility;
use crate::plan::Plan;
use crate::quantity::Unknown;
use crate::room::plane::Move;
use std::sync::Arc;

/// Neck vessels that feed the brain, by the words of what a vessel carries.
pub const BRAIN: [&str; 4] = ["right_carotid", "right_vertebral", "left_carotid", "left_vertebral"];
/// The mammary arteries, likewise.
pub const MAMMARIES: [&str; 2] = ["left_mammary", "right_mammary"];

/// A vessel that must not be unfed at the end of a step.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Dependant {
    /// The vessel.
    pub vessel: String,
    /// Whether a graft to the heart hangs on it.
    pub heart: bool,
}

/// One step with what it leaves.
#[derive(Clone, Debug, PartialEq)]
pub struct StepResult {
    /// Its number, from 1.
    pub number: usize,
    /// The step.
    pub step: Step,
    /// What is in place at its end.
    pub standing: Standing,
    /// What feeds each vessel at its end, in each possibility.
    pub feeds: Vec<(Option<Possibility>, Vec<Feed>)>,
    /// Vessels whose blood it interrupts while it is done.
    pub interrupts: Vec<String>,
    /// Ways that still feed the false lumen at its end; `None` where there are none.
    pub false_lumen: Option<Result<Remaining, Unknown>>,
}

/// How much of something is fed, in the worst possibility.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Count {
    /// Fed for sure.
    pub fed: usize,
    /// Doubtful or unknown.
    pub doubtful: usize,
    /// Of how many that some vessel carries.
    pub of: usize,
}

/// The release of a plan.
#[derive(Clone, Debug, PartialEq)]
pub struct Release {
    /// Its steps.
    pub steps: Vec<StepResult>,
    /// What must not be unfed.
    pub dependants: Vec<Dependant>,
    /// The orders of its steps, as drawn and otherwise.
    pub orders: Orders,
    /// What the space must exceed, mm.
    pub limit_mm: f64,
}

/// Vessels that must not be unfed at the end of a step: those that are said to, and those on which a graft
/// to the heart hangs.
pub fn dependants(case: &Case) -> Vec<Dependant> {
    let vessels = case.anatomy.vessels.iter().filter_map(|vessel| {
        let heart = vessel.mammary_graft == Some(true);
        let needs = heart || vessel.needs == Some(Needs::NotUnfedAtAStepsEnd);
        needs.then(|| Dependant { vessel: vessel.id.clone(), heart })
    });
    vessels.chain(flow::coronary_grafts(case).map(|p| Dependant { vessel: p.id.clone(), heart: true })).collect()
}

/// The release of a plan where it is drawn; `None` where its case has no steps.
pub fn release(plan: &Plan) -> Option<Release> {
    (!steps(&plan.case).is_empty()).then(|| released(&mut Staging::of(Arc::new(plan.clone()))))
}

/// The same on a staging that is gone on with.
pub fn released(staging: &mut Staging) -> Release {
    let case = staging.plan().case.clone();
    let own = steps(&case);
    let standing = standings(&case, own);
    let results = (0..own.len()).map(|place| result(staging, &case, place, &standing[place]));
    let results = results.collect();
    whole(staging, results)
}

/// One step of a case.
pub fn result(staging: &mut Staging, case: &Case, place: usize, standing: &Standing) -> StepResult {
    let step = &steps(case)[place];
    StepResult {
        number: place + 1,
        feeds: feeds(staging, standing, Move::default(), &Extra::default()),
        interrupts: interrupts(case, step, standing),
        false_lumen: None,
        step: step.clone(),
        standing: standing.clone(),
    }
}

/// The release once all its steps are known.
pub fn whole(staging: &mut Staging, mut steps: Vec<StepResult>) -> Release {
    let lumens = at_steps(staging.plan(), steps.iter().map(|step| &step.standing));
    steps.iter_mut().zip(lumens).for_each(|(step, lumen)| step.false_lumen = lumen);
    let case = staging.plan().case.clone();
    Release {
        steps,
        dependants: dependants(&case),
        orders: orders::orders(staging, Move::default()),
        limit_mm: flow::limit_mm(&case),
    }
}

/// What feeds each vessel while things stand so, in every possibility that the wire leaves.
pub fn feeds(
    staging: &mut Staging,
    standing: &Standing,
    at: Move,
    extra: &Extra,
) -> Vec<(Option<Possibility>, Vec<Feed>)> {
    let possibilities = possible(staging.plan(), standing.wire_in);
    if possibilities.is_empty() {
        return vec![(None, staging.feeds(standing, None, at, extra))];
    }
    if !standing.begun() {
        // Nothing is in the aorta: how a graft would lie does not matter.
        let feeds = staging.feeds(standing, None, at, extra);
        return possibilities.into_iter().map(|p| (Some(p), feeds.clone())).collect();
    }
    possibilities.into_iter().map(|p| (Some(p), staging.feeds(standing, Some(p), at, extra))).collect()
}

/// The worst state of a vessel over possibilities.
pub fn worst<'a>(feeds: &'a [(Option<Possibility>, Vec<Feed>)], vessel: &str) -> Option<&'a Feed> {
    let own = feeds.iter().filter_map(|(_, feeds)| feeds.iter().find(|feed| feed.vessel == vessel));
    let narrow = |feed: &Feed| feed.narrowest_mm.map_or(f64::INFINITY, |n| n.0);
    own.reduce(|a, b| {
        let worse = b.state > a.state || b.state == a.state && narrow(b) < narrow(a) - 1e-9;
        if worse { b } else { a }
    })
}

/// The vessel that carries something, by the word for it.
pub fn carrier<'a>(case: &'a Case, part: &str) -> Option<&'a str> {
    let carries = |own: &String| own == part;
    case.anatomy.vessels.iter().find(|v| v.carries.iter().any(carries)).map(|v| v.id.as_str())
}

/// How many of the four neck vessels are fed, in the worst possibility.
pub fn brain(case: &Case, feeds: &[(Option<Possibility>, Vec<Feed>)]) -> Count {
    let carriers: Vec<&str> = BRAIN.iter().filter_map(|part| carrier(case, part)).collect();
    let count = |feeds: &[Feed]| {
        let state = |id: &&str| feeds.iter().find(|feed| feed.vessel == **id).map(|feed| feed.state);
        let states = carriers.iter().filter_map(state);
        states.fold(Count { of: carriers.len(), ..Count::default() }, |count, state| match state {
            FeedState::Fed => Count { fed: count.fed + 1, ..count },
            FeedState::Doubtful | FeedState::Unknown => Count { doubtful: count.doubtful + 1, ..count },
            FeedState::Unfed => count,
        })
    };
    let least = feeds.iter().map(|(_, feeds)| count(feeds)).min_by_key(|count| (count.fed, count.doubtful));
    least.unwrap_or(Count { of: carriers.len(), ..Count::default() })
}

/// What a step interrupts while it is done: a stent or a balloon fills the vessel that it goes into, and so
/// may a sheath; of a release it is said that output is lowered, not which vessel.
fn interrupts(case: &Case, step: &Step, standing: &Standing) -> Vec<String> {
    match step.action {
        StepAction::Bridge | StepAction::Balloon => {
            step.on.as_deref().and_then(|on| vessel_of(case, on)).into_iter().collect()
        }
        StepAction::Catheterise => {
            let own = standing.sheaths.iter().filter(|sheath| Some(&sheath.on) == step.on.as_ref());
            let vessels = own.flat_map(|sheath| sheath.vessels.clone());
            vessels.filter(|vessel| flow::sheathed(case, standing, vessel).is_some()).collect()
        }
        StepAction::Release | StepAction::Close | StepAction::RemoveWire => Vec::new(),
    }
}

impl StepResult {
    /// The worst that a vessel comes to over possibilities.
    pub fn worst(&self, vessel: &str) -> Option<&Feed> {
        worst(&self.feeds, vessel)
    }

    /// Dependants that are not fed at its end; nothing before the first piece is in.
    pub fn breaks<'a>(&self, dependants: &'a [Dependant]) -> Vec<(&'a Dependant, FeedState)> {
        let broken = dependants.iter().filter(|_| self.standing.begun()).filter_map(|dependant| {
            let state = self.worst(&dependant.vessel)?.state;
            (state != FeedState::Fed).then_some((dependant, state))
        });
        broken.collect()
    }
}
