//! The results that belong to the state: the plan and what is drawn of it, kept in step.
//!
//! Results carry the revision they belong to. The anatomy, and its part of the drawing, are taken
//! over while nothing of them changed, so a drag only computes what depends on the placement.

use crate::state::State;
use extrados::graft::lie::Possibility;
use extrados::plan::Plan;
use extrados::scene::map_input::MapInput;
use std::sync::Arc;

/// A plan, the revision it belongs to, and the input of its map.
#[derive(Clone, Debug)]
pub struct Results {
    revision: u64,
    plan: Plan,
    drawn: Option<Possibility>,
    input: MapInput,
}

impl Results {
    /// Computes a state's results.
    pub fn new(state: &State) -> Self {
        let plan = Plan::new(state.now.case.clone());
        let drawn = drawn(&plan, state);
        let input = MapInput::from_plan(&plan, drawn);
        Results { revision: state.revision, plan, drawn, input }
    }

    /// Revision of the case they belong to.
    pub fn revision(&self) -> u64 {
        self.revision
    }

    /// All that follows from the case.
    pub fn plan(&self) -> &Plan {
        &self.plan
    }

    /// The possibility that is drawn.
    pub fn drawn(&self) -> Option<Possibility> {
        self.drawn
    }

    /// What the map is drawn from.
    pub fn input(&self) -> &MapInput {
        &self.input
    }

    /// Brings them in step with the state.
    pub fn follow(&mut self, state: &State) {
        let changed = self.revision != state.revision;
        let before = changed.then(|| {
            let plan = self.plan.follow(Arc::clone(&state.now.case));
            std::mem::replace(&mut self.plan, plan)
        });
        self.revision = state.revision;
        let drawn = drawn(&self.plan, state);
        if changed || drawn != self.drawn {
            self.drawn = drawn;
            self.input = self.input.follow(before.as_ref().unwrap_or(&self.plan), &self.plan, drawn);
        }
    }
}

/// The possibility that is drawn: the chosen one, else the first.
fn drawn(plan: &Plan, state: &State) -> Option<Possibility> {
    let all = plan.possibilities();
    all.get(state.view.possibility).or_else(|| all.first()).copied()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::state::{Action, Source, Store};
    use crate::view::Show;
    use extrados::casefile::Document;
    use extrados::casefile::case::Placement;

    fn store() -> Store {
        let text = include_str!("../../../demo-data/plain-arch.json");
        let document = Document::read(text.as_bytes()).expect("the demo case reads");
        Store::new(document.case, Source { name: "plain-arch.json".into(), demo: true })
    }

    #[test]
    fn a_drag_takes_over_the_anatomy_and_changes_the_tunnels() {
        let mut store = store();
        let mut results = Results::new(store.state());
        let anatomy = results.plan().anatomy.clone().expect("the demo case has an anatomy");
        let before: Vec<_> = results.plan().tunnels.iter().map(|tunnel| tunnel.edge_clearance_mm.clone()).collect();
        let (component, _, placement) = store.state().moved().expect("the demo case has a graft");
        let moved = Placement { station_mm: placement.station_mm - 5.0, ..placement };
        store.dispatch(Action::Place { component, placement: moved });
        results.follow(store.state());
        assert_eq!(results.revision(), store.state().revision);
        assert!(Arc::ptr_eq(&anatomy, results.plan().anatomy.as_ref().expect("still there")));
        let after: Vec<_> = results.plan().tunnels.iter().map(|tunnel| tunnel.edge_clearance_mm.clone()).collect();
        assert_ne!(before, after);
        // Followed step by step or computed from the start: the same numbers.
        let fresh = Results::new(store.state());
        assert_eq!(fresh.plan().verdicts, results.plan().verdicts);
        assert_eq!(fresh.input(), results.input());
    }

    #[test]
    fn another_possibility_draws_another_map_of_the_same_plan() {
        let mut store = store();
        let mut results = Results::new(store.state());
        let all = results.plan().possibilities();
        for (index, possibility) in all.iter().enumerate() {
            store.dispatch(Action::Show(Show::Possibility(index)));
            results.follow(store.state());
            assert_eq!(results.drawn(), Some(*possibility));
        }
        store.dispatch(Action::Show(Show::Possibility(99)));
        results.follow(store.state());
        assert_eq!(results.drawn(), all.first().copied());
    }
}
