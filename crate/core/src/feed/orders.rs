//! In which orders the steps keep fed what must be: what is done on one tunnel or opening stays together,
//! releases and the like stay in their place, and everything between two of them may change places.
//!
//! Where no order does, it is tried what would help: surgery first, or a tunnel more.

use super::flow::{Extra, FeedState};
use super::release::{self, Dependant};
use super::stage::Staging;
use super::standing::{standings, steps, vessel_of};
use super::templates;
use crate::casefile::case::{Case, Step, StepAction};
use crate::room::plane::Move;

/// Most orders that are tried.
const MOST_ORDERS: usize = 720;

/// One order of the steps.
#[derive(Clone, Debug, PartialEq)]
pub struct Order {
    /// Places of the steps in the case, in this order.
    pub steps: Vec<usize>,
    /// The vessels in the order in which they are worked on.
    pub vessels: Vec<String>,
    /// Ends of steps at which something is not fed that must be: place in this order, vessel, its state.
    pub breaks: Vec<(usize, String, FeedState)>,
    /// From the end of which step on, by its place in this order, all of it is fed to the last; `None`
    /// where it ends unfed.
    pub fed_from: Option<usize>,
    /// Fewest neck vessels of four that are fed at the end of a step.
    pub brain_least: usize,
}

impl Order {
    /// Whether no step ends with anything unfed that must not be.
    pub fn holds(&self) -> bool {
        self.breaks.is_empty()
    }

    /// Whether the last step ends with all of it fed.
    pub fn ends_fed(&self) -> bool {
        self.fed_from.is_some()
    }
}

/// Something that would help where no order does.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Help {
    /// A bypass made before, from one vessel to another.
    Bypass(String, String),
    /// A tunnel or an opening of its own.
    Tunnel(String),
}

/// The orders of a plan's steps.
#[derive(Clone, Debug, PartialEq)]
pub struct Orders {
    /// As the steps are written.
    pub drawn: Order,
    /// Every order, the best first: what holds, then what is fed again soonest, then the brain.
    pub all: Vec<Order>,
    /// Whether there are more than are tried.
    pub too_many: bool,
    /// What would help, with the best order there is then.
    pub helps: Vec<(Help, Order)>,
}

/// All orders of the steps of a case with the moved graft lying elsewhere.
pub fn orders(staging: &mut Staging, at: Move) -> Orders {
    let case = staging.plan().case.clone();
    let own = steps(&case);
    let dependants = release::dependants(&case);
    let drawn = tried(staging, own, (0..own.len()).collect(), &dependants, at, &Extra::default());
    let (ways, too_many) = permuted(&case, own);
    let none = Extra::default();
    let mut all: Vec<Order> = ways.iter().map(|way| tried(staging, own, way.clone(), &dependants, at, &none)).collect();
    all.sort_by_key(rank);
    let mut helps = Vec::new();
    if !dependants.is_empty() && !drawn.holds() && !all.iter().any(Order::holds) {
        let ended = all.iter().any(Order::ends_fed);
        helps = helping(staging, own, &ways, &dependants, at, ended);
    }
    Orders { drawn, all, too_many, helps }
}

/// What holds first, then what is fed again soonest, then the brain.
fn rank(order: &Order) -> (bool, usize, usize, usize) {
    let from = order.fed_from.unwrap_or(usize::MAX);
    (!order.holds(), from, order.breaks.len(), 4_usize.saturating_sub(order.brain_least))
}

/// Whether a step may change places, and what it then stays together with.
fn group(case: &Case, step: &Step) -> Option<String> {
    match step.action {
        StepAction::Catheterise | StepAction::Bridge | StepAction::Balloon => {
            let on = step.on.as_deref()?;
            vessel_of(case, on)
        }
        StepAction::Release | StepAction::Close | StepAction::RemoveWire => None,
    }
}

/// Every order of places; the drawn groups first. At most [`MOST_ORDERS`].
fn permuted(case: &Case, own: &[Step]) -> (Vec<Vec<usize>>, bool) {
    // Stretches between fixed steps, each as groups of places.
    let mut stretches: Vec<Vec<(String, Vec<usize>)>> = vec![Vec::new()];
    let mut fixed: Vec<Option<usize>> = Vec::new();
    for (place, step) in own.iter().enumerate() {
        match group(case, step) {
            Some(vessel) => {
                let Some(stretch) = stretches.last_mut() else { continue };
                match stretch.iter_mut().find(|(own, _)| *own == vessel) {
                    Some((_, places)) => places.push(place),
                    None => stretch.push((vessel, vec![place])),
                }
            }
            None => {
                fixed.push(Some(place));
                stretches.push(Vec::new());
            }
        }
    }
    let mut ways: Vec<Vec<usize>> = vec![Vec::new()];
    let mut too_many = false;
    for (index, stretch) in stretches.iter().enumerate() {
        let orders = permutations(stretch.len());
        let mut next = Vec::new();
        'all: for way in &ways {
            for order in &orders {
                if next.len() >= MOST_ORDERS {
                    too_many = true;
                    break 'all;
                }
                let mut longer = way.clone();
                longer.extend(order.iter().flat_map(|k| stretch[*k].1.iter().copied()));
                longer.extend(fixed.get(index).copied().flatten());
                next.push(longer);
            }
        }
        ways = next;
        too_many |= stretch.len() > MOST_GROUPS;
    }
    (ways, too_many)
}

/// Most groups of one stretch that change places: their orders are [`MOST_ORDERS`].
const MOST_GROUPS: usize = 6;

/// Permutations of the first numbers in the order of a dictionary; beyond [`MOST_GROUPS`] the rest stays.
fn permutations(count: usize) -> Vec<Vec<usize>> {
    let mut all: Vec<Vec<usize>> = vec![Vec::new()];
    for _ in 0..count.min(MOST_GROUPS) {
        let longer = |begun: &Vec<usize>| {
            let free = (0..count.min(MOST_GROUPS)).filter(|k| !begun.contains(k)).collect::<Vec<_>>();
            free.into_iter().map(|k| [&begun[..], &[k]].concat()).collect::<Vec<_>>()
        };
        all = all.iter().flat_map(longer).collect();
    }
    all.into_iter().map(|order| order.into_iter().chain(count.min(MOST_GROUPS)..count).collect()).collect()
}

/// Tries one order.
fn tried(
    staging: &mut Staging,
    own: &[Step],
    places: Vec<usize>,
    dependants: &[Dependant],
    at: Move,
    extra: &Extra,
) -> Order {
    let case = staging.plan().case.clone();
    let in_order: Vec<Step> = places.iter().filter_map(|place| own.get(*place).cloned()).collect();
    tried_steps(staging, &case, &in_order, places, dependants, at, extra)
}

fn tried_steps(
    staging: &mut Staging,
    case: &Case,
    in_order: &[Step],
    places: Vec<usize>,
    dependants: &[Dependant],
    at: Move,
    extra: &Extra,
) -> Order {
    let mut order = Order { steps: places, vessels: Vec::new(), breaks: Vec::new(), fed_from: None, brain_least: 4 };
    for step in in_order.iter().filter(|step| step.action == StepAction::Bridge) {
        let vessel = step.on.as_deref().and_then(|on| vessel_of(case, on));
        order.vessels.extend(vessel.filter(|vessel| !order.vessels.contains(vessel)));
    }
    for (place, standing) in standings(case, in_order).iter().enumerate() {
        if !standing.begun() {
            order.fed_from.get_or_insert(place);
            continue;
        }
        let feeds = release::feeds(staging, standing, at, extra);
        order.brain_least = order.brain_least.min(release::brain(case, &feeds).fed);
        let before = order.breaks.len();
        for dependant in dependants {
            let state = release::worst(&feeds, &dependant.vessel).map_or(FeedState::Unknown, |feed| feed.state);
            if state != FeedState::Fed {
                order.breaks.push((place, dependant.vessel.clone(), state));
            }
        }
        if order.breaks.len() > before {
            order.fed_from = None;
        } else {
            order.fed_from.get_or_insert(place);
        }
    }
    order
}

/// Tries surgery first and a tunnel more for each that must be fed.
fn helping(
    staging: &mut Staging,
    own: &[Step],
    ways: &[Vec<usize>],
    dependants: &[Dependant],
    at: Move,
    ended: bool,
) -> Vec<(Help, Order)> {
    // Something helps if with it no step ends unfed, or at least the last one does not.
    let better = |order: &Order| order.holds() || order.ends_fed() && !ended;
    let case = staging.plan().case.clone();
    let bridged: Vec<String> = own
        .iter()
        .filter(|step| step.action == StepAction::Bridge)
        .filter_map(|step| step.on.as_deref().and_then(|on| vessel_of(&case, on)))
        .collect();
    let mut helps = Vec::new();
    for dependant in dependants.iter().filter(|d| case.anatomy.vessels.iter().any(|v| v.id == d.vessel)) {
        for donor in bridged.iter().filter(|donor| **donor != dependant.vessel) {
            let extra = Extra { bypasses: vec![(donor.clone(), dependant.vessel.clone())], ..Extra::default() };
            let best = ways.iter().map(|way| tried(staging, own, way.clone(), dependants, at, &extra)).min_by_key(rank);
            let help = Help::Bypass(donor.clone(), dependant.vessel.clone());
            helps.extend(best.filter(better).map(|order| (help, order)));
        }
        if bridged.contains(&dependant.vessel) {
            continue;
        }
        // A tunnel of its own, bridged first of all once the last piece is in.
        let after = own.iter().rposition(|step| step.action == StepAction::Release).map_or(0, |place| place + 1);
        let stent = templates::step(StepAction::Bridge, Some(&dependant.vessel));
        let mut longer = own.to_vec();
        longer.insert(after.min(longer.len()), stent);
        let extra = Extra { tunnels: vec![dependant.vessel.clone()], ..Extra::default() };
        let places = (0..longer.len()).collect();
        let order = tried_steps(staging, &case, &longer, places, dependants, at, &extra);
        if better(&order) {
            helps.push((Help::Tunnel(dependant.vessel.clone()), order));
        }
    }
    helps
}
