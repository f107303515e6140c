//! What undo brings back: the case with its alternatives, which of them is shown, its file, and the
//! rows that are begun.

use crate::cells::{Begun, Drafts};
use crate::history::Kept;
use extrados::casefile::{Case, Document, edit};
use serde_json::{Value, json};
use std::sync::Arc;

/// Where the open case came from.
#[derive(Clone, Debug, PartialEq, Eq)]
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
        let begun =
            |begun: &Begun| json!([begun.cells, begun.fault.as_ref().map(|(column, text)| json!([column, text]))]);
        let drafts: Value = self
            .drafts
            .iter()
            .map(|(table, rows)| (table.clone(), rows.iter().map(begun).collect::<Value>()))
            .collect::<serde_json::Map<String, Value>>()
            .into();
        json!({
            "base": serde_json::to_value(&*self.base).unwrap_or_default(),
            "alternative": self.alternative,
            "source": [self.source.name, self.source.demo],
            "drafts": drafts,
        })
    }

    fn from_value(mut value: Value, near: &Self) -> Option<Self> {
        let mut base = Document::case_again(value.get_mut("base")?.take())?;
        edit::share(&near.base, &mut base);
        let base = if base == *near.base { near.base.clone() } else { Arc::new(base) };
        let alternative = value["alternative"].as_u64().map(|index| index as usize);
        let source = Source { name: value["source"][0].as_str()?.to_owned(), demo: value["source"][1].as_bool()? };
        let letters = |cell: &Value| cell.as_str().map(str::to_owned);
        let begun = |row: &Value| {
            let cells = row[0].as_array()?.iter().map(letters).collect::<Option<_>>()?;
            let fault = row[1].as_array();
            let fault = fault.and_then(|fault| Some((fault[0].as_u64()? as usize, letters(&fault[1])?)));
            Some(Begun { cells, fault })
        };
        let rows = |rows: &Value| rows.as_array()?.iter().map(begun).collect::<Option<Vec<Begun>>>();
        let drafts = value["drafts"].as_object()?.iter().map(|(table, own)| Some((table.clone(), rows(own)?)));
        let drafts = Arc::new(drafts.collect::<Option<Drafts>>()?);
        Some(Snapshot { source: Arc::new(source), drafts, ..near.clone() }.with_base(base, alternative))
    }
}
