//! The grafts to choose from in the order of what they forgive: ranked in pieces, for the case without its graft.

use super::Results;
use crate::state::State;
use extrados::casefile::Case;
use extrados::casefile::case::Graft;
use extrados::ranking::{Ranking, Standing};
use extrados::task::{Progress, Task};
use std::sync::Arc;

/// Grafts that are ranked, for which case and which of them.
#[derive(Debug)]
pub(super) struct Ranked {
    case: Case,
    choice: Vec<(String, Arc<Graft>)>,
    looking: Option<Box<Ranking>>,
    done: Vec<Standing>,
}

impl Results {
    /// Grafts that are ranked as far as they are, and whether all are.
    pub fn ranking(&self) -> Option<(&[Standing], bool)> {
        self.ranking.as_ref().map(|own| match &own.looking {
            Some(looking) => (looking.so_far().0, false),
            None => (&own.done[..], true),
        })
    }

    /// Ranks the grafts that are chosen as long as there is time; says whether that is done. It holds for
    /// the case whatever graft it carries itself.
    pub fn rank_while(&mut self, state: &State, mut time: impl FnMut() -> bool) -> bool {
        let choice = &state.choice;
        if choice.is_empty() || self.plan.anatomy.is_err() {
            self.ranking = None;
            return true;
        }
        let case = without_graft(&self.plan.case);
        let still = |own: &Ranked| own.choice == *choice && own.case == case;
        let begun = self.ranking.take().filter(still);
        let mut own = begun.unwrap_or_else(|| Ranked {
            looking: Some(Box::new(Ranking::new(self.plan.clone(), choice.clone()))),
            case,
            choice: choice.clone(),
            done: Vec::new(),
        });
        while let Some(looking) = &mut own.looking {
            if let Progress::Done(standings) = looking.advance(1) {
                own.done = standings;
                own.looking = None;
            } else if !time() {
                break;
            }
        }
        self.ranking.insert(own).looking.is_none()
    }
}

/// A case without the graft that others take the place of.
fn without_graft(case: &Case) -> Case {
    let mut case = case.clone();
    let moved = extrados::room::trial::moved(&case).map(|own| own.id.clone());
    for component in case.components.iter_mut().filter(|own| Some(&own.id) == moved.as_ref()) {
        component.graft = None;
        component.placement = None;
    }
    case
}
