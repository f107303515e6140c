//! Bytes to JSON values, and values in the form in which the program keeps them.
//!
//! Stricter than JSON asks: a key that stands twice in one object is a fault, and size, nesting and
//! number of values are bounded. Knows nothing of what the values mean.

use super::check::{push_step, quoted};
use super::shape::Shape;
use crate::fault::{Fault, Faults};
use crate::units::Angle;
use serde::Serialize;
use serde::de::{DeserializeSeed, Deserializer, Error as _, MapAccess, SeqAccess, Visitor};
use serde_json::{Map, Number, Value};
use std::fmt;

/// Most bytes of a file: 16 MB.
pub const MOST_BYTES: usize = 16 * 1024 * 1024;

/// Most values of a file. Every list at its own bound stays well below it.
const MOST_VALUES: usize = 2_000_000;

/// Typed data as a JSON value, by way of their text: the page so holds one way to write each of them, not
/// two. Null where they cannot be written, which plain data always can.
pub fn value_of<T: Serialize + ?Sized>(data: &T) -> Value {
    serde_json::to_string(data).ok().and_then(|text| serde_json::from_str(&text).ok()).unwrap_or_default()
}

/// Reads a JSON text; a byte-order mark before it is passed over.
///
/// Doubled keys are added to `faults` and reading goes on. Where the text is no JSON at all, the
/// fault says the line and column, and there is no value.
pub fn parse(bytes: &[u8], faults: &mut Faults) -> Option<Value> {
    if bytes.len() > MOST_BYTES {
        faults.add(Fault::new(
            "too_big",
            "",
            format!("The file has {} bytes; at most {MOST_BYTES} (16 MB) are read.", bytes.len()),
            "Thin the centreline or the contours, or pick the right file.",
        ));
        return None;
    }
    let bytes = bytes.strip_prefix(b"\xEF\xBB\xBF").unwrap_or(bytes);
    let text = match std::str::from_utf8(bytes) {
        Ok(text) => text,
        Err(error) => {
            let line = 1 + bytes[..error.valid_up_to()].iter().filter(|byte| **byte == b'\n').count();
            faults.add(Fault::new(
                "not_utf8",
                format!("line {line}"),
                "The file is not text in UTF-8.",
                "Save it again as UTF-8, or pick the right file.",
            ));
            return None;
        }
    };
    if text.trim().is_empty() {
        faults.add(Fault::new("empty_file", "", "The file is empty.", "Pick another file."));
        return None;
    }
    let mut reading = Reading { pointer: String::new(), values: 0, too_many: false, doubled: Faults::none() };
    let mut deserializer = serde_json::Deserializer::from_str(text);
    let result = Node(&mut reading).deserialize(&mut deserializer).and_then(|value| deserializer.end().map(|()| value));
    let too_many = reading.too_many;
    faults.extend(reading.doubled);
    match result {
        Ok(value) => Some(value),
        Err(_) if too_many => {
            faults.add(Fault::new(
                "too_many_values",
                "",
                format!("The file holds more than {MOST_VALUES} values."),
                "Thin the centreline or the contours, or pick the right file.",
            ));
            None
        }
        Err(error) => {
            faults.add(syntax_fault(text, &error));
            None
        }
    }
}

fn syntax_fault(text: &str, error: &serde_json::Error) -> Fault {
    let place = format!("line {} column {}", error.line(), error.column());
    let full = error.to_string();
    let what = full.rsplit_once(" at line ").map_or(full.as_str(), |(what, _)| what);
    let line = text.lines().nth(error.line().saturating_sub(1)).unwrap_or_default().as_bytes();
    let from = error.column().saturating_sub(12).min(line.len());
    let to = (error.column() + 8).min(line.len());
    let near = String::from_utf8_lossy(&line[from..to]).to_lowercase();
    if error.is_eof() {
        Fault::new("cut_off", place, "The file ends in the middle: it was cut off.", "Fetch or save the file again.")
    } else if what.contains("recursion limit") {
        Fault::new(
            "too_deep",
            place,
            "Brackets are nested more than 127 levels deep.",
            "Flatten what is nested, or pick the right file.",
        )
    } else if what.contains("out of range") {
        Fault::new("number_too_large", place, "A number is too large to be one.", "Correct its digits or its exponent.")
    } else if near.contains("nan") || near.contains("inf") {
        Fault::new("not_a_number", place, "A number is NaN or infinite.", "Write null for what is not known.")
    } else {
        Fault::new(
            "not_json",
            place,
            format!("The text is not JSON here: {what}."),
            "Correct it at this place, or pick the right file.",
        )
    }
}

/// What is carried along while a text is read.
struct Reading {
    pointer: String,
    values: usize,
    too_many: bool,
    doubled: Faults,
}

/// Reads one value. serde_json itself bounds the depth.
struct Node<'r>(&'r mut Reading);

impl<'de> DeserializeSeed<'de> for Node<'_> {
    type Value = Value;

    fn deserialize<D: Deserializer<'de>>(self, deserializer: D) -> Result<Value, D::Error> {
        self.0.values += 1;
        if self.0.values > MOST_VALUES {
            self.0.too_many = true;
            return Err(D::Error::custom("too many values"));
        }
        deserializer.deserialize_any(self)
    }
}

impl<'de> Visitor<'de> for Node<'_> {
    type Value = Value;

    fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str("a JSON value")
    }

    fn visit_unit<E>(self) -> Result<Value, E> {
        Ok(Value::Null)
    }

    fn visit_bool<E>(self, flag: bool) -> Result<Value, E> {
        Ok(Value::Bool(flag))
    }

    fn visit_i64<E>(self, number: i64) -> Result<Value, E> {
        Ok(Value::from(number))
    }

    fn visit_u64<E>(self, number: u64) -> Result<Value, E> {
        Ok(Value::from(number))
    }

    fn visit_f64<E: serde::de::Error>(self, number: f64) -> Result<Value, E> {
        Number::from_f64(number).map(Value::Number).ok_or_else(|| E::custom("number out of range"))
    }

    fn visit_str<E>(self, text: &str) -> Result<Value, E> {
        Ok(Value::from(text))
    }

    fn visit_string<E>(self, text: String) -> Result<Value, E> {
        Ok(Value::String(text))
    }

    fn visit_seq<A: SeqAccess<'de>>(self, mut items: A) -> Result<Value, A::Error> {
        let mut list = Vec::new();
        let length = self.0.pointer.len();
        loop {
            push_step(&mut self.0.pointer, &list.len().to_string());
            let item = items.next_element_seed(Node(self.0))?;
            self.0.pointer.truncate(length);
            match item {
                Some(item) => list.push(item),
                None => return Ok(Value::Array(list)),
            }
        }
    }

    fn visit_map<A: MapAccess<'de>>(self, mut entries: A) -> Result<Value, A::Error> {
        let mut map = Map::new();
        let length = self.0.pointer.len();
        while let Some(key) = entries.next_key::<String>()? {
            // A key of a megabyte, or many nested long ones, must not make pointers of a megabyte.
            push_step(&mut self.0.pointer, if key.len() <= 60 { &key } else { "…" });
            let value = entries.next_value_seed(Node(self.0))?;
            if map.contains_key(&key) {
                self.0.doubled.add(Fault::new(
                    "doubled_key",
                    self.0.pointer.clone(),
                    format!("The key {} stands twice in one object.", quoted(&key)),
                    "Keep one of the two.",
                ));
            }
            self.0.pointer.truncate(length);
            map.insert(key, value);
        }
        Ok(Value::Object(map))
    }
}

/// A checked value as the program keeps it: angles that come round lie in (−180, 180], and a whole
/// number is written without a point wherever the table leaves the kind open.
pub fn stored(value: &mut Value, shape: &Shape) {
    match (shape, value) {
        (Shape::Object(_) | Shape::Tagged(_), Value::Object(map)) => {
            let variant = match shape {
                Shape::Tagged(tagged) => {
                    map.get(tagged.tag.name).and_then(Value::as_str).and_then(|word| tagged.variant(word))
                }
                _ => None,
            };
            for (key, item) in map.iter_mut() {
                let own = variant.and_then(|variant| variant.fields.iter().find(|field| field.name == key));
                if let Some(field) = own.or_else(|| shape.fields().find(|field| field.name == key)) {
                    stored(item, &field.shape);
                }
            }
        }
        (Shape::List { of, .. }, Value::Array(items)) => items.iter_mut().for_each(|item| stored(item, of)),
        (Shape::Number(range), value @ Value::Number(_)) if range.comes_round => {
            if let Some(degrees) = value.as_f64()
                && (degrees <= -180.0 || degrees > 180.0)
            {
                // In degrees, so that whole degrees stay whole.
                *value = Value::from(wrapped_deg(degrees));
            }
        }
        (Shape::Whole { .. } | Shape::Notes | Shape::Patch, value) => plain_numbers(value),
        _ => {}
    }
}

/// The same direction in (−180°, 180°], without a detour through radians that would spoil digits.
fn wrapped_deg(degrees: f64) -> f64 {
    let turn = degrees.rem_euclid(2.0 * Angle::HALF_TURN.to_deg());
    if turn > Angle::HALF_TURN.to_deg() { turn - 2.0 * Angle::HALF_TURN.to_deg() } else { turn }
}

/// Makes 7.0 and 7 the same value wherever numbers stand in data of the user's own, so that what is
/// saved and opened equals itself.
pub(super) fn plain_numbers(value: &mut Value) {
    match value {
        Value::Number(number) => {
            if let Some(float) = number.as_f64().filter(|_| number.is_f64())
                && float.fract() == 0.0
                && float.abs() < 1e15
            {
                *value = Value::from(float as i64);
            }
        }
        Value::Array(items) => items.iter_mut().for_each(plain_numbers),
        Value::Object(map) => map.values_mut().for_each(plain_numbers),
        _ => {}
    }
}
