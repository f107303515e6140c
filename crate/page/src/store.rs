//! What changes the state, and how: [`Store::dispatch`] is the only place where it changes and the only place
//! that decides what an action means: clamping, merging, undo. A case that does not read never gets here, so
//! a bad file cannot replace what is open. Knows no browser and computes no measure.

use crate::action::{Action, Changed};
use crate::cells::{At, Desk};
use crate::history::History;
use crate::importing::Importing;
use crate::snapshot::{Snapshot, Source};
use crate::state::{Notice, Refused, State};
use crate::view::View;
use extrados::casefile::case::{CArm, Placement, RuleSet};
use extrados::casefile::fields::MOST_ALTERNATIVES;
use extrados::casefile::{Case, edit, taking};
use extrados::fault::{Fault, Faults};
use extrados::rules::defaults;
use serde_json::Value;
use std::sync::Arc;

/// What is said where a graft does not fit what the case says elsewhere.
const GRAFT_NOT_TAKEN: &str = "The graft was not taken: it does not fit beside what is there.";

/// The state with its steps of undo.
#[derive(Clone, Debug)]
pub struct Store {
    state: State,
    history: History<Snapshot>,
    landed: Option<usize>,
}

impl Store {
    /// Starts with a case.
    pub fn new(case: Arc<Case>, source: Source) -> Self {
        Store {
            state: State {
                now: Snapshot::opened(case.clone(), source),
                revision: 0,
                saved: case,
                handed: false,
                tie: None,
                view: View::default(),
                notice: None,
                refused: Vec::new(),
                choice: Vec::new(),
                importing: None,
            },
            history: History::default(),
            landed: None,
        }
    }

    /// Where the row of the cell that was written last stands now.
    pub fn landed(&self) -> Option<usize> {
        self.landed
    }

    /// Bytes that the steps of undo take.
    pub fn undo_bytes(&self) -> usize {
        self.history.bytes()
    }

    /// The state.
    pub fn state(&self) -> &State {
        &self.state
    }

    /// What undo would take back, in words.
    pub fn undoes(&self) -> Option<&'static str> {
        self.history.undoes()
    }

    /// What redo would do again, in words.
    pub fn redoes(&self) -> Option<&'static str> {
        self.history.redoes()
    }

    /// Whether a drag is going on.
    pub fn in_gesture(&self) -> bool {
        self.history.in_gesture()
    }

    /// Does one thing; says what changed.
    pub fn dispatch(&mut self, action: Action) -> Changed {
        match action {
            Action::Open { case, source, notice } => {
                self.state.saved = case.clone();
                self.state.handed = false;
                self.open(case, source, notice)
            }
            Action::Saved => {
                self.state.saved = self.state.now.base.clone();
                self.state.handed = true;
                Changed::SHOWN
            }
            Action::Fill { pointer, value, typed } => self.fill(pointer, value, typed),
            Action::Refuse(refused) => {
                self.forget(&refused.pointer.clone());
                self.state.refused.push(refused);
                Changed::SHOWN
            }
            Action::Forget(pointer) => Changed::shown_if(self.forget(&pointer)),
            Action::Cell(at, letters) => {
                let mut desk = self.desk();
                self.landed = Some(desk.write(at, &letters));
                self.clear("typing", desk)
            }
            Action::Paste(at, text) => self.paste(at, &text),
            Action::RemoveRow(at) => {
                let mut desk = self.desk();
                match desk.remove(at) {
                    Ok(()) => self.clear("removing a row", desk),
                    Err(why) => self.tell(Notice::refused("The row stays.", Fault::new("needed", "", why, "").into())),
                }
            }
            Action::Change(what, case) => self.change(what, case),
            Action::ShowAlternative(alternative) => {
                let now = &self.state.now;
                let shown = now.with_base(now.base.clone(), alternative);
                self.step("showing another alternative", shown)
            }
            Action::AddAlternative => self.add_alternative(),
            Action::NameAlternative(name) => self.with_alternatives("naming an alternative", |case, index| {
                if let Some(alternative) = case.alternatives.get_mut(index) {
                    alternative.name = name.trim().chars().take(200).collect();
                }
                Some(index)
            }),
            Action::RemoveAlternative => self.with_alternatives("removing an alternative", |case, index| {
                if index < case.alternatives.len() {
                    case.alternatives.remove(index);
                }
                None
            }),
            Action::Place { component, placement } => match placed(&self.state.now.case, component, placement) {
                Some(case) => self.change("moving the graft", Arc::new(case)),
                None => Changed::NOTHING,
            },
            Action::TakeGraft { component, graft } => {
                let case = taking::with_graft(&self.state.now.case, component, graft);
                self.take("taking a graft", GRAFT_NOT_TAKEN, case)
            }
            Action::TakeRanked(case) => {
                let case = taking::without_the_gone(&case, &self.state.now.case);
                self.take("taking a graft at its best", GRAFT_NOT_TAKEN, case)
            }
            Action::Choice(grafts) => {
                self.state.choice = grafts;
                Changed::SHOWN
            }
            Action::TakeErrors(case, notice) => {
                self.tell(notice);
                self.change("taking errors from records", case)
            }
            Action::TakeSet(set) => self.take_set(set),
            Action::DropSet(index) => {
                let mut case = (*self.state.now.case).clone();
                if index < case.rule_sets.len() {
                    case.rule_sets.remove(index);
                }
                self.change("leaving out a rule set", Arc::new(case))
            }
            Action::AnswerHand(hand) => {
                // The hand is the sheet's, so it is that of every alternative too.
                let now = &self.state.now;
                let answered = now.with_base(Arc::new(now.base.with_hand(hand)), now.alternative);
                self.settled("the side of 3:00", answered)
            }
            Action::BeginGesture => {
                self.history.begin();
                Changed::NOTHING
            }
            Action::EndGesture => {
                self.history.end(&self.state.now);
                Changed::SHOWN
            }
            Action::GiveUpGesture => match self.history.give_up() {
                Some(snapshot) => self.back_at(snapshot),
                None => Changed::SHOWN,
            },
            Action::Undo => match self.history.undo(&self.state.now) {
                Some(snapshot) => self.back_at(snapshot),
                None => Changed::SHOWN,
            },
            Action::Redo => match self.history.redo(&self.state.now) {
                Some(snapshot) => self.back_at(snapshot),
                None => Changed::SHOWN,
            },
            Action::Tie(tie) => {
                let changed = Changed::shown_if(self.state.tie != tie);
                self.state.tie = tie;
                changed
            }
            Action::Show(show) => Changed::shown_if(self.state.view.apply(show)),
            Action::BeginImport(files) => {
                self.state.notice = None;
                self.state.importing = Some(Importing::of(files));
                Changed::SHOWN
            }
            Action::AnswerImport(answer) => {
                if let Some(importing) = &mut self.state.importing {
                    importing.answer(answer);
                }
                Changed::SHOWN
            }
            Action::Import => self.import(),
            Action::CancelImport => Changed::shown_if(self.state.importing.take().is_some()),
            Action::Tell(notice) => self.tell(notice),
            Action::Dismiss => Changed::shown_if(self.state.notice.take().is_some()),
        }
    }

    fn open(&mut self, case: Arc<Case>, source: Source, notice: Option<Notice>) -> Changed {
        self.state.notice = notice;
        self.state.importing = None;
        self.state.tie = None;
        self.state.refused.clear();
        self.state.view.forget_case();
        self.step("opening", Snapshot::opened(case, source))
    }

    fn tell(&mut self, notice: Notice) -> Changed {
        self.state.notice = Some(notice);
        Changed::SHOWN
    }

    fn forget(&mut self, pointer: &str) -> bool {
        let before = self.state.refused.len();
        self.state.refused.retain(|refused| refused.pointer != pointer);
        self.state.refused.len() != before
    }

    /// Makes a case of the files that wait. It is in no file yet, so it is not saved.
    fn import(&mut self) -> Changed {
        let Some(importing) = &mut self.state.importing else { return Changed::NOTHING };
        match importing.run() {
            Ok(imported) => {
                let name = importing.name().to_owned();
                let notice = Notice {
                    text: format!("{name} was imported. What it did not say was assumed:"),
                    faults: Faults::none(),
                    assumed: imported.assumed,
                };
                self.open(Arc::new(imported.case), Source { name, demo: false }, Some(notice))
            }
            Err(faults) => {
                importing.faults = faults;
                Changed::SHOWN
            }
        }
    }

    /// Fills in a field. A rule's limit turns the default rules into the case's own, a limit of the C-arm
    /// the default reach.
    fn fill(&mut self, pointer: String, value: Value, typed: String) -> Changed {
        let case = &self.state.now.case;
        let filled = if pointer.starts_with("/rules/") && case.rules.is_empty() {
            edit::set(&Case { rules: defaults::rules(), ..(**case).clone() }, &pointer, value)
        } else if pointer.starts_with("/carm/") && case.carm.is_none() {
            edit::set(&Case { carm: Some(CArm::default()), ..(**case).clone() }, &pointer, value)
        } else {
            edit::set(case, &pointer, value)
        };
        match filled {
            Ok(mut case) => {
                self.forget(&pointer);
                // A typed error makes them the user's own.
                if pointer.starts_with("/errors/") && !case.errors.entered_by_user {
                    (case.errors.entered_by_user, case.errors.source) = (true, "entered by the user".into());
                }
                self.change("filling in", Arc::new(case))
            }
            Err(faults) => {
                let fault = faults.faults.into_iter().next();
                let fault = fault.map(|fault| format!("{} {}", fault.text, fault.mend)).unwrap_or_default();
                self.forget(&pointer);
                self.state.refused.push(Refused { pointer, typed, fault });
                Changed::SHOWN
            }
        }
    }

    /// The case with all that is typed around it.
    fn desk(&self) -> Desk {
        let now = &self.state.now;
        Desk { case: now.case.clone(), drafts: now.drafts.clone(), refused: self.state.refused.clone() }
    }

    /// Takes over what was done on the desk.
    fn clear(&mut self, what: &'static str, desk: Desk) -> Changed {
        self.state.refused = desk.refused;
        let next = self.state.now.with_case(desk.case);
        self.step(what, Snapshot { drafts: desk.drafts, ..next })
    }

    fn paste(&mut self, at: At, text: &str) -> Changed {
        let mut desk = self.desk();
        match desk.paste(at, text) {
            Ok(pasted) => {
                self.landed = None;
                let said = match pasted.faulty {
                    0 => format!("{} rows were pasted.", pasted.lines),
                    faulty => format!("{} rows were pasted; {faulty} need a look.", pasted.lines),
                };
                self.state.notice = Some(Notice::news(said));
                self.clear("pasting", desk)
            }
            Err(why) => self.tell(Notice::refused("Nothing was pasted.", Fault::new("paste", "", why, "").into())),
        }
    }

    /// A copy of what is shown, as another alternative.
    fn add_alternative(&mut self) -> Changed {
        let now = &self.state.now;
        let count = now.base.alternatives.len();
        // The file holds no more.
        if count >= MOST_ALTERNATIVES {
            return Changed::SHOWN;
        }
        let base = now.base.with_new_alternative(&format!("alternative {}", count + 1));
        let base = Arc::new(base.keeping_alternative(count, &now.case));
        self.step("adding an alternative", now.with_base(base, Some(count)))
    }

    /// Changes the alternative that is shown, as such; gives which is shown then.
    fn with_alternatives(
        &mut self,
        what: &'static str,
        change: impl FnOnce(&mut Case, usize) -> Option<usize>,
    ) -> Changed {
        let now = &self.state.now;
        let Some(index) = now.alternative else { return Changed::SHOWN };
        let mut base = (*now.base).clone();
        let shown = change(&mut base, index);
        self.step(what, now.with_base(Arc::new(base), shown))
    }

    /// Takes a rule set; what it does not fit is told, and the case stays as it was.
    fn take_set(&mut self, set: RuleSet) -> Changed {
        let mut case = (*self.state.now.case).clone();
        match case.rule_sets.iter_mut().find(|own| !set.id.is_empty() && own.id == set.id) {
            Some(own) => *own = set,
            None => case.rule_sets.push(set),
        }
        self.take("taking a rule set", "The rule set was not taken: it does not fit beside what is there.", case)
    }

    /// Takes over a case with a part of another file in it, if its own file would read with that.
    fn take(&mut self, what: &'static str, refusal: &str, case: Case) -> Changed {
        match edit::checked(&case) {
            Ok(()) => self.change(what, Arc::new(case)),
            Err(faults) => self.tell(Notice::refused(refusal, faults)),
        }
    }

    /// Another case in the same file.
    fn change(&mut self, what: &'static str, case: Arc<Case>) -> Changed {
        let next = self.state.now.with_case(case);
        self.settled(what, next)
    }

    /// One step, with the begun rows that it made whole. Not while the hand is on something.
    fn settled(&mut self, what: &'static str, next: Snapshot) -> Changed {
        if next.drafts.is_empty() || self.history.in_gesture() {
            return self.step(what, next);
        }
        let mut desk =
            Desk { case: next.case.clone(), drafts: next.drafts.clone(), refused: self.state.refused.clone() };
        desk.settle();
        self.state.refused = desk.refused;
        self.step(what, Snapshot { drafts: desk.drafts, ..next.with_case(desk.case) })
    }

    /// One step, unless nothing differs.
    fn step(&mut self, what: &'static str, next: Snapshot) -> Changed {
        if next == self.state.now {
            return Changed::SHOWN;
        }
        self.history.record(&self.state.now, what);
        self.stand_at(next)
    }

    /// Back, or forward again, at a state that was there.
    fn back_at(&mut self, snapshot: Snapshot) -> Changed {
        self.state.refused.clear();
        self.stand_at(snapshot)
    }

    fn stand_at(&mut self, snapshot: Snapshot) -> Changed {
        self.state.now = snapshot;
        self.state.revision += 1;
        Changed::CASE
    }
}

/// The case with a component's graft elsewhere; `None` where there is no such graft.
fn placed(case: &Case, component: usize, placement: Placement) -> Option<Case> {
    case.components.get(component)?.placement?;
    if !(placement.station_mm.is_finite() && placement.clock_deg.is_finite() && placement.held_u_mm.is_finite()) {
        return None;
    }
    let mut case = case.clone();
    case.components.get_mut(component)?.placement = Some(placement);
    Some(case)
}

#[cfg(test)]
#[path = "store_tests.rs"]
mod tests;
