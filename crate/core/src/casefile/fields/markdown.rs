//! The field table as documentation.

use crate::casefile::shape::{Field, Shape, Word};
use std::fmt::Write;

/// Every field of a shape as Markdown, one line a field, under a heading.
pub fn markdown(title: &str, shape: &Shape) -> String {
    let mut out = format!("# {title}\n\n| field | what it is | value | needed |\n| --- | --- | --- | --- |\n");
    rows(&mut out, shape, "");
    out
}

fn rows(out: &mut String, shape: &Shape, path: &str) {
    for (field, kinds) in fields_with_kinds(shape) {
        let path = format!("{path}/{}", field.name);
        let needed = match (field.required, field.nullable) {
            (true, _) => "yes",
            (false, true) => "may be null",
            (false, false) => "no",
        };
        let kinds = if kinds.is_empty() { String::new() } else { format!(" (kind {})", kinds.join(", ")) };
        // Writing into a String cannot fail.
        let _ = writeln!(
            out,
            "| `{path}` | **{}**{kinds}. {} | {} | {needed} |",
            field.label,
            field.help,
            value_words(&field.shape)
        );
        match &field.shape {
            Shape::List { of, .. } => rows(out, of, &format!("{path}/*")),
            shape => rows(out, shape, &path),
        }
    }
}

/// The fields of an object, each with the kinds it is bound to, if it is.
fn fields_with_kinds(shape: &Shape) -> Vec<(&'static Field, &'static [&'static str])> {
    match shape {
        Shape::Object(fields) => fields.iter().map(|field| (field, &[] as &[&str])).collect(),
        Shape::Tagged(tagged) => tagged
            .common
            .iter()
            .chain([&tagged.tag])
            .map(|field| (field, &[] as &[&str]))
            .chain(tagged.variants.iter().flat_map(|v| v.fields.iter().map(move |field| (field, v.words))))
            .collect(),
        _ => Vec::new(),
    }
}

fn value_words(shape: &Shape) -> String {
    match shape {
        Shape::Object(_) | Shape::Tagged(_) => "object".into(),
        Shape::List { of, at_least, at_most } if at_least == at_most => {
            format!("list of {at_most}: {}", value_words(of))
        }
        Shape::List { of, at_least: 0, at_most } => format!("list of at most {at_most}: {}", value_words(of)),
        Shape::List { of, at_least, at_most } => {
            format!("list of {at_least} to {at_most}: {}", value_words(of))
        }
        Shape::Number(range) => range.words(),
        Shape::Whole { least, most } if least == most => format!("{least}"),
        Shape::Whole { least, most } => format!("whole number, {least} to {most}"),
        Shape::Text { most_chars } => format!("text, at most {most_chars} characters"),
        Shape::Id => "id".into(),
        Shape::Date => "day, YYYY-MM-DD".into(),
        Shape::Choice(words) => word_list(words),
        Shape::Suggested(words) => format!("text, such as {}", word_list(words)),
        Shape::Flag => "true or false".into(),
        Shape::Notes => "object with any keys".into(),
        Shape::Patch => "JSON merge patch".into(),
    }
}

fn word_list(words: &[Word]) -> String {
    words.iter().map(|word| format!("`{}`", word.word)).collect::<Vec<_>>().join(", ")
}
