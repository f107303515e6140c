//! What the user did, and what doing it changed.

use crate::cells::At;
use crate::importing::Answer;
use crate::snapshot::Source;
use crate::state::{Notice, Refused};
use crate::view::Show;
use extrados::casefile::Case;
use extrados::casefile::case::{Graft, Placement, RuleSet};
use extrados::import::NamedBytes;
use extrados::units::ThreeOClock;
use serde_json::Value;
use std::sync::Arc;

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
    /// Letters that do not fit are given up: the field shows what it holds.
    Forget(String),
    /// Letters were typed into a cell of a table.
    Cell(At, String),
    /// A block of cells was pasted, from this cell on.
    Paste(At, String),
    /// A row of a table is removed.
    RemoveRow(At),
    /// A change of the case as a whole, with its name for undo.
    Change(&'static str, Arc<Case>),
    /// Another alternative is shown; none is the case itself.
    ShowAlternative(Option<usize>),
    /// An alternative is added, a copy of what is shown, and shown.
    AddAlternative,
    /// The alternative that is shown gets another name.
    NameAlternative(String),
    /// The alternative that is shown is removed.
    RemoveAlternative,
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
    /// A case is taken over in which a ranked graft stands at its best.
    TakeRanked(Arc<Case>),
    /// Grafts to choose from, by name.
    Choice(Vec<(String, Arc<Graft>)>),
    /// Errors are taken from records, with what they say.
    TakeErrors(Arc<Case>, Notice),
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
    pub(crate) const NOTHING: Changed = Changed { case: false, shown: false };
    pub(crate) const SHOWN: Changed = Changed { case: false, shown: true };
    pub(crate) const CASE: Changed = Changed { case: true, shown: true };

    pub(crate) fn shown_if(yes: bool) -> Changed {
        Changed { case: false, shown: yes }
    }
}
