//! What undo brings back: the case with its alternatives, which of them is shown, its file, and the
//! rows that are begun.

use crate::cells::Drafts;
use crate::history::Kept;
use extrados::casefile::{Case, edit};
use serde::{Deserialize, Serialize};
use serde_json::Value;
use std::sync::Arc;

/// Where the open case came from.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Source {
    /// Name of its file, without a folder.
    pub name: String,
    /// Whether it is one of the demo cases that come with the page.
    pub demo: bool,
}

/// One state that undo brings back: shared pointers only.
#[derive(Clone, Debug)]
pub struct Snapshot {
    /// The case as it is shown and computed: an alternative, or the case itself.
    pub case: Arc<Case>,
    /// The case as it goes to its file, with all its alternatives.
    pub base: Arc<Case>,
    /// Which alternative is shown; none is the case itself.
    pub alternative: Option<usize>,
    /// Its file.
    pub source: Arc<Source>,
    /// Rows that are begun.
    pub drafts: Arc<Drafts>,
}

/// As it is kept.
#[derive(Serialize, Deserialize)]
struct Written {
    base: Case,
    alternative: Option<usize>,
    source: Source,
    drafts: Drafts,
}

impl Snapshot {
    /// A case that was opened.
    pub fn opened(case: Arc<Case>, source: Source) -> Self {
        let base = case.clone();
        Snapshot { case, base, alternative: None, source: Arc::new(source), drafts: Arc::default() }
    }

    /// With another case in what is shown.
    #[must_use]
    pub fn with_case(&self, case: Arc<Case>) -> Self {
        let base = match self.alternative {
            None => case.clone(),
            Some(index) => Arc::new(self.base.keeping_alternative(index, &case)),
        };
        Snapshot { case, base, ..self.clone() }
    }

    /// With another case below the alternatives; one that is shown no more gives way to the case.
    #[must_use]
    pub fn with_base(&self, base: Arc<Case>, alternative: Option<usize>) -> Self {
        let shown = alternative.and_then(|index| Some((index, base.as_alternative(index).ok()?)));
        let (case, alternative) = match shown {
            Some((index, case)) => (Arc::new(case), Some(index)),
            None => (base.clone(), None),
        };
        Snapshot { case, base, alternative, ..self.clone() }
    }
}

impl PartialEq for Snapshot {
    fn eq(&self, other: &Self) -> bool {
        self.alternative == other.alternative
            && self.source == other.source
            && self.drafts == other.drafts
            && (Arc::ptr_eq(&self.base, &other.base) || self.base == other.base)
    }
}

impl Kept for Snapshot {
    fn to_value(&self) -> Value {
        // Plain data with text for keys: it can always be written.
        serde_json::json!({
            "base": *self.base, "alternative": self.alternative, "source": *self.source, "drafts": *self.drafts,
        })
    }

    fn from_value(value: Value, near: &Self) -> Option<Self> {
        let mut written: Written = serde_json::from_value(value).ok()?;
        edit::share(&near.base, &mut written.base);
        let base = if written.base == *near.base { near.base.clone() } else { Arc::new(written.base) };
        let kept = Snapshot { source: Arc::new(written.source), drafts: Arc::new(written.drafts), ..near.clone() };
        Some(kept.with_base(base, written.alternative))
    }
}
