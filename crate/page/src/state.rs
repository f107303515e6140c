//! The one state of the page: the case with its file, and how it is shown.
//!
//! Every event becomes an [`Action`](crate::action::Action); [`Store::dispatch`](crate::store::Store::dispatch) is the only place where
//! the state changes. Knows no browser and computes no measure.

use crate::importing::Importing;
use crate::snapshot::Snapshot;
use crate::view::View;
use extrados::casefile::Case;
use extrados::casefile::case::{Component, ComponentKind, Graft, Placement};
use extrados::fault::Faults;
use std::sync::Arc;

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
    /// JSON pointer of the field, or the address of a table's cell.
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
    /// Whether that was by handing it to the browser, which tells nobody what became of it.
    pub handed: bool,
    /// Tie of the shape or row that the pointer or the focus is on.
    pub tie: Option<String>,
    /// How it is shown.
    pub view: View,
    /// What is told at the top.
    pub notice: Option<Notice>,
    /// What was typed and does not fit, where it was typed.
    pub refused: Vec<Refused>,
    /// Grafts to choose from: they are ranked by their room.
    pub choice: Vec<(String, Arc<Graft>)>,
    /// Files that wait for their unit and axes.
    pub importing: Option<Importing>,
}

impl State {
    /// Whether the case differs from its file.
    pub fn unsaved(&self) -> bool {
        let kept = Arc::ptr_eq(&self.now.base, &self.saved) || self.now.base == self.saved;
        !kept || !self.now.drafts.is_empty()
    }

    /// Whether something that was typed is not in the case yet.
    pub fn entry_waits(&self) -> bool {
        !self.refused.is_empty() || !self.now.drafts.is_empty()
    }

    /// What was typed into a field or cell and does not fit.
    pub fn refused_at(&self, pointer: &str) -> Option<&Refused> {
        self.refused.iter().find(|refused| refused.pointer == pointer)
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
