//! JSON Schema (draft 2020-12) of the files and of the report, made from the field tables.
//!
//! A schema says what a single value may be. What one part of a file asks of another (ids that must
//! resolve, order, stretches, days of the calendar) only the program itself checks.

use super::shape::{Field, MOST_ID_CHARS, Shape, Tagged, Variant};
use super::{fields, report_fields};
use serde_json::{Map, Value, json};

/// Schema of the case file.
pub fn case_schema() -> Value {
    document("urn:extrados:case:1", "Extrados case, version 1", &fields::CASE, Extra::Refused)
}

/// Schema of the graft file.
pub fn graft_schema() -> Value {
    document("urn:extrados:graft:1", "Extrados graft, version 1", &fields::GRAFT, Extra::Refused)
}

/// Schema of the rule file.
pub fn rules_schema() -> Value {
    document("urn:extrados:rules:1", "Extrados rules, version 1", &fields::RULES, Extra::Refused)
}

/// Schema of the report. Later reports may have more keys.
pub fn report_schema() -> Value {
    document("urn:extrados:report:1", "Extrados report, version 1", &report_fields::REPORT, Extra::Allowed)
}

/// Whether an object may have keys that the table does not know.
#[derive(Clone, Copy, PartialEq)]
enum Extra {
    Refused,
    Allowed,
}

fn document(id: &str, title: &str, shape: &Shape, extra: Extra) -> Value {
    let mut schema = schema(shape, extra);
    schema.insert("$schema".into(), "https://json-schema.org/draft/2020-12/schema".into());
    schema.insert("$id".into(), id.into());
    schema.insert("title".into(), title.into());
    Value::Object(schema)
}

fn schema(shape: &Shape, extra: Extra) -> Map<String, Value> {
    let value = match shape {
        Shape::Object(fields) => return object(fields.iter().map(|field| (field, None)), extra),
        Shape::Tagged(tagged) => {
            json!({ "type": "object", "oneOf": tagged.variants.iter().map(|v| variant(tagged, v, extra)).collect::<Vec<_>>() })
        }
        Shape::List { of, at_least, at_most } => {
            json!({ "type": "array", "items": schema(of, extra), "minItems": at_least, "maxItems": at_most })
        }
        Shape::Number(range) => {
            let mut number = Map::from_iter([("type".into(), "number".into())]);
            for (key, bound) in [("minimum", range.least), ("maximum", range.most)] {
                if bound.is_finite() {
                    number.insert(key.into(), bound.into());
                }
            }
            if !range.unit.is_empty() {
                number.insert("unit".into(), range.unit.into());
            }
            return number;
        }
        Shape::Whole { least, most } => json!({ "type": "integer", "minimum": least, "maximum": most }),
        Shape::Text { most_chars } => json!({ "type": "string", "maxLength": most_chars }),
        Shape::Suggested(words) => {
            let words: Vec<_> = words.iter().map(|word| word.word).collect();
            json!({ "type": "string", "maxLength": super::check::MOST_WORD_CHARS, "examples": words })
        }
        Shape::Id => json!({ "type": "string", "pattern": format!("^[A-Za-z0-9_-]{{1,{MOST_ID_CHARS}}}$") }),
        Shape::Date => {
            json!({ "type": "string", "pattern": "^(19|20|21)[0-9]{2}-(0[1-9]|1[0-2])-(0[1-9]|[12][0-9]|3[01])$" })
        }
        Shape::Choice(words) => {
            json!({ "type": "string", "enum": words.iter().map(|word| word.word).collect::<Vec<_>>() })
        }
        Shape::Flag => json!({ "type": "boolean" }),
        Shape::Notes | Shape::Patch => json!({ "type": "object" }),
    };
    match value {
        Value::Object(map) => map,
        _ => Map::new(),
    }
}

/// One variant of a tagged object: its deciding word is one of the variant's own.
fn variant(tagged: &Tagged, variant: &Variant, extra: Extra) -> Map<String, Value> {
    let tag = std::iter::once((&tagged.tag, Some(variant.words)));
    let others = tagged.common.iter().chain(variant.fields).map(|field| (field, None));
    object(tag.chain(others), extra)
}

fn object<'f>(fields: impl Iterator<Item = (&'f Field, Option<&'f [&'f str]>)>, extra: Extra) -> Map<String, Value> {
    let mut properties = Map::new();
    let mut required = Vec::new();
    for (field, words) in fields {
        let mut property = schema(&field.shape, extra);
        if let Some(words) = words {
            property.insert("enum".into(), words.into());
        }
        if field.nullable {
            allow_null(&mut property);
        }
        property.insert("title".into(), field.label.into());
        property.insert("description".into(), field.help.into());
        properties.insert(field.name.into(), property.into());
        if field.required {
            required.push(field.name);
        }
    }
    let mut object = Map::from_iter([("type".into(), "object".into()), ("properties".into(), properties.into())]);
    if !required.is_empty() {
        object.insert("required".into(), required.into());
    }
    if extra == Extra::Refused {
        object.insert("additionalProperties".into(), false.into());
    }
    object
}

fn allow_null(property: &mut Map<String, Value>) {
    if let Some(kind) = property.remove("type") {
        property.insert("type".into(), json!([kind, "null"]));
    }
    if let Some(Value::Array(words)) = property.get_mut("enum") {
        words.push(Value::Null);
    }
    if let Some(Value::Array(variants)) = property.get_mut("oneOf") {
        variants.push(json!({ "type": "null" }));
    }
}
