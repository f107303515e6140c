//! Holds a JSON value against a shape and lists everything that does not fit.
//!
//! Knows nothing of cases: what one part of a file asks of another is in [`super::consistency`].

use super::shape::{Field, Shape, Tagged, Word, is_date, is_id, with_unit};
use crate::fault::{Fault, Faults, MOST_FAULTS};
use serde_json::{Map, Value};

/// How deep notes and patches may be nested.
pub const MOST_DEPTH: usize = 32;

/// Most characters of a suggested word, or another in its place.
pub const MOST_WORD_CHARS: usize = 60;

/// Everything in which `value` differs from `shape`, each with its JSON pointer.
pub fn check(value: &Value, shape: &Shape) -> Faults {
    checked(value, shape, false)
}

/// As [`check`], for files in which later versions may have more keys.
pub fn check_with_more_keys(value: &Value, shape: &Shape) -> Faults {
    checked(value, shape, true)
}

fn checked(value: &Value, shape: &Shape, more_keys: bool) -> Faults {
    let mut checker = Checker { pointer: String::new(), faults: Faults::none(), more_keys };
    checker.value(value, shape, "The file");
    checker.faults
}

struct Checker {
    pointer: String,
    faults: Faults,
    more_keys: bool,
}

impl Checker {
    fn fault(&mut self, code: &str, text: impl FnOnce() -> String, mend: impl FnOnce() -> String) {
        if self.faults.faults.len() >= MOST_FAULTS {
            // Only counted from here on: no sentences are made for a million wrong numbers.
            self.faults.add(Fault::new("", "", "", ""));
        } else {
            self.faults.add(Fault::new(code, self.pointer.clone(), text(), mend()));
        }
    }

    fn inside(&mut self, step: &str, look: impl FnOnce(&mut Self)) {
        let length = self.pointer.len();
        push_step(&mut self.pointer, step);
        look(self);
        self.pointer.truncate(length);
    }

    fn value(&mut self, value: &Value, shape: &Shape, label: &str) {
        match shape {
            Shape::Object(fields) => {
                if let Some(object) = self.object(value, label) {
                    self.keys(object, &[fields], None, label);
                }
            }
            Shape::Tagged(tagged) => {
                if let Some(object) = self.object(value, label) {
                    self.tagged(object, tagged, label);
                }
            }
            Shape::List { of, at_least, at_most } => self.list(value, of, *at_least, *at_most, label),
            Shape::Number(range) => match value.as_f64() {
                None => self.kind("not_a_number", value, "a number", label),
                Some(number) if !range.holds(number) => self.fault(
                    "out_of_range",
                    || {
                        let shown = with_unit(&digits(number), range.unit);
                        format!("{label} is {shown}; {} lies within {}.", range.name, range.words())
                    },
                    || "Check the digits, the sign and the unit.".into(),
                ),
                Some(_) => {}
            },
            Shape::Whole { least, most } => match value.as_f64() {
                None => self.kind("not_a_number", value, "a whole number", label),
                Some(number) if number.fract() != 0.0 => self.fault(
                    "not_a_whole_number",
                    || format!("{label} is {}; it must be a whole number.", digits(number)),
                    || format!("Write a whole number from {least} to {most}."),
                ),
                Some(number) if number < *least as f64 || number > *most as f64 => self.fault(
                    "out_of_range",
                    || format!("{label} is {}; it lies within {least} to {most}.", digits(number)),
                    || format!("Write a whole number from {least} to {most}."),
                ),
                Some(_) => {}
            },
            Shape::Text { most_chars } => self.text(value, *most_chars, label),
            Shape::Suggested(_) => self.text(value, MOST_WORD_CHARS, label),
            Shape::Id => match value.as_str() {
                None => self.kind("not_text", value, "an id", label),
                Some(id) if !is_id(id) => self.fault(
                    "bad_id",
                    || format!("{label} is {}, which cannot serve as an id.", quoted(id)),
                    || "Use 1 to 40 letters without accents, digits, _ and -.".into(),
                ),
                Some(_) => {}
            },
            Shape::Date => match value.as_str() {
                None => self.kind("not_text", value, "a day", label),
                Some(day) if !is_date(day) => self.fault(
                    "not_a_date",
                    || format!("{label} is {}, which is not a day of the calendar.", quoted(day)),
                    || "Write year, month and day as in 2026-03-31.".into(),
                ),
                Some(_) => {}
            },
            Shape::Choice(words) => self.choice(value, words, label),
            Shape::Flag => {
                if !value.is_boolean() {
                    self.kind("not_a_flag", value, "true or false", label);
                }
            }
            Shape::Notes | Shape::Patch => {
                if self.object(value, label).is_some() && !no_deeper_than(value, MOST_DEPTH) {
                    self.fault(
                        "too_deep",
                        || format!("{label} are nested more than {MOST_DEPTH} levels deep."),
                        || "Flatten what is nested.".into(),
                    );
                }
            }
        }
    }

    fn object<'v>(&mut self, value: &'v Value, label: &str) -> Option<&'v Map<String, Value>> {
        if !value.is_object() {
            self.kind("not_an_object", value, "an object in braces { }", label);
        }
        value.as_object()
    }

    fn tagged(&mut self, object: &Map<String, Value>, tagged: &'static Tagged, label: &str) {
        let tag = std::slice::from_ref(&tagged.tag);
        match object.get(tagged.tag.name).and_then(Value::as_str).and_then(|word| tagged.variant(word)) {
            Some(variant) => self.keys(object, &[tagged.common, tag, variant.fields], Some(tagged), label),
            // Without its deciding word only the common part can be judged.
            None => {
                for field in tagged.common.iter().chain(tag) {
                    self.field(object, field, label);
                }
            }
        }
    }

    /// Every known key of an object, then the keys nobody knows.
    fn keys(&mut self, object: &Map<String, Value>, known: &[&[Field]], tagged: Option<&Tagged>, label: &str) {
        let known = || known.iter().flat_map(|fields| fields.iter());
        for field in known() {
            self.field(object, field, label);
        }
        for key in object.keys() {
            if self.more_keys || known().any(|field| field.name == key) {
                continue;
            }
            let look = |checker: &mut Self| {
                checker.fault(
                    "unknown_key",
                    || match tagged.and_then(|tagged| other_variant(tagged, key)) {
                        Some(word) => {
                            format!("{label} has the key \"{key}\", which belongs to the kind \"{word}\".")
                        }
                        None => format!("{label} has the key {}, which is not known.", quoted(key)),
                    },
                    || match nearest(key, known().map(|field| field.name)) {
                        Some(name) => {
                            format!("Did you mean \"{name}\"? Remarks of your own belong under \"notes\".")
                        }
                        None => "Remove it; remarks of your own belong under \"notes\".".into(),
                    },
                );
            };
            // A key of a megabyte would make a pointer of a megabyte.
            if key.len() <= 60 { self.inside(key, look) } else { look(self) }
        }
    }

    fn field(&mut self, object: &Map<String, Value>, field: &Field, owner: &str) {
        match object.get(field.name) {
            None if field.required => self.fault(
                "missing",
                || format!("{owner} has no \"{}\" ({}).", field.name, field.label),
                || format!("Add \"{}\". {}", field.name, field.help),
            ),
            None => {}
            Some(Value::Null) if field.nullable => {}
            Some(Value::Null) => self.inside(field.name, |checker| {
                checker.fault(
                    "must_be_known",
                    || format!("{} is null, but it cannot be left unknown.", field.label),
                    || {
                        if field.required {
                            format!("Give its value. {}", field.help)
                        } else {
                            "Give its value, or leave the key out.".into()
                        }
                    },
                );
            }),
            Some(value) => self.inside(field.name, |checker| checker.value(value, &field.shape, field.label)),
        }
    }

    fn list(&mut self, value: &Value, of: &Shape, at_least: usize, at_most: usize, label: &str) {
        let Some(items) = value.as_array() else {
            return self.kind("not_a_list", value, "a list in brackets [ ]", label);
        };
        let count = items.len();
        if at_least == at_most && count != at_least {
            self.fault(
                "wrong_count",
                || format!("{label} has {count} items; it must have {at_least}."),
                || format!("Give exactly {at_least}."),
            );
        } else if count < at_least {
            self.fault(
                "too_few",
                || format!("{label} has {count} items; it needs at least {at_least}."),
                || format!("Give at least {at_least}."),
            );
        } else if count > at_most {
            self.fault(
                "too_many",
                || format!("{label} has {count} items; at most {at_most} are read."),
                || format!("Leave out what is not needed, down to {at_most}."),
            );
        }
        for (index, item) in items.iter().take(at_most).enumerate() {
            self.inside(&index.to_string(), |checker| checker.value(item, of, label));
        }
    }

    fn text(&mut self, value: &Value, most_chars: usize, label: &str) {
        let Some(text) = value.as_str() else {
            return self.kind("not_text", value, "text in quotation marks", label);
        };
        let count = text.chars().count();
        if count > most_chars {
            self.fault(
                "too_long",
                || format!("{label} has {count} characters; at most {most_chars} are kept."),
                || "Shorten it; longer remarks belong under \"notes\".".into(),
            );
        }
    }

    fn choice(&mut self, value: &Value, words: &'static [Word], label: &str) {
        let Some(given) = value.as_str() else {
            return self.kind("not_text", value, "a word in quotation marks", label);
        };
        if words.iter().any(|word| word.word == given) {
            return;
        }
        self.fault(
            "unknown_word",
            || format!("{label} is {}, which is not one of its words.", quoted(given)),
            || {
                let near = nearest(given, words.iter().map(|word| word.word))
                    .map(|word| format!("Did you mean \"{word}\"? "))
                    .unwrap_or_default();
                let list: Vec<&str> = words.iter().map(|word| word.word).collect();
                format!("{near}The words are: {}.", list.join(", "))
            },
        );
    }

    /// A value of the wrong kind.
    fn kind(&mut self, code: &str, value: &Value, wanted: &str, label: &str) {
        self.fault(
            code,
            || format!("{label} is {}; it must be {wanted}.", described(value)),
            || match value {
                Value::String(text)
                    if code == "not_a_number" && text.trim().parse::<f64>().is_ok_and(f64::is_finite) =>
                {
                    format!("Write {} without quotation marks.", text.trim())
                }
                Value::String(text) if code == "not_a_number" && text.contains(',') => {
                    "Write the number with a decimal point and without quotation marks.".into()
                }
                _ => format!("Write {wanted}."),
            },
        );
    }
}

/// Appends a step to a JSON pointer, escaped as RFC 6901 asks.
pub(super) fn push_step(pointer: &mut String, step: &str) {
    pointer.push('/');
    pointer.push_str(&step.replace('~', "~0").replace('/', "~1"));
}

/// The first word of another variant that knows this key.
fn other_variant(tagged: &Tagged, key: &str) -> Option<&'static str> {
    let variant = tagged.variants.iter().find(|variant| variant.fields.iter().any(|field| field.name == key))?;
    variant.words.first().copied()
}

/// The known name that a misspelt one most likely meant.
fn nearest(given: &str, known: impl Iterator<Item = &'static str>) -> Option<&'static str> {
    if given.len() > 60 {
        return None;
    }
    let given = given.to_lowercase();
    known
        .map(|name| (strsim::osa_distance(&given, name), name))
        .filter(|(distance, name)| *distance <= name.len().max(3) / 3)
        .min_by_key(|(distance, _)| *distance)
        .map(|(_, name)| name)
}

/// A text in quotation marks, cut where it is long.
pub(super) fn quoted(text: &str) -> String {
    let mut shown: String = text.chars().take(40).map(|c| if c.is_control() { ' ' } else { c }).collect();
    if text.chars().nth(40).is_some() {
        shown.push('…');
    }
    format!("\"{shown}\"")
}

/// A number's digits, with an exponent where they would not end.
fn digits(number: f64) -> String {
    if number != 0.0 && !(1e-6..1e9).contains(&number.abs()) { format!("{number:e}") } else { number.to_string() }
}

fn described(value: &Value) -> String {
    match value {
        Value::Null => "null".into(),
        Value::Bool(flag) => flag.to_string(),
        Value::Number(number) => format!("the number {number}"),
        Value::String(text) => format!("the text {}", quoted(text)),
        Value::Array(items) => format!("a list of {}", items.len()),
        Value::Object(_) => "an object".into(),
    }
}

/// Whether a value is nested at most so deep; looks no deeper than that.
fn no_deeper_than(value: &Value, levels: usize) -> bool {
    match value {
        Value::Array(items) => levels > 0 && items.iter().all(|item| no_deeper_than(item, levels - 1)),
        Value::Object(map) => levels > 0 && map.values().all(|item| no_deeper_than(item, levels - 1)),
        _ => true,
    }
}
