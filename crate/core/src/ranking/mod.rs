//! Which of several grafts forgives most: each at its own best placement, by the room it has there.
//!
//! [`search`] finds where a graft holds at all, [`fitting`] its best placement and what costs it room;
//! here they are put in order. Grafts are taken one after another in the place of the case's own; other
//! components stay. Then each that has openings is looked at with each plain tube beside it ([`together`]).
//! [`design`] makes a graft's tunnels for an arch, their places taken together by [`choosing`].

mod choosing;
pub mod design;
pub mod fitting;
pub mod search;
pub mod together;

use crate::casefile::case::{Case, Graft, Placement};
use crate::plan::Plan;
use crate::room::Forgiveness;
use crate::rules::verdict::{Verdict, Word};
use crate::task::{Progress, Task};
use fitting::Fitting;
use std::sync::Arc;
use together::{End, Joined};

/// Most grafts ranked at once, and most of them with a tube beside them.
pub const MOST_GRAFTS: usize = 50;

/// How a graft stands at its best.
#[derive(Clone, Debug)]
pub struct Standing {
    /// Its file or label.
    pub name: String,
    /// Id of the component it would be.
    pub component: String,
    /// The graft.
    pub graft: Arc<Graft>,
    /// The tube beside it.
    pub joined: Option<Joined>,
    /// The case with it at its best.
    pub case: Arc<Case>,
    /// Its best placement; where none holds, the one at which the fewest rules fail.
    pub placement: Option<Placement>,
    /// Size of its room: the largest ellipse reaches this many errors of the landing; 0 where none holds.
    pub size: f64,
    /// What it forgives at its best; `None` where none holds.
    pub found: Option<Forgiveness>,
    /// What costs room, most first: of what, and the size the room would have without its rules. Two
    /// together where leaving out one gives no room.
    pub costs: Vec<(Vec<String>, f64)>,
    /// Required rules that are not met at its best, or unknown.
    pub given_up: Vec<Verdict>,
    /// Vessels of the arch for which it has neither tunnel nor opening, with whether a bypass or a
    /// transposition to it is planned.
    pub unserved: Vec<(String, bool)>,
    /// Why nothing can be said of it.
    pub why: Option<String>,
}

impl Standing {
    fn new(name: String, component: String, graft: Arc<Graft>, case: Arc<Case>) -> Self {
        let tunnels = graft.tunnels.iter().map(|own| &own.serves);
        let openings = graft.fenestrations.iter().map(|own| &own.serves);
        let served: Vec<&String> =
            tunnels.chain(openings).chain(graft.scallops.iter().map(|own| &own.serves)).collect();
        let bypassed = |id: &str| case.anatomy.bypasses.iter().any(|bypass| bypass.to == id);
        let vessels = case.anatomy.vessels.iter().filter(|vessel| !served.contains(&&vessel.id));
        let unserved = vessels.map(|vessel| (vessel.id.clone(), bypassed(&vessel.id))).collect();
        Standing {
            name,
            component,
            graft,
            joined: None,
            case,
            placement: None,
            size: 0.0,
            found: None,
            costs: Vec::new(),
            given_up: Vec::new(),
            unserved,
            why: None,
        }
    }

    /// Whether every required rule holds at its best, none being unknown.
    pub fn holds(&self) -> bool {
        self.found.as_ref().is_some_and(Forgiveness::holds)
    }

    /// What comes first in the order: what holds wholly, then what is unknown somewhere, then what fails
    /// wherever it lies; of these the larger room, then fewer rules given up.
    fn rank(&self) -> (u8, f64, usize) {
        let barred = |word: Word| self.found.as_ref().is_none_or(|own| own.barred.iter().any(|(_, own)| *own == word));
        let order = if barred(Word::Unmet) { 2 } else { u8::from(barred(Word::Unknown)) };
        (order, self.size, self.given_up.len())
    }
}

/// Ranking, in pieces.
#[derive(Debug)]
pub struct Ranking {
    base: Arc<Plan>,
    left: Vec<Candidate>,
    now: Option<(Fitting, Option<Joined>)>,
    done: Vec<Standing>,
}

/// What is to be looked at.
#[derive(Debug)]
enum Candidate {
    /// A graft by itself.
    Alone(String, Arc<Graft>),
    /// One of those that are done, with a tube beside it.
    With(usize, Joined),
}

impl Ranking {
    /// Begins with a plan and grafts by name.
    pub fn new(base: Plan, mut grafts: Vec<(String, Arc<Graft>)>) -> Self {
        grafts.truncate(MOST_GRAFTS);
        let (mut tubes, mut open) = (Vec::new(), Vec::new());
        for (place, (name, graft)) in grafts.iter().enumerate() {
            match together::is_tube(graft) {
                true => tubes.push((name.clone(), graft.clone())),
                false => open.push(place),
            }
        }
        let joined =
            |(name, graft): &(String, Arc<Graft>), end| Joined { name: name.clone(), graft: graft.clone(), end };
        let beside = |tube| End::ALL.into_iter().map(move |end| joined(tube, end));
        let pairs =
            open.iter().flat_map(|place| tubes.iter().flat_map(beside).map(|joined| Candidate::With(*place, joined)));
        let pairs: Vec<Candidate> = pairs.take(MOST_GRAFTS).collect();
        let mut left: Vec<Candidate> =
            grafts.into_iter().map(|(name, graft)| Candidate::Alone(name, graft)).chain(pairs).collect();
        left.reverse();
        Ranking { base: Arc::new(base), left, now: None, done: Vec::new() }
    }

    /// Grafts that are done, in the order given, and how many there are in all.
    pub fn so_far(&self) -> (&[Standing], usize) {
        (&self.done, self.done.len() + self.left.len() + usize::from(self.now.is_some()))
    }
}

impl Ranking {
    /// Begins with a graft that was looked at alone and a tube beside it; nothing where they do not go together.
    fn with_tube(&self, alone: usize, joined: Joined) -> Option<(Fitting, Option<Joined>)> {
        let alone = self.done.get(alone)?;
        let there = self.base.follow(alone.case.clone());
        let placed = there.grafts.iter().find(|own| own.component == alone.component)?;
        let case = together::with_tube(alone, placed, &joined)?;
        let base = Arc::new(self.base.follow(Arc::new(case)));
        let name = format!("{} + {}", alone.name, joined.name);
        Some((Fitting::new(base, name, alone.graft.clone()), Some(joined)))
    }
}

impl Task for Ranking {
    type Output = Vec<Standing>;

    fn advance(&mut self, operations: u64) -> Progress<Vec<Standing>> {
        if self.now.is_none() {
            match self.left.pop() {
                Some(Candidate::Alone(name, graft)) => {
                    self.now = Some((Fitting::new(self.base.clone(), name, graft), None));
                }
                Some(Candidate::With(alone, joined)) => self.now = self.with_tube(alone, joined),
                None => {
                    let mut all = std::mem::take(&mut self.done);
                    // Alike within 1e-9 they stay as they were given.
                    all.sort_by(|a, b| {
                        let (a, b) = (a.rank(), b.rank());
                        let larger =
                            if (a.1 - b.1).abs() <= 1e-9 { std::cmp::Ordering::Equal } else { b.1.total_cmp(&a.1) };
                        a.0.cmp(&b.0).then(larger).then(a.2.cmp(&b.2))
                    });
                    return Progress::Done(all);
                }
            }
        }
        if let Some((fitting, joined)) = &mut self.now
            && let Progress::Done(standing) = fitting.advance(operations)
        {
            self.done.push(Standing { joined: joined.take(), ..standing });
            self.now = None;
        }
        let done = self.done.len() as u64;
        Progress::Working { done, of: done + self.left.len() as u64 + 1 }
    }
}
