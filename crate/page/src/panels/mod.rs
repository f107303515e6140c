//! The panels of the page: pure functions from what is known to trees of plain data.
//!
//! Each panel reads the state and the plan and computes nothing; every number in it comes from the
//! library, in the library's words. Knows no browser.

pub mod alternatives;
pub mod arch;
pub mod bar;
pub mod cautions;
pub mod choices;
pub mod clock_faces;
pub mod entry;
pub mod form;
pub mod grid;
pub mod head;
pub mod help;
pub mod import_form;
pub mod notice;
pub mod possibilities;
pub mod ranking;
pub mod room;
pub mod sign;
pub mod stage_anatomy;
pub mod stage_carm;
pub mod stage_extent;
pub mod stage_graft;
pub mod stage_measurements;
pub mod stage_release;
pub mod stage_sheets;
pub mod stages;
pub mod steps;
pub mod tunnels;
pub mod verdicts;

use crate::demos::Demos;
use crate::results::{Lying, Results};
use crate::state::State;
use crate::store::Store;
use extrados::assumption::Weight;
use extrados::dissection::Extent;
use extrados::feed::over_room::OverRoom;
use extrados::feed::release::Release;
use extrados::feed::surprise::Surprise;
use extrados::graft::lie::Possibility;
use extrados::plan::Plan;
use extrados::quantity::Unknown;
use extrados::ranking::Standing;
use extrados::report::names;
use extrados::room::Forgiveness;
use extrados::rules::verdict::Word;
use std::sync::Arc;

/// What a panel is made from.
#[derive(Clone, Copy)]
pub struct Facts<'a> {
    /// The state.
    pub state: &'a State,
    /// The plan of this very state.
    pub plan: &'a Plan,
    /// The possibility that is drawn.
    pub drawn: Option<Possibility>,
    /// The demo cases and grafts.
    pub demos: &'a Demos,
    /// The case itself and its alternatives, where they are compared and as far as they are computed.
    pub compared: &'a [Option<Arc<Plan>>],
    /// What the placement forgives, once it is found for this very state.
    pub room: Option<&'a Result<Forgiveness, Unknown>>,
    /// What the steps of the release leave fed, once that is worked out for this very state.
    pub release: Option<&'a Release>,
    /// What a turn does to it.
    pub turns: Option<&'a Surprise>,
    /// Its orders over the room; nothing inside where there is none to try.
    pub over_room: Option<Option<&'a OverRoom>>,
    /// The stages that it belongs to.
    pub extent: Option<&'a Extent>,
    /// What a chosen turn does to it.
    pub lying: Option<&'a Lying>,
    /// How much hangs on the wire's direction, once that is found.
    pub tilt: Option<&'a Result<Weight, Unknown>>,
    /// Grafts that are ranked, as far as they are, and whether all of them are.
    pub ranking: Option<(&'a [Standing], bool)>,
    /// Whether tunnels are being made for this very state.
    pub designs: bool,
    /// What undo and redo would do, in words.
    pub undo: [Option<&'static str>; 2],
}

impl<'a> Facts<'a> {
    /// Of a state with the results that belong to it.
    pub fn of(store: &'a Store, results: &'a Results, demos: &'a Demos, compared: &'a [Option<Arc<Plan>>]) -> Self {
        Facts {
            state: store.state(),
            plan: results.plan(),
            drawn: results.drawn(),
            demos,
            compared,
            room: results.room(),
            release: results.release(),
            turns: results.turns(),
            over_room: results.over_room(),
            extent: results.extent(),
            lying: results.lying(),
            tilt: results.tilt(),
            ranking: results.ranking(),
            designs: false,
            undo: [store.undoes(), store.redoes()],
        }
    }

    /// What is pointed at.
    pub fn tied(&self) -> Option<&'a str> {
        self.state.tie.as_deref()
    }

    /// The worst verdict of the rules that the plan needs for one thing; `None` without such a rule.
    pub fn worst_of(&self, id: &str) -> Option<Word> {
        let own = self.plan.verdicts.iter().filter(|verdict| verdict.required && verdict.of == id);
        own.map(|verdict| verdict.word).min()
    }

    /// The name of what a verdict is about, in the trade's words.
    pub fn name_of(&self, id: &str) -> String {
        names::name_of(self.plan, id)
    }
}

#[cfg(test)]
mod tests;
