//! The release of the plan: worked out in pieces, with what a turn does, and then tried over the room.

use super::Results;
use super::room::Looked;
use extrados::dissection::Extent;
use extrados::feed::orders::Order;
use extrados::feed::over_room::OverRoom;
use extrados::feed::release::Release;
use extrados::feed::surprise::{States, Surprise};
use extrados::feed::working::Releasing;
use extrados::task::{Progress, Task};
use std::sync::Arc;

/// The release: worked out, or being so.
#[derive(Debug)]
pub(super) struct Worked {
    /// None where the case has no steps.
    work: Option<Box<Releasing>>,
    /// Once all of it is done: what a turn does.
    turns: Option<Option<Surprise>>,
    /// The same for a chosen turn, whole degrees.
    lies: Option<Lying>,
    /// The orders over the room, once that is found; nothing where there is nothing to try.
    over_room: Option<Option<OverRoom>>,
    /// The stages with what each leaves, once the release is worked out.
    extent: Option<Extent>,
}

/// What a chosen turn leaves, and the order that then helps.
#[derive(Debug)]
pub struct Lying {
    /// The turn.
    pub deg: i16,
    /// Vessels with their state, everything released and nothing bridged.
    pub states: States,
    /// The best order then.
    pub order: Option<Order>,
}

impl Results {
    /// The release, once it is worked out for this plan.
    pub fn release(&self) -> Option<&Release> {
        self.release.as_ref()?.work.as_ref()?.release().map(|release| &**release)
    }

    /// What a turn does, once it is found for this plan.
    pub fn turns(&self) -> Option<&Surprise> {
        self.release.as_ref()?.turns.as_ref()?.as_ref()
    }

    /// The stages that the release belongs to, once it is worked out for this plan.
    pub fn extent(&self) -> Option<&Extent> {
        self.release.as_ref()?.extent.as_ref()
    }

    /// The orders over the room, once they are tried for this plan.
    pub fn over_room(&self) -> Option<Option<&OverRoom>> {
        self.release.as_ref()?.over_room.as_ref().map(Option::as_ref)
    }

    /// What a chosen turn does.
    pub fn lying(&self) -> Option<&Lying> {
        self.release.as_ref()?.lies.as_ref()
    }

    /// Works out the release as long as there is time, with a chosen turn at its end; says whether that is
    /// done.
    pub fn work_on_release_while(&mut self, deg: i16, mut time: impl FnMut() -> bool) -> bool {
        let plan = &self.plan;
        let new = || Worked {
            work: Releasing::of(Arc::new(plan.clone())).map(Box::new),
            turns: None,
            lies: None,
            over_room: None,
            extent: None,
        };
        let own = self.release.get_or_insert_with(new);
        let Some(work) = &mut own.work else { return true };
        while own.turns.is_none() {
            match work.advance(1) {
                Progress::Done((_, turns)) => {
                    own.turns = Some(turns);
                    own.extent = Extent::of(plan).ok();
                }
                Progress::Working { .. } if time() => {}
                Progress::Working { .. } => return false,
            }
        }
        if deg != 0 && own.lies.as_ref().is_none_or(|lies| lies.deg != deg) {
            let turned = work.turned(f64::from(deg));
            own.lies = turned.map(|(states, order)| Lying { deg, states, order });
        }
        while let (None, Some(Looked::Found(found, _))) = (&own.over_room, &self.room) {
            own.over_room = found.as_ref().as_ref().map_or(Some(None), |found| work.roam(found));
            if own.over_room.is_none() && !time() {
                return false;
            }
        }
        true
    }
}
