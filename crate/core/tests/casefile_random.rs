//! Random case files: the table and the typed case agree, and no mutation makes the reader panic.
#![cfg(not(target_family = "wasm"))]
#![allow(clippy::unwrap_used)]

use extrados::casefile::shape::{Field, MOST_ID_CHARS, Shape};
use extrados::casefile::{Case, Document, check, document, fields};
use proptest::prelude::*;
use proptest::sample::{Index, select};
use proptest::string::string_regex;
use serde_json::{Map, Value, json};

const EVERY_KEY: &[u8] = include_bytes!("../../../tests/reference/every-key.case.json");

fn every_key() -> Value {
    serde_json::from_slice(EVERY_KEY).unwrap()
}

/// Any value that fits a shape.
fn fitting(shape: &'static Shape) -> BoxedStrategy<Value> {
    match shape {
        Shape::Object(fields) => object(fields.iter().map(|field| (field, None)).collect()),
        Shape::Tagged(tagged) => {
            let variants: Vec<_> = tagged
                .variants
                .iter()
                .map(|variant| {
                    let mut fields: Vec<_> = tagged.common.iter().map(|field| (field, None)).collect();
                    fields.push((&tagged.tag, Some(variant.words)));
                    fields.extend(variant.fields.iter().map(|field| (field, None)));
                    object(fields)
                })
                .collect();
            proptest::strategy::Union::new(variants).boxed()
        }
        Shape::List { of, at_least, at_most } => {
            let most = (*at_most).min(at_least + 2);
            prop::collection::vec(fitting(of), *at_least..=most).prop_map(Value::Array).boxed()
        }
        Shape::Number(range) => prop_oneof![
            range.least..=range.most,
            Just(range.least),
            Just(range.most),
            Just(range.least.max(0.0).ceil().min(range.most)),
        ]
        .prop_map(Value::from)
        .boxed(),
        Shape::Whole { least, most } => (*least..=*most).prop_map(Value::from).boxed(),
        Shape::Text { .. } | Shape::Suggested(_) => string_regex("\\PC{0,20}").unwrap().prop_map(Value::from).boxed(),
        Shape::Id => {
            let pattern = format!("[A-Za-z0-9_-]{{1,{MOST_ID_CHARS}}}");
            string_regex(&pattern).unwrap().prop_map(Value::from).boxed()
        }
        Shape::Date => Just(json!("2026-03-31")).boxed(),
        Shape::Choice(words) => select(*words).prop_map(|word| Value::from(word.word)).boxed(),
        Shape::Flag => any::<bool>().prop_map(Value::from).boxed(),
        Shape::Notes | Shape::Patch => Just(json!({ "a": [1, 2.5, null, { "b": "c" }] })).boxed(),
    }
}

fn object(fields: Vec<(&'static Field, Option<&'static [&'static str]>)>) -> BoxedStrategy<Value> {
    let entries: Vec<BoxedStrategy<Option<(String, Value)>>> = fields
        .into_iter()
        .map(|(field, words)| {
            let value = match words {
                Some(words) => select(words).prop_map(Value::from).boxed(),
                None => fitting(&field.shape),
            };
            let there = value.prop_map(|value| Some((field.name.to_string(), value)));
            match (field.required, field.nullable) {
                (true, _) => there.boxed(),
                (false, true) => {
                    let null = Some((field.name.to_string(), Value::Null));
                    prop_oneof![3 => there, 1 => Just(null), 1 => Just(None)].boxed()
                }
                (false, false) => prop_oneof![3 => there, 1 => Just(None)].boxed(),
            }
        })
        .collect();
    entries.prop_map(|entries| Value::Object(entries.into_iter().flatten().collect::<Map<_, _>>())).boxed()
}

/// Whether every value of `part` stands in `whole` too; a `null` may have become absent.
fn stands_in(part: &Value, whole: &Value) -> bool {
    match (part, whole) {
        (Value::Object(part), Value::Object(whole)) => part.iter().all(|(key, value)| match whole.get(key) {
            Some(kept) => stands_in(value, kept),
            None => value.is_null(),
        }),
        (Value::Array(part), Value::Array(whole)) => {
            part.len() == whole.len() && part.iter().zip(whole).all(|(part, whole)| stands_in(part, whole))
        }
        (Value::Number(part), Value::Number(whole)) => part.as_f64() == whole.as_f64(),
        // An empty list or object of notes is left out of the text, and so is an absent optional.
        (part, whole) => part == whole,
    }
}

/// Empty parts that the typed case leaves out when it is written.
fn without_empty(mut value: Value) -> Value {
    const NOT_WRITTEN: [&str; 6] =
        ["alternatives", "rule_sets", "graft_diameters_mm", "not_judged", "checklist", "kit"];
    match &mut value {
        Value::Object(map) => {
            map.retain(|key, value| !(NOT_WRITTEN.contains(&key.as_str()) && *value == json!([])));
            map.values_mut().for_each(|value| *value = without_empty(value.take()));
        }
        Value::Array(items) => items.iter_mut().for_each(|value| *value = without_empty(value.take())),
        _ => {}
    }
    value
}

proptest! {
    #![proptest_config(ProptestConfig { failure_persistence: None, ..ProptestConfig::default() })]

    // Whatever the table allows, the typed case holds, key for key, and writes in the table's terms.
    #[test]
    fn table_and_typed_case_agree(value in fitting(&fields::CASE)) {
        let faults = check::check(&value, &fields::CASE);
        prop_assert!(faults.is_empty(), "{faults}\n{value}");
        let case: Case = serde_json::from_value(value.clone()).map_err(|error| TestCaseError::fail(format!("{error}\n{value}")))?;
        let text = document::write(&case);
        let back: Value = serde_json::from_str(&text).unwrap();
        let faults = check::check(&back, &fields::CASE);
        prop_assert!(faults.is_empty(), "{faults}\n{text}");
        prop_assert!(stands_in(&without_empty(value.clone()), &back), "{value}\n{back}");
        let again: Case = serde_json::from_value(back).unwrap();
        prop_assert_eq!(again, case);
    }

    #[test]
    fn mutations_of_values_never_panic(changes in prop::collection::vec((any::<Index>(), hostile(), any::<bool>()), 1..6)) {
        let mut value = every_key();
        for (place, with, removed) in changes {
            let mut pointers = Vec::new();
            collect(&value, &mut String::new(), &mut pointers);
            let pointer = place.get(&pointers).clone();
            if let Some(target) = value.pointer_mut(&pointer) {
                *target = if removed { Value::Null } else { with };
            }
        }
        if let Ok(document) = Document::from_value(value) {
            let again = Document::read(document.text().as_bytes());
            prop_assert_eq!(again.map(|again| again.case), Ok(document.case));
        }
    }

    #[test]
    fn mutations_of_bytes_never_panic(changes in prop::collection::vec((any::<Index>(), any::<u8>(), 0..4_u8), 1..12)) {
        let mut bytes = EVERY_KEY.to_vec();
        for (place, byte, how) in changes {
            let at = place.index(bytes.len());
            match how {
                0 => bytes[at] = byte,
                1 => bytes.insert(at, byte),
                2 => { bytes.remove(at); }
                // Digits and signs find other faults than random bytes do.
                _ => bytes[at] = b"0123456789-+.eE{}[],:\""[usize::from(byte) % 22],
            }
        }
        if let Ok(document) = Document::read(&bytes) {
            let again = Document::read(document.text().as_bytes());
            prop_assert_eq!(again.map(|again| again.case), Ok(document.case));
        }
    }

    #[test]
    fn garbage_never_panics(bytes in prop::collection::vec(any::<u8>(), 0..400)) {
        prop_assert!(Document::read(&bytes).is_err());
        prop_assert!(document::read_graft(&bytes).is_err());
        prop_assert!(document::read_rules(&bytes).is_err());
    }
}

/// Values that a form, a script or a hand might put anywhere.
fn hostile() -> BoxedStrategy<Value> {
    prop_oneof![
        Just(Value::Null),
        any::<bool>().prop_map(Value::from),
        prop_oneof![Just(0.0), Just(-0.0), Just(-1.0), Just(1e308), Just(5e-324), -400.0..400.0, any::<f64>()]
            .prop_map(Value::from),
        any::<i64>().prop_map(Value::from),
        any::<u64>().prop_map(Value::from),
        select(vec![
            "",
            "IA",
            "o1",
            "t1",
            "each",
            "arch",
            "area",
            "contour",
            "plug",
            "9",
            "ä\u{0}\u{202e}",
            "2026-02-31"
        ])
        .prop_map(Value::from),
        Just(json!([])),
        Just(json!({})),
        Just(json!([[[[{}]]]])),
        Just(json!([0, 0, 0])),
        Just(json!({ "kind": "plug", "id": "x", "in": "IA" })),
    ]
    .boxed()
}

fn collect(value: &Value, pointer: &mut String, into: &mut Vec<String>) {
    into.push(pointer.clone());
    let length = pointer.len();
    let mut inside = |key: &str, value: &Value| {
        pointer.push('/');
        pointer.push_str(key);
        collect(value, pointer, into);
        pointer.truncate(length);
    };
    match value {
        Value::Array(items) => items.iter().enumerate().for_each(|(index, item)| inside(&index.to_string(), item)),
        Value::Object(map) => map.iter().for_each(|(key, item)| inside(key, item)),
        _ => {}
    }
}
