//! The release in the report: what each step leaves fed, orders, turns. Only names and units change here;
//! no number is computed.

use crate::carm::views::ViewResult;
use crate::feed::false_lumen::Remaining;
use crate::feed::flow::{FedBy, FeedState, SOURCE};
use crate::feed::orders::Order;
use crate::feed::over_room::{self, OverOrder};
use crate::feed::release::{self, MAMMARIES, Release, StepResult, carrier};
use crate::feed::stage::Staging;
use crate::feed::surprise::{Surprise, surprise};
use crate::feed::{standing, words};
use crate::graft::lie::{KeptLine, Lie};
use crate::message;
use crate::plan::Plan;
use crate::quantity::Unknown;
use crate::room::Forgiveness;
use serde::Serialize;
use std::sync::Arc;

/// A vessel at the end of a step, in one possibility.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[allow(missing_docs)]
pub struct FeedPart {
    pub step: usize,
    pub vessel: String,
    pub lie: Option<Lie>,
    pub length_kept_by: Option<KeptLine>,
    pub fed_by: FedBy,
    pub state: FeedState,
    pub narrowest_mm: Option<f64>,
    pub error_mm: Option<f64>,
    pub at_station_mm: Option<f64>,
    pub at_clock_deg: Option<f64>,
    pub through: Vec<String>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub why: Option<String>,
}

/// The release as a whole.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[allow(missing_docs)]
pub struct ReleasePart {
    pub least_space_mm: f64,
    pub source: &'static str,
    /// Vessels that must not be unfed at the end of a step.
    pub dependants: Vec<String>,
    pub steps: Vec<StepPart>,
    pub drawn: OrderPart,
    pub orders: Vec<OrderPart>,
    pub too_many: bool,
    pub turned: Vec<TurnedPart>,
    /// The orders over the room: long work, filled in by whoever has done it.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub over_room: Option<OverRoomPart>,
    /// What the orders come to, in sentences.
    pub says: Vec<String>,
    pub pauses: Vec<String>,
    /// What to do if the graft comes to lie turned, in sentences.
    pub fallback: Vec<String>,
    pub caution: &'static str,
}

/// One step.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[allow(missing_docs)]
pub struct StepPart {
    pub step: usize,
    pub does: String,
    /// How far the graft is open, where it then lies, where the wire is.
    pub state: String,
    pub leaves: String,
    pub brain_fed: usize,
    pub brain_doubtful: usize,
    pub brain_said: usize,
    /// The brain in words.
    pub brain: String,
    pub left_mammary: FeedState,
    pub right_mammary: FeedState,
    pub breaks: Vec<String>,
    /// The same in words.
    pub ends: String,
    pub interrupts: Vec<String>,
    /// Ways of the false lumen at its end; absent where there are none.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub false_lumen: Option<LumenPart>,
    pub minutes: Option<f64>,
    pub view: Option<String>,
}

/// What still feeds the false lumen at the end of a step.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[allow(missing_docs)]
pub struct LumenPart {
    pub remaining: Vec<String>,
    pub on_purpose: Vec<String>,
    pub unknown: Vec<String>,
    pub text: String,
}

/// The orders over the room of the placement.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[allow(missing_docs)]
pub struct OverRoomPart {
    pub apart_mm: Option<f64>,
    pub apart_deg: Option<f64>,
    pub placements: usize,
    pub none_holds_at: usize,
    pub orders: Vec<OverOrderPart>,
    pub says: Vec<String>,
}

/// One order over the room.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[allow(missing_docs)]
pub struct OverOrderPart {
    pub vessels: Vec<String>,
    pub steps: Vec<usize>,
    pub holds_at: usize,
    pub ends_fed_at: usize,
    /// The nearest placement at which it does not hold, and what is lost there.
    pub lost_shift_mm: Option<f64>,
    pub lost_turn_deg: Option<f64>,
    pub lost: Option<String>,
}

/// An order of bridging.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[allow(missing_docs)]
pub struct OrderPart {
    pub vessels: Vec<String>,
    pub steps: Vec<usize>,
    pub holds: bool,
    pub fed_from: Option<usize>,
    pub brain_least: usize,
}

/// A vessel that is lost by turning.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[allow(missing_docs)]
pub struct TurnedPart {
    pub towards: &'static str,
    pub vessel: String,
    pub doubtful_from_deg: Option<f64>,
    pub unfed_from_deg: Option<f64>,
}

/// Both parts of a plan; nothing where its case has no steps.
pub(super) fn parts(plan: &Plan, views: &[ViewResult]) -> (Vec<FeedPart>, Option<ReleasePart>) {
    if standing::steps(&plan.case).is_empty() {
        return (Vec::new(), None);
    }
    let mut staging = Staging::of(Arc::new(plan.clone()));
    let release = release::released(&mut staging);
    let turned = surprise(&mut staging);
    (release.steps.iter().flat_map(feeds).collect(), Some(whole(plan, &release, turned.as_ref(), views)))
}

fn feeds(result: &StepResult) -> Vec<FeedPart> {
    let each = result.feeds.iter().flat_map(|(possibility, feeds)| feeds.iter().map(move |feed| (possibility, feed)));
    each.map(|(possibility, feed)| FeedPart {
        step: result.number,
        vessel: feed.vessel.clone(),
        lie: possibility.map(|p| p.lie),
        length_kept_by: possibility.map(|p| p.length_kept_by),
        fed_by: feed.by,
        state: feed.state,
        narrowest_mm: feed.narrowest_mm.map(|(mm, _)| mm),
        error_mm: feed.narrowest_mm.map(|(_, error)| error),
        at_station_mm: feed.at.map(|at| at.station_mm),
        at_clock_deg: feed.at.map(|at| at.clock.to_deg()),
        through: feed.through.clone(),
        why: feed.why.clone(),
    })
    .collect()
}

fn whole(plan: &Plan, release: &Release, turned: Option<&Surprise>, views: &[ViewResult]) -> ReleasePart {
    let case = &plan.case;
    let lines = words::lines(case, release, views);
    let sides = turned.map_or(&[][..], |own| &own.sides);
    let lost = sides.iter().flat_map(|side| side.shuts.iter().map(move |shut| (side.towards, shut)));
    ReleasePart {
        least_space_mm: release.limit_mm,
        source: SOURCE,
        dependants: release.dependants.iter().map(|own| own.vessel.clone()).collect(),
        steps: release.steps.iter().zip(&lines).map(|(result, line)| step(plan, release, result, line)).collect(),
        drawn: order(&release.orders.drawn),
        orders: release.orders.all.iter().map(order).collect(),
        too_many: release.orders.too_many,
        turned: lost
            .map(|(towards, shut)| TurnedPart {
                towards: if towards > 0.0 { "front" } else { "back" },
                vessel: shut.vessel.clone(),
                doubtful_from_deg: shut.doubtful_from_deg,
                unfed_from_deg: shut.unfed_from_deg,
            })
            .collect(),
        over_room: None,
        says: words::orders(release),
        pauses: words::pauses(case, release),
        fallback: turned.map(words::surprise).unwrap_or_default(),
        caution: message::FEED_CAUTION,
    }
}

fn step(plan: &Plan, release: &Release, result: &StepResult, line: &words::StepLine) -> StepPart {
    let brain = release::brain(&plan.case, &result.feeds);
    let [left, right] = MAMMARIES.map(|part| {
        let feed = carrier(&plan.case, part).and_then(|vessel| result.worst(vessel));
        feed.map_or(FeedState::Unknown, |feed| feed.state)
    });
    StepPart {
        step: result.number,
        does: line.does.clone(),
        state: line.state.clone(),
        brain: line.brain.clone(),
        ends: line.breaks.clone(),
        leaves: words::leaves(line),
        brain_fed: brain.fed,
        brain_doubtful: brain.doubtful,
        brain_said: brain.of,
        left_mammary: left,
        right_mammary: right,
        breaks: result.breaks(&release.dependants).into_iter().map(|(own, _)| own.vessel.clone()).collect(),
        interrupts: result.interrupts.clone(),
        false_lumen: result.false_lumen.as_ref().map(lumen),
        minutes: result.step.minutes,
        view: line.view.clone(),
    }
}

fn lumen(own: &Result<Remaining, Unknown>) -> LumenPart {
    let [remaining, on_purpose, unknown] = own.clone().unwrap_or_default();
    LumenPart { remaining, on_purpose, unknown, text: words::false_lumen(own) }
}

/// The orders over a room that is found, without pause; absent where nothing must stay fed.
pub fn over_room(plan: &Plan, found: Option<&Result<Forgiveness, Unknown>>) -> Option<OverRoomPart> {
    if standing::steps(&plan.case).is_empty() || release::dependants(&plan.case).is_empty() {
        return None;
    }
    let own = found.and_then(|found| over_room::over_room(plan, found.as_ref().ok()?));
    let order = |own: &OverOrder| OverOrderPart {
        vessels: own.order.vessels.clone(),
        steps: own.order.steps.iter().map(|place| place + 1).collect(),
        holds_at: own.holds_at,
        ends_fed_at: own.ends_at,
        lost_shift_mm: own.fails.as_ref().map(|(at, ..)| at.shift_mm),
        lost_turn_deg: own.fails.as_ref().map(|(at, ..)| at.turn_deg),
        lost: own.fails.as_ref().map(|(_, vessel, _)| vessel.clone()),
    };
    Some(OverRoomPart {
        apart_mm: own.as_ref().map(|own| own.apart.shift_mm),
        apart_deg: own.as_ref().map(|own| own.apart.turn_deg),
        placements: own.as_ref().map_or(0, |own| own.tried),
        none_holds_at: own.as_ref().map_or(0, |own| own.none_at),
        orders: own.iter().flat_map(|own| &own.orders).map(order).collect(),
        says: own.as_ref().map_or_else(|| vec![words::NO_ROOM.into()], words::over_room),
    })
}

fn order(order: &Order) -> OrderPart {
    OrderPart {
        vessels: order.vessels.clone(),
        steps: order.steps.iter().map(|place| place + 1).collect(),
        holds: order.holds(),
        fed_from: order.fed_from.map(|place| place + 1),
        brain_least: order.brain_least,
    }
}

/// The release as lines to read.
pub fn in_words(release: &ReleasePart) -> Vec<String> {
    let mut lines = Vec::new();
    for step in &release.steps {
        let state = if step.state.is_empty() { String::new() } else { format!("; {}", step.state) };
        lines
            .push(format!("Step {}: {}{state}. Leaves: {}. Brain: {}.", step.step, step.does, step.leaves, step.brain));
        if !step.ends.is_empty() {
            lines.push(format!("  Ends unfed: {}.", step.ends));
        }
        if let Some(lumen) = &step.false_lumen {
            lines.push(format!("  False lumen: {}.", lumen.text));
        }
    }
    lines.extend(release.says.iter().cloned());
    lines.extend(release.over_room.iter().flat_map(|own| &own.says).cloned());
    lines.extend(release.pauses.iter().map(|pause| format!("Planned pause: {pause}")));
    lines.extend(release.fallback.iter().cloned());
    let limit = super::words::mm(release.least_space_mm);
    lines.push(format!("Through the space counts as fed if it exceeds {limit} by its error ({}).", release.source));
    lines.push(release.caution.to_owned());
    lines
}
