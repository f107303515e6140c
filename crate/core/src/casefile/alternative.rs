//! Named alternatives of a case: each a JSON merge patch, shown as a case of its own.
//!
//! Knows nothing of what a case means; a change to an alternative is its difference from the case.

use super::case::{Alternative, Case};
use super::document::{Document, merge_patch};
use super::{difference, edit, json};
use crate::fault::{Fault, Faults};
use serde_json::Value;

impl Case {
    /// The case as one of its alternatives has it, without alternatives of its own. What the
    /// alternative does not change is shared.
    ///
    /// # Errors
    /// That there is no such alternative, or what is wrong with it.
    pub fn as_alternative(&self, index: usize) -> Result<Case, Faults> {
        let alternative = self.alternatives.get(index).ok_or_else(|| {
            Fault::new(
                "no_such_alternative",
                format!("/alternatives/{index}"),
                "There is no such alternative.",
                "Choose one that is there.",
            )
        })?;
        let mut value = self.bare();
        merge_patch(&mut value, &alternative.changes);
        let mut shown = Document::case_of(value)?;
        edit::share(self, &mut shown);
        Ok(shown)
    }

    /// The case with one of its alternatives as it is now shown.
    #[must_use]
    pub fn keeping_alternative(&self, index: usize, shown: &Case) -> Case {
        let mut case = self.clone();
        if let Some(alternative) = case.alternatives.get_mut(index) {
            alternative.changes = difference::patch(&self.bare(), &shown.bare());
            json::plain_numbers(&mut alternative.changes);
        }
        case
    }

    /// The case with another alternative, which as yet changes nothing.
    #[must_use]
    pub fn with_new_alternative(&self, name: &str) -> Case {
        let mut case = self.clone();
        case.alternatives.push(Alternative { name: name.into(), changes: Value::Object(serde_json::Map::new()) });
        case
    }

    /// The case as a value, without its alternatives.
    pub fn bare(&self) -> Value {
        let mut value = json::value_of(self);
        if let Some(map) = value.as_object_mut() {
            map.remove("alternatives");
        }
        value
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::casefile::case::{AnatomyInput, Landmark};
    use std::sync::Arc;

    fn case() -> Case {
        let landmarks = vec![Landmark { id: "coeliac".into(), station_mm: 300.0 }];
        let anatomy = Arc::new(AnatomyInput { landmarks, ..AnatomyInput::default() });
        let case = Case { label: "one".into(), anatomy, ..Case::default() };
        case.with_new_alternative("further down").with_new_alternative("other")
    }

    #[test]
    fn an_alternative_keeps_what_was_changed_in_it_and_no_more() {
        let case = case();
        let mut shown = case.as_alternative(0).unwrap();
        assert!(Arc::ptr_eq(&shown.anatomy, &case.anatomy) && shown.alternatives.is_empty());
        shown.diagnosis = "aneurysm".into();
        shown.ct.date = Some("2026-03-31".into());
        let kept = case.keeping_alternative(0, &shown);
        assert_eq!(
            kept.alternatives[0].changes,
            serde_json::json!({ "ct": { "date": "2026-03-31" }, "diagnosis": "aneurysm" })
        );
        assert_eq!((kept.diagnosis.as_str(), &kept.alternatives[1]), ("", &case.alternatives[1]));
        assert_eq!(kept.as_alternative(0).unwrap(), shown);
        let read = Document::from_value(serde_json::to_value(&kept).unwrap()).unwrap();
        assert_eq!(*read.case, kept, "it is a case that can be saved");
    }

    #[test]
    fn what_is_emptied_in_an_alternative_is_empty_there() {
        let mut case = case();
        case.ct.date = Some("2026-03-31".into());
        let mut shown = case.as_alternative(1).unwrap();
        shown.ct.date = None;
        Arc::make_mut(&mut shown.anatomy).landmarks.clear();
        let kept = case.keeping_alternative(1, &shown);
        assert_eq!(kept.as_alternative(1).unwrap(), shown);
        assert_eq!(kept.as_alternative(0).unwrap().ct, case.ct);
        assert!(kept.as_alternative(2).is_err());
    }
}
