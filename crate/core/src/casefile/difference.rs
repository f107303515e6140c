//! What differs between two JSON values: as steps that lead from one to the other and back, and as a
//! merge patch.
//!
//! Steps are kept for undo, in as few letters as a change has; the patch is what an alternative of a
//! case holds. Knows nothing of what the values mean.

use serde_json::{Map, Value, json};

/// What differs in one place: under one key of an object, or a stretch of a list.
#[derive(Clone, Debug, PartialEq)]
pub struct Step {
    /// JSON pointer of the object or list.
    pub place: String,
    /// The key in it, or the position in the list.
    pub key: Key,
    /// What stands there before: nothing, or one value; in a list any number.
    pub before: Vec<Value>,
    /// What stands there after.
    pub after: Vec<Value>,
}

/// A place in an object or a list.
#[derive(Clone, Debug, PartialEq)]
pub enum Key {
    /// A position in a list.
    At(usize),
    /// A key of an object.
    Named(String),
}

/// The text of steps, as short as may be.
pub fn write(steps: &[Step]) -> String {
    let step = |step: &Step| {
        let key = match &step.key {
            Key::At(at) => Value::from(*at),
            Key::Named(key) => Value::from(key.as_str()),
        };
        json!([step.place, key, step.before, step.after])
    };
    steps.iter().map(step).collect::<Value>().to_string()
}

/// The steps of a text that [`write`] wrote.
pub fn read(text: &str) -> Option<Vec<Step>> {
    let Ok(Value::Array(steps)) = serde_json::from_str(text) else { return None };
    let step = |step: Value| {
        let Value::Array(parts) = step else { return None };
        let [place, key, Value::Array(before), Value::Array(after)] = <[Value; 4]>::try_from(parts).ok()? else {
            return None;
        };
        let key = match key {
            Value::String(key) => Key::Named(key),
            key => Key::At(key.as_u64()? as usize),
        };
        Some(Step { place: place.as_str()?.to_owned(), key, before, after })
    };
    steps.into_iter().map(step).collect()
}

/// Every difference between two values, in order.
pub fn steps(before: &Value, after: &Value) -> Vec<Step> {
    let mut steps = Vec::new();
    compare(before, after, &mut String::new(), &mut steps);
    steps
}

/// Leads a value from before the steps to after them.
pub fn forward(value: &mut Value, steps: &[Step]) -> Option<()> {
    steps.iter().try_for_each(|step| take(value, step, &step.before, &step.after))
}

/// Leads a value from after the steps back to before them.
pub fn backward(value: &mut Value, steps: &[Step]) -> Option<()> {
    steps.iter().rev().try_for_each(|step| take(value, step, &step.after, &step.before))
}

/// Puts `new` in the place of `old`; nothing where `old` does not stand there.
fn take(value: &mut Value, step: &Step, old: &[Value], new: &[Value]) -> Option<()> {
    match (value.pointer_mut(&step.place)?, &step.key) {
        (Value::Object(map), Key::Named(key)) => {
            if map.get(key) != old.first() {
                return None;
            }
            match new.first() {
                Some(new) => drop(map.insert(key.clone(), new.clone())),
                None => drop(map.remove(key)),
            }
        }
        (Value::Array(items), Key::At(at)) => {
            let stretch = *at..at.checked_add(old.len())?;
            if items.get(stretch.clone())? != old {
                return None;
            }
            items.splice(stretch, new.iter().cloned());
        }
        _ => return None,
    }
    Some(())
}

fn compare(before: &Value, after: &Value, place: &mut String, steps: &mut Vec<Step>) {
    match (before, after) {
        (Value::Object(old), Value::Object(new)) => {
            let mut keys: Vec<&String> = old.keys().chain(new.keys().filter(|key| !old.contains_key(*key))).collect();
            keys.sort();
            for key in keys {
                let (old, new) = (old.get(key), new.get(key));
                match (old, new) {
                    (Some(old), Some(new)) if alike(old, new) => {
                        inside(key, place, |place| compare(old, new, place, steps))
                    }
                    _ if old == new => {}
                    _ => {
                        let value = |value: Option<&Value>| value.into_iter().cloned().collect();
                        let (before, after) = (value(old), value(new));
                        steps.push(Step { place: place.clone(), key: Key::Named(key.clone()), before, after });
                    }
                }
            }
        }
        (Value::Array(old), Value::Array(new)) if old.len() == new.len() => {
            for (index, (old, new)) in old.iter().zip(new).enumerate() {
                if alike(old, new) {
                    inside(&index.to_string(), place, |place| compare(old, new, place, steps));
                } else if old != new {
                    let (before, after) = (vec![old.clone()], vec![new.clone()]);
                    steps.push(Step { place: place.clone(), key: Key::At(index), before, after });
                }
            }
        }
        (Value::Array(old), Value::Array(new)) => {
            let same = old.iter().zip(new).take_while(|(old, new)| old == new).count();
            let (old, new) = (&old[same..], &new[same..]);
            let tail = old.iter().rev().zip(new.iter().rev()).take_while(|(old, new)| old == new).count();
            let (before, after) = (old[..old.len() - tail].to_vec(), new[..new.len() - tail].to_vec());
            steps.push(Step { place: place.clone(), key: Key::At(same), before, after });
        }
        _ => {}
    }
}

/// Whether two values are compared inside rather than as wholes.
fn alike(old: &Value, new: &Value) -> bool {
    old.is_object() && new.is_object() || old.is_array() && new.is_array()
}

fn inside(step: &str, place: &mut String, look: impl FnOnce(&mut String)) {
    let length = place.len();
    super::check::push_step(place, step);
    look(place);
    place.truncate(length);
}

/// The merge patch (RFC 7396) that makes `after` of `before`: lists are taken whole, `null` removes.
pub fn patch(before: &Value, after: &Value) -> Value {
    let (Value::Object(old), Value::Object(new)) = (before, after) else { return after.clone() };
    let mut changes = Map::new();
    for (key, new) in new {
        match old.get(key) {
            Some(old) if old == new => {}
            Some(old) if old.is_object() && new.is_object() => drop(changes.insert(key.clone(), patch(old, new))),
            // In a patch `null` removes, and what is not there is not known either.
            None if new.is_null() => {}
            _ => drop(changes.insert(key.clone(), new.clone())),
        }
    }
    for key in old.keys().filter(|key| !new.contains_key(*key)) {
        changes.insert(key.clone(), Value::Null);
    }
    Value::Object(changes)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::casefile::document::merge_patch;
    use serde_json::json;

    fn there_and_back(before: &Value, after: &Value) -> Vec<Step> {
        let steps = steps(before, after);
        let read = read(&write(&steps)).unwrap();
        assert_eq!(read, steps, "steps are kept as text");
        let mut value = before.clone();
        assert_eq!(forward(&mut value, &read), Some(()));
        assert_eq!(&value, after);
        assert_eq!(backward(&mut value, &read), Some(()));
        assert_eq!(&value, before);
        steps
    }

    #[test]
    fn steps_lead_there_and_back() {
        let before = json!({"a": {"b/c": 1.5, "d": null}, "list": [{"x": 1}, {"x": 2}, {"x": 3}], "gone": "word"});
        let after = json!({"a": {"b/c": 2.5, "e": [1]}, "list": [{"x": 1}, {"x": 9}, {"x": 2}, {"x": 3}], "new": {}});
        let steps = there_and_back(&before, &after);
        assert!(
            steps
                .iter()
                .any(|s| s.place == "/list" && s.key == Key::At(1) && s.before.is_empty() && s.after.len() == 1)
        );
        there_and_back(&after, &json!({}));
        assert_eq!(there_and_back(&before, &before), []);
    }

    #[test]
    fn one_number_in_a_long_list_is_one_short_step() {
        let long: Vec<Value> = (0..1000).map(|k| json!({ "station_mm": k, "d": 30.0 })).collect();
        let before = json!({ "lumen": long });
        let mut after = before.clone();
        after["lumen"][500]["d"] = json!(31.5);
        let steps = there_and_back(&before, &after);
        assert!(write(&steps).len() < 100);
    }

    #[test]
    fn steps_of_another_value_lead_nowhere() {
        let steps = steps(&json!({"a": [1, 2]}), &json!({"a": [1, 3]}));
        for mut other in [json!({"a": [1, 5]}), json!({"a": [1]}), json!({}), json!([])] {
            let kept = other.clone();
            assert_eq!(forward(&mut other, &steps), None);
            assert_eq!(other, kept);
        }
    }

    #[test]
    fn a_patch_makes_the_one_of_the_other() {
        let before = json!({"ct": {"date": "2026-01-01", "phase": null}, "components": [1, 2], "push": {"a": 1}});
        let after = json!({"ct": {"date": "2026-01-02", "phase": null}, "components": [2], "done": {}});
        let made = patch(&before, &after);
        assert_eq!(made, json!({"ct": {"date": "2026-01-02"}, "components": [2], "push": null, "done": {}}));
        let mut value = before;
        merge_patch(&mut value, &made);
        assert_eq!(value, after);
    }
}
