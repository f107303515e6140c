//! Changes to a case: one field at a time, as forms make them.
//!
//! A change that does not fit leaves the case as it was and says why. Parts that a change does not
//! touch stay shared, so that what is computed from them need not be computed again.

use super::case::Case;
use super::document::Document;
use super::fields;
use super::json::value_of;
use super::shape::Shape;
use crate::fault::{Fault, Faults};
use serde_json::{Map, Value};
use std::sync::Arc;

/// Whether a case that was changed as a whole would be a good file.
///
/// # Errors
/// Everything that is wrong with it.
pub fn checked(case: &Case) -> Result<(), Faults> {
    Document::from_value(value_of(case)).map(|_| ())
}

/// The case with another value at a JSON pointer.
///
/// Objects on the way that are not there yet are made. In a list, its length or `-` appends. A
/// `null` where the table allows none takes the key away, as when a form's field is emptied.
///
/// # Errors
/// What is wrong with the pointer, or with the case as it would be.
pub fn set(case: &Case, pointer: &str, value: Value) -> Result<Case, Faults> {
    let place = fields::lookup(pointer).filter(|_| !pointer.is_empty()).ok_or_else(|| no_such_field(pointer))?;
    if value.is_null() && place.field.is_some_and(|field| !field.nullable && !field.required) {
        return remove(case, pointer);
    }
    change(case, pointer, |parent, key| match parent {
        Value::Object(map) => {
            map.insert(key.to_string(), value);
            Ok(())
        }
        Value::Array(items) => {
            let index = if key == "-" { items.len() } else { key.parse().unwrap_or(usize::MAX) };
            if index < items.len() {
                items[index] = value;
            } else if index == items.len() {
                items.push(value);
            } else {
                return Err(no_such_field(pointer));
            }
            Ok(())
        }
        _ => Err(no_such_field(pointer)),
    })
}

/// The case without the key or the list item at a JSON pointer.
///
/// # Errors
/// That there is nothing there, or what is wrong with the case as it would be.
pub fn remove(case: &Case, pointer: &str) -> Result<Case, Faults> {
    change(case, pointer, |parent, key| {
        let there = match parent {
            Value::Object(map) => map.remove(key).is_some(),
            Value::Array(items) => {
                key.parse().ok().filter(|index| *index < items.len()).map(|index: usize| items.remove(index)).is_some()
            }
            _ => false,
        };
        if there { Ok(()) } else { Err(no_such_field(pointer)) }
    })
}

fn change(
    case: &Case,
    pointer: &str,
    apply: impl FnOnce(&mut Value, &str) -> Result<(), Fault>,
) -> Result<Case, Faults> {
    let mut whole = value_of(case);
    let (above, last) = pointer.rsplit_once('/').ok_or_else(|| no_such_field(pointer))?;
    let mut parent = &mut whole;
    let mut shape: &'static Shape = &fields::CASE;
    for step in above.split('/').skip(1) {
        let step = unescaped(step);
        shape = shape
            .lookup(&format!("/{}", step.replace('~', "~0").replace('/', "~1")))
            .ok_or_else(|| no_such_field(pointer))?
            .shape;
        parent = match parent {
            Value::Object(map) => {
                let child = map.entry(step).or_insert(Value::Null);
                if child.is_null() {
                    *child = if matches!(shape, Shape::List { .. }) {
                        Value::Array(Vec::new())
                    } else {
                        Value::Object(Map::new())
                    };
                }
                child
            }
            Value::Array(items) => {
                step.parse().ok().and_then(|index: usize| items.get_mut(index)).ok_or_else(|| no_such_field(pointer))?
            }
            _ => return Err(no_such_field(pointer).into()),
        };
    }
    apply(parent, &unescaped(last))?;
    let mut changed = Document::case_of(whole)?;
    if changed.clock.three_oclock_is != case.clock.three_oclock_is {
        return Err(Fault::new(
            "turns_every_clock",
            "/clock/three_oclock_is",
            "The side of 3:00 cannot be set like a plain field: its answer turns every clock of the case.",
            "Answer the question on the clock of the sheet.",
        )
        .into());
    }
    share(case, &mut changed);
    Ok(changed)
}

/// Keeps what did not change as the very same parts.
pub fn share(old: &Case, new: &mut Case) {
    if new.anatomy == old.anatomy {
        new.anatomy = Arc::clone(&old.anatomy);
    }
    for component in &mut new.components {
        let same = old.components.iter().find(|other| other.id == component.id).and_then(|other| other.graft.as_ref());
        if let (Some(graft), Some(same)) = (&mut component.graft, same)
            && graft == same
        {
            *graft = Arc::clone(same);
        }
    }
}

fn unescaped(step: &str) -> String {
    step.replace("~1", "/").replace("~0", "~")
}

fn no_such_field(pointer: &str) -> Fault {
    Fault::new("no_such_field", pointer, "The case has no field here.", "Use the name of a field of the case.")
}
