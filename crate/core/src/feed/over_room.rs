//! Which orders of the steps keep fed what must be wherever in its room the graft comes to lie.
//!
//! Tried on a grid of placements about the drawn one, and at the ends of its four ways, in every
//! possibility: between these nothing is known, and the words say how many they are. Resumable: one
//! operation is one way of lying at one placement, or the orders there.

use super::flow::FeedState;
use super::orders::{self, Help, Order};
use super::release;
use super::stage::{Staging, possible};
use super::standing::{Standing, standings, steps};
use crate::plan::Plan;
use crate::room::Forgiveness;
use crate::room::border::contains;
use crate::room::plane::Move;
use std::sync::Arc;

/// How far apart placements are tried: the first that makes no more of them than [`MOST_EACH_WAY`].
const APART_MM: [f64; 7] = [0.5, 1.0, 2.0, 3.0, 5.0, 10.0, 20.0];
const APART_DEG: [f64; 7] = [1.0, 2.0, 5.0, 10.0, 15.0, 30.0, 60.0];
/// Steps of the grid across the room, at most: along and around.
const MOST_EACH_WAY: [f64; 2] = [4.0, 6.0];

/// An order over the room.
#[derive(Clone, Debug, PartialEq)]
pub struct OverOrder {
    /// As it is where the graft is drawn.
    pub order: Order,
    /// At how many placements no step ends with anything unfed that must not be.
    pub holds_at: usize,
    /// At how many the last step ends with all of it fed.
    pub ends_at: usize,
    /// The nearest placement at which it does not hold, counted in the landing's errors: the vessel that
    /// is lost first, and its state.
    pub fails: Option<(Move, String, FeedState)>,
}

/// The orders over the room.
#[derive(Clone, Debug, PartialEq)]
pub struct OverRoom {
    /// Whether it is the room of the other rules: one that is needed holds nowhere.
    pub of_others: bool,
    /// How far apart placements were tried.
    pub apart: Move,
    /// How many.
    pub tried: usize,
    /// At how many of them no order holds.
    pub none_at: usize,
    /// Every order, the best over the room first.
    pub orders: Vec<OverOrder>,
    /// What helps where no order holds, and at how many placements.
    pub helps: Vec<(Help, usize)>,
}

/// The work.
#[derive(Debug)]
pub struct Roaming {
    errors: Move,
    places: Vec<Move>,
    standings: Vec<Standing>,
    /// How many ways of lying of the placement in work are looked at.
    looked: usize,
    at: usize,
    found: OverRoom,
}

/// The first of some steps that crosses a room no oftener than wanted.
fn apart(steps: [f64; 7], least: f64, most: f64, times: f64) -> f64 {
    let fits = |step: &&f64| most - least <= **step * times;
    steps.iter().find(fits).or(steps.last()).copied().unwrap_or(most - least)
}

impl Roaming {
    /// Begins; `None` where there is no room, no step, or nothing that must stay fed.
    pub fn of(plan: &Plan, found: &Forgiveness) -> Option<Self> {
        let case = &plan.case;
        let reaches = &found.room.reaches;
        if reaches.is_empty() || steps(case).is_empty() || release::dependants(case).is_empty() {
            return None;
        }
        let rings = &found.room.holds;
        let range = |of: fn(&Move) -> f64| {
            let all = rings.iter().flatten().map(|corner| of(&corner.at));
            all.fold((0.0_f64, 0.0_f64), |(least, most), own| (least.min(own), most.max(own)))
        };
        let (shifts, turns) = (range(|at| at.shift_mm), range(|at| at.turn_deg));
        let step = Move::new(
            apart(APART_MM, shifts.0, shifts.1, MOST_EACH_WAY[0]),
            apart(APART_DEG, turns.0, turns.1, MOST_EACH_WAY[1]),
        );
        let nodes = |(least, most): (f64, f64), step: f64| (least / step).ceil() as i64..=(most / step).floor() as i64;
        let mut places = vec![Move::default()];
        for shift in nodes(shifts, step.shift_mm) {
            let at = |turn: i64| Move::new(shift as f64 * step.shift_mm, turn as f64 * step.turn_deg);
            let inside =
                nodes(turns, step.turn_deg).map(at).filter(|at| *at != Move::default() && contains(rings, *at));
            places.extend(inside);
        }
        places.extend(reaches.iter().map(|reach| reach.way.by(reach.far)));
        let mut own: Vec<Standing> = Vec::new();
        for standing in standings(case, steps(case)).into_iter().filter(Standing::begun) {
            let alike = |known: &Standing| {
                (&known.released, &known.placed, known.wire_in)
                    == (&standing.released, &standing.placed, standing.wire_in)
            };
            if !own.iter().any(alike) {
                own.push(standing);
            }
        }
        let none = OverRoom {
            of_others: !found.barred.is_empty(),
            apart: step,
            tried: places.len(),
            none_at: 0,
            orders: Vec::new(),
            helps: Vec::new(),
        };
        Some(Roaming { errors: found.errors, places, standings: own, looked: 0, at: 0, found: none })
    }

    /// One operation more; the result once every placement is tried.
    pub fn go_on(&mut self, staging: &mut Staging) -> Option<OverRoom> {
        let Some(at) = self.places.get(self.at).copied() else {
            let best = |own: &OverOrder| (usize::MAX - own.holds_at, usize::MAX - own.ends_at);
            self.found.orders.sort_by_key(best);
            return Some(self.found.clone());
        };
        // Chambers first, one by one: they are kept, and the orders are then tried in them.
        let mut ways = self.standings.iter().flat_map(|own| {
            possible(staging.plan(), own.wire_in).into_iter().map(move |possibility| (own, possibility))
        });
        if let Some((standing, possibility)) = ways.nth(self.looked) {
            // What is in the way is said by the orders.
            drop(staging.chamber(standing, Some(possibility), at));
            self.looked += 1;
            return None;
        }
        drop(ways);
        let there = orders::orders(staging, at);
        self.count(at, there);
        (self.at, self.looked) = (self.at + 1, 0);
        None
    }

    fn count(&mut self, at: Move, there: orders::Orders) {
        if !there.all.iter().any(Order::holds) {
            self.found.none_at += 1;
        }
        for (help, _) in there.helps {
            match self.found.helps.iter_mut().find(|(own, _)| *own == help) {
                Some((_, count)) => *count += 1,
                None => self.found.helps.push((help, 1)),
            }
        }
        let first = self.found.orders.is_empty();
        let errors = self.errors;
        let far = |at: Move| (at.shift_mm / errors.shift_mm).hypot(at.turn_deg / errors.turn_deg);
        for order in there.all {
            let known = self.found.orders.iter().position(|own| own.order.steps == order.steps);
            let place = match known {
                Some(place) => place,
                // The drawn placement comes first and names all.
                None if first => {
                    let order = order.clone();
                    self.found.orders.push(OverOrder { order, holds_at: 0, ends_at: 0, fails: None });
                    self.found.orders.len() - 1
                }
                None => continue,
            };
            let own = &mut self.found.orders[place];
            own.holds_at += usize::from(order.holds());
            own.ends_at += usize::from(order.ends_fed());
            if let Some((_, vessel, state)) = order.breaks.first()
                && own.fails.as_ref().is_none_or(|(known, ..)| far(at) < far(*known) - 1e-9)
            {
                own.fails = Some((at, vessel.clone(), *state));
            }
        }
    }
}

/// The orders of a plan over its room, without pause; `None` as for [`Roaming::of`].
pub fn over_room(plan: &Plan, found: &Forgiveness) -> Option<OverRoom> {
    let mut roaming = Roaming::of(plan, found)?;
    let mut staging = Staging::of(Arc::new(plan.clone()));
    loop {
        if let Some(found) = roaming.go_on(&mut staging) {
            return Some(found);
        }
    }
}
