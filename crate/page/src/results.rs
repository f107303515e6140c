//! The results that belong to the state: the plan and what is drawn of it, kept in step.
//!
//! Results carry the revision they belong to and are shown for no other. The anatomy, and its part of
//! the drawing, are taken over while nothing of them changed, so a drag only computes what depends on
//! the placement. A changed anatomy is measured in pieces, between which the page stays alive; a newer
//! state drops what was begun.

use crate::state::State;
use extrados::assumption::{Tilting, Weight};
use extrados::casefile::Case;
use extrados::casefile::case::Graft;
use extrados::dissection::Extent;
use extrados::feed::orders::Order;
use extrados::feed::over_room::OverRoom;
use extrados::feed::release::Release;
use extrados::feed::surprise::{States, Surprise};
use extrados::feed::working::Releasing;
use extrados::graft::lie::Possibility;
use extrados::plan::{Plan, Planning};
use extrados::quantity::Unknown;
use extrados::ranking::{Ranking, Standing};
use extrados::room::chance::Chancing;
use extrados::room::{Forgiveness, Forgiving, PlanTrial};
use extrados::scene::map_input::MapInput;
use extrados::task::{Progress, Task};
use std::sync::Arc;

/// Operations between two looks at the clock: about a millisecond's worth.
const PIECE: u64 = 500;

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

/// The release: worked out, or being so.
#[derive(Debug)]
struct Worked {
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

/// How much hangs on the wire's direction: found, or looked for.
#[derive(Debug)]
enum Tilted {
    For(Box<Tilting>),
    Found(Result<Weight, Unknown>),
}

/// Grafts that are ranked, for which case and which of them.
#[derive(Debug)]
struct Ranked {
    case: Case,
    choice: Vec<(String, Arc<Graft>)>,
    looking: Option<Box<Ranking>>,
    done: Vec<Standing>,
}

/// The room of the placement: looked for, with a coarse border once there is one, or found.
#[derive(Debug)]
enum Looked {
    For(Box<Forgiving>, Option<Box<Result<Forgiveness, Unknown>>>),
    /// With the chance that is still drawn.
    Found(Box<Result<Forgiveness, Unknown>>, Option<Box<Chancing>>),
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

    /// What the placement forgives, once it is found for this plan: coarsely first.
    pub fn room(&self) -> Option<&Result<Forgiveness, Unknown>> {
        match &self.room {
            Some(Looked::Found(found, _)) => Some(found),
            Some(Looked::For(_, coarse)) => coarse.as_deref(),
            None => None,
        }
    }

    /// Looks for what the placement forgives as long as there is time, or until it is coarsely known where
    /// no more is wanted; says whether that is found.
    pub fn look_for_room_while(&mut self, coarsely: bool, mut time: impl FnMut() -> bool) -> bool {
        let tried = &mut self.tried;
        let looked = self.room.take().unwrap_or_else(|| match Forgiving::of(&self.plan, tried.take()) {
            Ok(looking) => Looked::For(Box::new(looking), None),
            Err(unknown) => Looked::Found(Box::new(Err(unknown)), None),
        });
        let (mut looking, mut coarse) = match looked {
            Looked::For(looking, coarse) => (looking, coarse),
            Looked::Found(mut found, mut chancing) => {
                while let Some(drawing) = chancing.as_mut().filter(|_| !coarsely && time()) {
                    if let Progress::Done(chance) = drawing.advance(1) {
                        chancing = None;
                        if let Ok(own) = found.as_mut() {
                            own.chance = Some(chance);
                        }
                    }
                }
                let over = coarsely || chancing.is_none();
                self.room = Some(Looked::Found(found, chancing));
                return over;
            }
        };
        let found = loop {
            match looking.advance(1) {
                Progress::Done(found) => {
                    let chancing = Chancing::of(&self.plan, &found, looking.trial()).map(Box::new);
                    let over = chancing.is_none();
                    self.room = Some(Looked::Found(Box::new(Ok(found)), chancing));
                    self.tried = Some(looking.into_trial());
                    return over;
                }
                Progress::Working { .. } => {
                    if coarse.is_none() && looking.has_border() {
                        coarse = looking.so_far().map(|found| Box::new(Ok(found)));
                    }
                    if coarsely && coarse.is_some() {
                        break true;
                    }
                    if !time() {
                        break false;
                    }
                }
            }
        };
        self.room = Some(Looked::For(looking, coarse));
        found
    }

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
