//! The one state of the page and what may change it.
//!
//! Every event becomes an [`Action`]; [`Store::dispatch`] is the only place where the state changes
//! and the only place that decides what an action means: clamping, merging, undo. A case that does
//! not read never gets here, so a bad file cannot replace what is open. Knows no browser and
//! computes no measure.

use crate::history::History;
use crate::importing::{Answer, Importing};
use crate::view::{Show, View};
use extrados::casefile::case::{CArm, Component, ComponentKind, Graft, Placement, RuleSet};
use extrados::casefile::{Case, edit};
use extrados::fault::Faults;
use extrados::import::NamedBytes;
use extrados::rules::defaults;
use extrados::units::ThreeOClock;
use serde_json::Value;
use std::sync::Arc;

/// Where the open case came from.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Source {
    /// Name of its file, without a folder.
    pub name: String,
    /// Whether it is one of the demo cases that come with the page.
    pub demo: bool,
}

/// What undo brings back: shared pointers only.
#[derive(Clone, Debug)]
pub struct Snapshot {
    /// The case.
    pub case: Arc<Case>,
    /// Its file.
    pub source: Arc<Source>,
}

impl PartialEq for Snapshot {
    fn eq(&self, other: &Self) -> bool {
        self.source == other.source && (Arc::ptr_eq(&self.case, &other.case) || self.case == other.case)
    }
}

/// Something to tell the user: stays until it is dismissed or the next thing is told.
#[derive(Clone, Debug, PartialEq)]
pub struct Notice {
    /// In one sentence.
    pub text: String,
    /// What is wrong with an input that was refused; empty for good news.
    pub faults: Faults,
    /// What was assumed where an import had to assume.
    pub assumed: Vec<String>,
}

impl Notice {
    /// Good news.
    pub fn news(text: impl Into<String>) -> Self {
        Notice { text: text.into(), faults: Faults::none(), assumed: Vec::new() }
    }

    /// An input was refused.
    pub fn refused(text: impl Into<String>, faults: Faults) -> Self {
        Notice { text: text.into(), faults, assumed: Vec::new() }
    }
}

/// Something typed that does not fit its field: it stays in the field with what is wrong.
#[derive(Clone, Debug, PartialEq)]
pub struct Refused {
    /// JSON pointer of the field.
    pub pointer: String,
    /// The letters that were typed.
    pub typed: String,
    /// What is wrong and how to mend it.
    pub fault: String,
}

/// All that the page shows, except results.
#[derive(Clone, Debug)]
pub struct State {
    /// The case and its file.
    pub now: Snapshot,
    /// Grows by one with every change of the case; results carry the revision they belong to.
    pub revision: u64,
    /// The case as it was last read from or written to a file.
    pub saved: Arc<Case>,
    /// Tie of the shape or row that the pointer or the focus is on.
    pub tie: Option<String>,
    /// How it is shown.
    pub view: View,
    /// What is told at the top.
    pub notice: Option<Notice>,
    /// What was typed last, where it does not fit.
    pub refused: Option<Refused>,
    /// Files that wait for their unit and axes.
    pub importing: Option<Importing>,
}

impl State {
    /// Whether the case differs from its file.
    pub fn unsaved(&self) -> bool {
        !Arc::ptr_eq(&self.now.case, &self.saved) && self.now.case != self.saved
    }

    /// The graft that is moved: the one that was chosen, else the first arch graft that is placed, else
    /// the first placed graft.
    pub fn moved(&self) -> Option<(usize, &Component, Placement)> {
        let placed = || {
            self.now.case.components.iter().enumerate().filter_map(|(index, component)| {
                component.graft.as_ref()?;
                Some((index, component, component.placement?))
            })
        };
        let chosen = self.view.component;
        placed()
            .find(|(index, _, _)| Some(*index) == chosen)
            .or_else(|| placed().find(|(_, component, _)| component.kind == ComponentKind::ArchGraft))
            .or_else(|| placed().next())
    }
}

/// What the user did.
#[derive(Clone, Debug)]
pub enum Action {
    /// A case was read, from a file or from the demos. One step of undo.
    Open {
        /// The case.
        case: Arc<Case>,
        /// Its file.
        source: Source,
        /// What to tell, such as what an import assumed.
        notice: Option<Notice>,
    },
    /// The case was written to a file.
    Saved,
    /// A field was filled in; the changed case is checked as strictly as a file.
    Fill {
        /// JSON pointer of the field.
        pointer: String,
        /// What it is to hold; `null` empties it.
        value: Value,
        /// The letters that were typed.
        typed: String,
    },
    /// What was typed does not fit its field.
    Refuse(Refused),
    /// A graft is put somewhere, by drag, key or number.
    Place {
        /// Which component.
        component: usize,
        /// Where.
        placement: Placement,
    },
    /// Another graft is taken for a component; with no components yet it becomes the arch graft.
    TakeGraft {
        /// Which component.
        component: usize,
        /// The graft.
        graft: Arc<Graft>,
    },
    /// A rule set is taken beside the others, or in the place of the one with its id.
    TakeSet(RuleSet),
    /// A rule set is left out.
    DropSet(usize),
    /// The side of 3:00 is answered: turns all clocks once.
    AnswerHand(ThreeOClock),
    /// A drag begins, or a key is held down: until it ends all is one step.
    BeginGesture,
    /// The drag ends.
    EndGesture,
    /// The drag is given up: back to where it began.
    GiveUpGesture,
    /// One step back.
    Undo,
    /// One step forward again.
    Redo,
    /// Pointer or focus came to a shape or row, or left it.
    Tie(Option<String>),
    /// Something is shown otherwise.
    Show(Show),
    /// Files of other programs were chosen: asks for their unit and axes.
    BeginImport(Vec<NamedBytes>),
    /// One of these questions is answered.
    AnswerImport(Answer),
    /// The case is made of them; where something is wrong it is listed and what is open stays.
    Import,
    /// The import is given up.
    CancelImport,
    /// Something is told; an input that was refused leaves all else as it is.
    Tell(Notice),
    /// What was told is put away.
    Dismiss,
}

/// What a dispatch changed, so that only that is drawn again.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Changed {
    /// The case.
    pub case: bool,
    /// Anything that is shown.
    pub shown: bool,
}

impl Changed {
    const NOTHING: Changed = Changed { case: false, shown: false };
    const SHOWN: Changed = Changed { case: false, shown: true };
    const CASE: Changed = Changed { case: true, shown: true };

    fn shown_if(yes: bool) -> Changed {
        Changed { case: false, shown: yes }
    }
}

/// The state with its steps of undo.
#[derive(Clone, Debug)]
pub struct Store {
    state: State,
    history: History<Snapshot>,
}

impl Store {
    /// Starts with a case.
    pub fn new(case: Arc<Case>, source: Source) -> Self {
        Store {
            state: State {
                now: Snapshot { case: case.clone(), source: Arc::new(source) },
                revision: 0,
                saved: case,
                tie: None,
                view: View::default(),
                notice: None,
                refused: None,
                importing: None,
            },
            history: History::default(),
        }
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
                self.open(case, source, notice)
            }
            Action::Saved => {
                self.state.saved = self.state.now.case.clone();
                Changed::SHOWN
            }
            Action::Fill { pointer, value, typed } => self.fill(pointer, value, typed),
            Action::Refuse(refused) => {
                self.state.refused = Some(refused);
                Changed::SHOWN
            }
            Action::Place { component, placement } => match placed(&self.state.now.case, component, placement) {
                Some(case) => self.change("moving the graft", Arc::new(case)),
                None => Changed::NOTHING,
            },
            Action::TakeGraft { component, graft } => {
                let case = with_graft(&self.state.now.case, component, graft);
                self.change("taking a graft", Arc::new(case))
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
                let case = self.state.now.case.with_hand(hand);
                self.change("the side of 3:00", Arc::new(case))
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
                Some(snapshot) => self.stand_at(snapshot),
                None => Changed::SHOWN,
            },
            Action::Undo => match self.history.undo(&self.state.now) {
                Some(snapshot) => self.stand_at(snapshot),
                None => Changed::SHOWN,
            },
            Action::Redo => match self.history.redo(&self.state.now) {
                Some(snapshot) => self.stand_at(snapshot),
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
            Action::Tell(notice) => {
                self.state.notice = Some(notice);
                Changed::SHOWN
            }
            Action::Dismiss => Changed::shown_if(self.state.notice.take().is_some()),
        }
    }

    fn open(&mut self, case: Arc<Case>, source: Source, notice: Option<Notice>) -> Changed {
        self.state.notice = notice;
        self.state.importing = None;
        self.state.tie = None;
        self.state.view.forget_case();
        self.step("opening", Snapshot { case, source: Arc::new(source) })
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
            Ok(case) => {
                self.state.refused = None;
                self.change("filling in", Arc::new(case))
            }
            Err(faults) => {
                let fault = faults.faults.into_iter().next();
                let fault = fault.map(|fault| format!("{} {}", fault.text, fault.mend)).unwrap_or_default();
                self.state.refused = Some(Refused { pointer, typed, fault });
                Changed::SHOWN
            }
        }
    }

    /// Takes a rule set; what it does not fit is told, and the case stays as it was.
    fn take_set(&mut self, set: RuleSet) -> Changed {
        let mut case = (*self.state.now.case).clone();
        match case.rule_sets.iter_mut().find(|own| !set.id.is_empty() && own.id == set.id) {
            Some(own) => *own = set,
            None => case.rule_sets.push(set),
        }
        match edit::checked(&case) {
            Ok(()) => self.change("taking a rule set", Arc::new(case)),
            Err(faults) => {
                let text = "The rule set was not taken: it does not fit beside what is there.".to_owned();
                self.state.notice = Some(Notice::refused(text, faults));
                Changed::SHOWN
            }
        }
    }

    /// Another case in the same file.
    fn change(&mut self, what: &'static str, case: Arc<Case>) -> Changed {
        let source = self.state.now.source.clone();
        self.step(what, Snapshot { case, source })
    }

    /// One step, unless nothing differs.
    fn step(&mut self, what: &'static str, next: Snapshot) -> Changed {
        if next == self.state.now {
            return Changed::SHOWN;
        }
        self.history.record(&self.state.now, what);
        self.stand_at(next)
    }

    fn stand_at(&mut self, snapshot: Snapshot) -> Changed {
        self.state.now = snapshot;
        self.state.refused = None;
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

/// The case with another graft in a component; a case without that component gets one at station 0.
fn with_graft(case: &Case, component: usize, graft: Arc<Graft>) -> Case {
    let mut case = case.clone();
    match case.components.get_mut(component) {
        Some(component) => component.graft = Some(graft),
        None => case.components.push(Component {
            id: free_id(&case, "arch"),
            kind: ComponentKind::ArchGraft,
            stage: None,
            graft: Some(graft),
            placement: Some(Placement { held_u_mm: 0.0, station_mm: 0.0, clock_deg: 0.0 }),
            in_vessel: None,
            at_mm: None,
            diameter_mm: None,
            length_mm: None,
        }),
    }
    case
}

/// An id that no component bears.
fn free_id(case: &Case, wish: &str) -> String {
    let taken = |id: &str| case.components.iter().any(|component| component.id == id);
    if !taken(wish) {
        return wish.to_owned();
    }
    (2..).map(|count| format!("{wish}{count}")).find(|id| !taken(id)).unwrap_or_default()
}

#[cfg(test)]
#[path = "state_tests.rs"]
mod tests;
