//! The results that belong to the state: the plan and what is drawn of it, kept in step.
//!
//! Results carry the revision they belong to and are shown for no other. The anatomy, and its part of
//! the drawing, are taken over while nothing of them changed, so a drag only computes what depends on
//! the placement. A changed anatomy is measured in pieces, between which the page stays alive; a newer
//! state drops what was begun. What takes longer still goes on in pieces too: [`room`], [`release`], [`ranking`].

mod ranking;
mod release;
mod room;

pub use release::Lying;

use crate::state::State;
use extrados::assumption::{Tilting, Weight};
use extrados::graft::lie::Possibility;
use extrados::plan::{Plan, Planning};
use extrados::quantity::Unknown;
use extrados::room::PlanTrial;
use extrados::scene::map_input::MapInput;
use extrados::task::{Progress, Task};
use ranking::Ranked;
use release::Worked;
use room::Looked;
use std::sync::Arc;

/// Operations between two looks at the clock: about a millisecond's worth.
pub(crate) const PIECE: u64 = 500;

/// A plan, the revision it belongs to, and the input of its map.
#[derive(Debug)]
pub struct Results {
    revision: u64,
    plan: Plan,
    drawn: Option<Possibility>,
    input: MapInput,
    ahead: Option<(u64, Planning)>,
    room: Option<Looked>,
    release: Option<Worked>,
    tilt: Option<Tilted>,
    /// What was tried for the placement before: a drag goes on with it.
    tried: Option<PlanTrial>,
    ranking: Option<Ranked>,
}

/// How much hangs on the wire's direction: found, or looked for.
#[derive(Debug)]
enum Tilted {
    For(Box<Tilting>),
    Found(Result<Weight, Unknown>),
}

impl Results {
    /// Computes a state's results, without pause.
    pub fn new(state: &State) -> Self {
        let plan = Plan::new(state.now.case.clone());
        let drawn = drawn(&plan, state);
        let input = MapInput::from_plan(&plan, drawn);
        Results {
            revision: state.revision,
            plan,
            drawn,
            input,
            ahead: None,
            room: None,
            tried: None,
            ranking: None,
            release: None,
            tilt: None,
        }
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

    /// How much hangs on the wire's direction, once it is found for this plan.
    pub fn tilt(&self) -> Option<&Result<Weight, Unknown>> {
        match &self.tilt {
            Some(Tilted::Found(found)) => Some(found),
            Some(Tilted::For(_)) | None => None,
        }
    }

    /// Tries one more direction of the wire; says whether all are tried.
    pub fn tilt_the_wire(&mut self) -> bool {
        let tilted = self.tilt.take().unwrap_or_else(|| match Tilting::of(&self.plan) {
            Ok(tilting) => Tilted::For(Box::new(tilting)),
            Err(unknown) => Tilted::Found(Err(unknown)),
        });
        let tilted = match tilted {
            Tilted::For(mut tilting) => match tilting.advance(1) {
                Progress::Done(weight) => Tilted::Found(Ok(weight)),
                Progress::Working { .. } => Tilted::For(tilting),
            },
            found @ Tilted::Found(_) => found,
        };
        let done = matches!(tilted, Tilted::Found(_));
        self.tilt = Some(tilted);
        done
    }

    /// What the map is drawn from.
    pub fn input(&self) -> &MapInput {
        &self.input
    }

    /// Brings them in step with the state, without pause.
    pub fn follow(&mut self, state: &State) {
        self.follow_while(state, || true);
    }

    /// Brings them in step with the state as long as there is time; says whether they are.
    pub fn follow_while(&mut self, state: &State, mut time: impl FnMut() -> bool) -> bool {
        let case = &state.now.case;
        if self.revision != state.revision {
            let plan = if self.plan.keeps_anatomy(case) {
                self.plan.follow(Arc::clone(case))
            } else {
                match self.planned(state, &mut time) {
                    Some(plan) => plan,
                    None => return false,
                }
            };
            let before = std::mem::replace(&mut self.plan, plan);
            self.revision = state.revision;
            self.ahead = None;
            self.release = None;
            self.tilt = None;
            if let Some(Looked::For(looking, _)) = self.room.take() {
                self.tried = Some(looking.into_trial());
            }
            self.drawn = drawn(&self.plan, state);
            self.input = self.input.follow(&before, &self.plan, self.drawn);
        } else if drawn(&self.plan, state) != self.drawn {
            self.drawn = drawn(&self.plan, state);
            self.input = self.input.follow(&self.plan, &self.plan, self.drawn);
        }
        true
    }

    /// Goes on measuring a state's anatomy while there is time; its plan when that is done.
    fn planned(&mut self, state: &State, time: &mut impl FnMut() -> bool) -> Option<Plan> {
        let begun = self.ahead.take().filter(|(revision, _)| *revision == state.revision);
        let (_, mut planning) = begun.unwrap_or_else(|| (state.revision, Planning::of(Arc::clone(&state.now.case))));
        loop {
            match planning.advance(PIECE) {
                Progress::Done(plan) => return Some(plan),
                Progress::Working { .. } if time() => {}
                Progress::Working { .. } => {
                    self.ahead = Some((state.revision, planning));
                    return None;
                }
            }
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
    use crate::action::Action;
    use crate::snapshot::Source;
    use crate::store::Store;
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
    fn the_room_is_looked_for_in_pieces_and_forgotten_with_the_placement() {
        let mut store = store();
        let mut results = Results::new(store.state());
        assert!(results.room().is_none());
        let mut pieces = 1;
        while !results.look_for_room_while(false, || false) {
            pieces += 1;
            assert!(pieces < 100_000, "it comes to an end");
        }
        assert!(pieces > 100 && results.look_for_room_while(false, || true));
        let found = results.room().expect("found").as_ref().expect("known");
        assert!(found.holds() && found.room.best.is_some(), "{found:?}");
        let (component, _, placement) = store.state().moved().expect("the demo case has a graft");
        let moved = Placement { station_mm: placement.station_mm - 1.0, ..placement };
        store.dispatch(Action::Place { component, placement: moved });
        results.follow(store.state());
        assert!(results.room().is_none(), "no room of another placement stays in sight");
    }

    #[test]
    fn a_changed_anatomy_is_measured_in_pieces_and_a_newer_state_drops_what_was_begun() {
        let mut store = store();
        let mut results = Results::new(store.state());
        let smooth = |store: &mut Store, mm: f64| {
            let pointer = "/anatomy/centreline/smoothing_length_mm".to_owned();
            store.dispatch(Action::Fill { pointer, value: mm.into(), typed: String::new() });
        };
        smooth(&mut store, 9.0);
        let old = results.revision();
        assert!(!results.follow_while(store.state(), || false), "one piece is not the whole");
        assert_eq!(results.revision(), old, "nothing is passed off as the new state's");
        smooth(&mut store, 11.0);
        let mut pieces = 1;
        while !results.follow_while(store.state(), || false) {
            pieces += 1;
            assert!(pieces < 10_000, "it comes to an end");
        }
        assert!(pieces > 2);
        assert_eq!(results.revision(), store.state().revision);
        assert_eq!(results.plan().verdicts, Results::new(store.state()).plan().verdicts);
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
