//! What becomes of the plan if the graft comes to lie turned: which vessel is lost first to either side,
//! and the order of bridging that then helps.
//!
//! Looked at with everything released and nothing bridged yet, when the turn shows. Turns are tried a few
//! degrees apart, and where something changes halved down to a tenth of a degree. Resumable: one
//! operation is one turn.

use super::flow::{Extra, FeedState};
use super::orders::{self, Order};
use super::release;
use super::stage::Staging;
use super::standing::{Standing, standings, steps};
use crate::plan::Plan;
use crate::room::plane::Move;

/// How far apart turns are tried, degrees.
const STEP_DEG: f64 = 6.0;
/// How closely a turn is found, degrees.
const CLOSE_DEG: f64 = 0.05;

/// A vessel that is lost by turning.
#[derive(Clone, Debug, PartialEq)]
pub struct Shut {
    /// Its id.
    pub vessel: String,
    /// From which turn on it is not surely fed, degrees; `None`: never.
    pub doubtful_from_deg: Option<f64>,
    /// From which turn on it is shut.
    pub unfed_from_deg: Option<f64>,
}

impl Shut {
    fn first(&self) -> f64 {
        self.doubtful_from_deg.unwrap_or(f64::INFINITY).min(self.unfed_from_deg.unwrap_or(f64::INFINITY))
    }
}

/// One side.
#[derive(Clone, Debug, PartialEq)]
pub struct Side {
    /// 1: towards larger clock, the front-left; −1: the other way.
    pub towards: f64,
    /// What is lost, the first first.
    pub shuts: Vec<Shut>,
    /// The best order of bridging once the first is lost.
    pub fallback: Option<Order>,
}

/// Both sides.
#[derive(Clone, Debug, PartialEq)]
pub struct Surprise {
    /// Vessels that are fed as drawn, surely or perhaps: what there is to lose.
    pub fed: Vec<String>,
    /// Front, then back.
    pub sides: Vec<Side>,
}

/// States by vessel at a turn, in the worst possibility.
pub type States = Vec<(String, FeedState)>;

/// When the turn shows: the last step before anything is bridged with something released.
fn shows(plan: &Plan) -> Option<Standing> {
    let own = standings(&plan.case, steps(&plan.case));
    let open = own.iter().rfind(|standing| standing.begun() && standing.bridged.is_empty());
    open.or(own.iter().find(|standing| standing.begun())).cloned()
}

/// What feeds each vessel at a turn, in the worst possibility.
fn states(staging: &mut Staging, standing: &Standing, turn_deg: f64) -> States {
    let feeds = release::feeds(staging, standing, Move::new(0.0, turn_deg), &Extra::default());
    let Some((_, first)) = feeds.first() else { return Vec::new() };
    let worst = |id: &str| release::worst(&feeds, id).map_or(FeedState::Unknown, |feed| feed.state);
    first.iter().map(|feed| (feed.vessel.clone(), worst(&feed.vessel))).collect()
}

/// The search.
#[derive(Debug)]
pub struct Surprising {
    standing: Standing,
    drawn: States,
    sides: Vec<Side>,
    towards: f64,
    at_deg: f64,
    before: States,
    shuts: Vec<Shut>,
}

impl Surprising {
    /// Begins; `None` where nothing is released.
    pub fn of(staging: &mut Staging) -> Option<Self> {
        let standing = shows(staging.plan())?;
        let drawn = states(staging, &standing, 0.0);
        let shuts = Vec::new();
        Some(Surprising { standing, before: drawn.clone(), drawn, sides: Vec::new(), towards: 1.0, at_deg: 0.0, shuts })
    }

    /// One turn further; the result once both sides are done.
    pub fn go_on(&mut self, staging: &mut Staging) -> Option<Surprise> {
        let next = (self.at_deg + STEP_DEG).min(180.0);
        let there = states(staging, &self.standing, self.towards * next);
        for (index, (vessel, state)) in there.iter().enumerate() {
            let (was, drawn) = match (self.before.get(index), self.drawn.get(index)) {
                (Some((_, was)), Some((_, drawn))) => (*was, *drawn),
                _ => continue,
            };
            for lost in [FeedState::Doubtful, FeedState::Unfed] {
                // What is lost as drawn already is no surprise.
                let is_lost = |state: FeedState| state >= lost;
                let known = self.shuts.iter().find(|shut| shut.vessel == *vessel);
                let known = known.is_some_and(|shut| match lost {
                    FeedState::Unfed => shut.unfed_from_deg.is_some(),
                    _ => shut.doubtful_from_deg.is_some(),
                });
                if is_lost(drawn) || is_lost(was) || !is_lost(*state) || known {
                    continue;
                }
                let (mut low, mut high) = (self.at_deg, next);
                while high - low > CLOSE_DEG {
                    let middle = f64::midpoint(low, high);
                    let states = states(staging, &self.standing, self.towards * middle);
                    match states.get(index).is_some_and(|(_, state)| is_lost(*state)) {
                        true => high = middle,
                        false => low = middle,
                    }
                }
                let own = self.shuts.iter().position(|shut| shut.vessel == *vessel).unwrap_or_else(|| {
                    self.shuts.push(Shut { vessel: vessel.clone(), doubtful_from_deg: None, unfed_from_deg: None });
                    self.shuts.len() - 1
                });
                match lost {
                    FeedState::Unfed => self.shuts[own].unfed_from_deg = Some(high),
                    _ => self.shuts[own].doubtful_from_deg = Some(high),
                }
            }
        }
        (self.at_deg, self.before) = (next, there);
        if next < 180.0 {
            return None;
        }
        self.close(staging);
        let fed =
            self.drawn.iter().filter(|(_, state)| *state <= FeedState::Doubtful).map(|(vessel, _)| vessel.clone());
        (self.sides.len() == 2).then(|| Surprise { fed: fed.collect(), sides: std::mem::take(&mut self.sides) })
    }

    /// Ends one side and begins the other.
    fn close(&mut self, staging: &mut Staging) {
        let mut shuts = std::mem::take(&mut self.shuts);
        shuts.sort_by(|a, b| a.first().total_cmp(&b.first()));
        let lost = shuts.first().map(|shut| shut.unfed_from_deg.unwrap_or(shut.first()));
        let fallback = lost.and_then(|deg| {
            let turned = Move::new(0.0, self.towards * (deg + CLOSE_DEG).min(180.0));
            orders::orders(staging, turned).all.into_iter().next()
        });
        self.sides.push(Side { towards: self.towards, shuts, fallback });
        (self.towards, self.at_deg, self.before) = (-1.0, 0.0, self.drawn.clone());
    }
}

/// The whole search at once; `None` where nothing is released.
pub fn surprise(staging: &mut Staging) -> Option<Surprise> {
    let mut search = Surprising::of(staging)?;
    loop {
        if let Some(surprise) = search.go_on(staging) {
            return Some(surprise);
        }
    }
}

/// The release with the graft turned by a chosen angle, degrees: states by vessel once all is released, and the best
/// order of bridging then.
pub fn turned(staging: &mut Staging, turn_deg: f64) -> Option<(States, Option<Order>)> {
    let standing = shows(staging.plan())?;
    let states = states(staging, &standing, turn_deg);
    Some((states, orders::orders(staging, Move::new(0.0, turn_deg)).all.into_iter().next()))
}
