//! The results that belong to the state: the plan, kept in step with the case.
//!
//! Results carry the revision they belong to. The anatomy is taken over while nothing of it changed,
//! so a drag only computes what depends on the placement.

use crate::state::State;
use extrados::plan::Plan;
use std::sync::Arc;

/// A plan and the revision it belongs to.
#[derive(Clone, Debug)]
pub struct Results {
    /// Revision of the case.
    pub revision: u64,
    /// All that follows from it.
    pub plan: Plan,
}

impl Results {
    /// Computes a state's results.
    pub fn new(state: &State) -> Self {
        Results { revision: state.revision, plan: Plan::new(state.now.case.clone()) }
    }

    /// Whether they belong to the state as it is now.
    pub fn current(&self, state: &State) -> bool {
        self.revision == state.revision
    }

    /// Brings them in step with the state.
    pub fn follow(&mut self, state: &State) {
        if !self.current(state) {
            self.plan = self.plan.follow(Arc::clone(&state.now.case));
            self.revision = state.revision;
        }
    }
}
