//! The release as resumable work: first what each step leaves fed and the orders, then what a turn does.
//!
//! One operation is one step in one possibility, the orders, or one turn.

use super::flow::Extra;
use super::orders::Order;
use super::over_room::{OverRoom, Roaming};
use super::release::{self, Release, StepResult};
use super::stage::{Staging, possible};
use super::standing::{Standing, standings, steps};
use super::surprise::{self, States, Surprise, Surprising};
use crate::plan::Plan;
use crate::room::Forgiveness;
use crate::room::plane::Move;
use crate::task::{Progress, Task};
use std::sync::Arc;

/// The work.
#[derive(Debug)]
pub struct Releasing {
    staging: Staging,
    standings: Vec<Standing>,
    results: Vec<StepResult>,
    /// How many possibilities of the step in work are done.
    looked: usize,
    release: Option<Arc<Release>>,
    turning: Option<Surprising>,
    roaming: Option<Roaming>,
    done: u64,
    finished: bool,
}

impl Releasing {
    /// Begins; `None` where a case has no steps.
    pub fn of(plan: Arc<Plan>) -> Option<Self> {
        let own = steps(&plan.case);
        let standings = standings(&plan.case, own);
        (!own.is_empty()).then(|| Releasing {
            standings,
            staging: Staging::of(plan),
            results: Vec::new(),
            looked: 0,
            release: None,
            turning: None,
            roaming: None,
            done: 0,
            finished: false,
        })
    }

    /// The release, once it is known; the turns may still be looked for.
    pub fn release(&self) -> Option<&Arc<Release>> {
        self.release.as_ref()
    }

    /// What a chosen turn leaves fed, and the order that then helps; once the release is known.
    pub fn turned(&mut self, deg: f64) -> Option<(States, Option<Order>)> {
        surprise::turned(&mut self.staging, deg)
    }

    /// The orders over the room, one operation more: `None` while there is more to do, nothing where there
    /// is nothing to try.
    pub fn roam(&mut self, found: &Forgiveness) -> Option<Option<OverRoom>> {
        if self.roaming.is_none() {
            self.roaming = Roaming::of(self.staging.plan(), found);
        }
        match &mut self.roaming {
            Some(roaming) => roaming.go_on(&mut self.staging).map(Some),
            None => Some(None),
        }
    }

    fn step(&mut self) -> Option<Option<Surprise>> {
        if let Some(turning) = &mut self.turning {
            return turning.go_on(&mut self.staging).map(Some);
        }
        let case = self.staging.plan().case.clone();
        let place = self.results.len();
        let Some(standing) = self.standings.get(place) else {
            let results = std::mem::take(&mut self.results);
            self.release = Some(Arc::new(release::whole(&mut self.staging, results)));
            self.turning = Surprising::of(&mut self.staging);
            self.standings = Vec::new();
            return self.turning.is_none().then_some(None);
        };
        // The chambers first, one by one: they are kept, and the step is then put together from them.
        let all = possible(self.staging.plan(), standing.wire_in);
        match all.get(self.looked) {
            Some(possibility) if standing.begun() => {
                self.staging.feeds(standing, Some(*possibility), Move::default(), &Extra::default());
                self.looked += 1;
            }
            _ => {
                self.results.push(release::result(&mut self.staging, &case, place, standing));
                self.looked = 0;
            }
        }
        None
    }
}

impl Task for Releasing {
    type Output = (Arc<Release>, Option<Surprise>);

    fn advance(&mut self, operations: u64) -> Progress<Self::Output> {
        let until = self.done.saturating_add(operations.max(1));
        while !self.finished && self.done < until {
            self.done += 1;
            if let Some(surprise) = self.step() {
                self.finished = true;
                if let Some(release) = &self.release {
                    return Progress::Done((release.clone(), surprise));
                }
            }
        }
        Progress::Working { done: self.done, of: if self.finished { self.done } else { self.done + 1 } }
    }
}
