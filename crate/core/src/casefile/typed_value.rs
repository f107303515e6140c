//! A checked JSON value as typed data.
//!
//! What serde_json does by itself, but an object alone becomes a struct and a number alone a number: the
//! other forms that serde would read are refused when a file is checked, and code for them would be a
//! thirtieth of the page. A value that was checked therefore always fits; the error is for mistakes in the
//! program.

use serde::Deserializer;
use serde::de::value::{Error, MapDeserializer, SeqDeserializer};
use serde::de::{DeserializeOwned, Error as _, IntoDeserializer, Visitor};
use serde_json::{Map, Value};

/// Typed data from a value that was checked.
///
/// # Errors
/// Where it is of another shape all the same.
pub fn typed<T: DeserializeOwned>(value: Value) -> Result<T, Error> {
    T::deserialize(Checked(value))
}

struct Checked(Value);

fn unfit<T>(wanted: &str) -> Result<T, Error> {
    Err(Error::custom(wanted))
}

fn list(values: Vec<Value>) -> SeqDeserializer<impl Iterator<Item = Checked>, Error> {
    SeqDeserializer::new(values.into_iter().map(Checked))
}

fn object<'de>(keys: Map<String, Value>) -> MapDeserializer<'de, impl Iterator<Item = (String, Checked)>, Error> {
    MapDeserializer::new(keys.into_iter().map(|(key, value)| (key, Checked(value))))
}

impl IntoDeserializer<'_, Error> for Checked {
    type Deserializer = Self;

    fn into_deserializer(self) -> Self {
        self
    }
}

/// One way to read a number, as the visitor wants it.
macro_rules! numbers {
    ($($method:ident $read:ident $visit:ident;)*) => {$(
        fn $method<V: Visitor<'de>>(self, visitor: V) -> Result<V::Value, Error> {
            match self.0.$read() {
                Some(number) => visitor.$visit(number),
                None => unfit("a number"),
            }
        }
    )*};
}

impl<'de> Deserializer<'de> for Checked {
    type Error = Error;

    numbers! {
        deserialize_f64 as_f64 visit_f64;
        deserialize_f32 as_f64 visit_f64;
        deserialize_u8 as_u64 visit_u64;
        deserialize_u16 as_u64 visit_u64;
        deserialize_u32 as_u64 visit_u64;
        deserialize_u64 as_u64 visit_u64;
        deserialize_i8 as_i64 visit_i64;
        deserialize_i16 as_i64 visit_i64;
        deserialize_i32 as_i64 visit_i64;
        deserialize_i64 as_i64 visit_i64;
        deserialize_bool as_bool visit_bool;
    }

    fn deserialize_any<V: Visitor<'de>>(self, visitor: V) -> Result<V::Value, Error> {
        match self.0 {
            Value::Null => visitor.visit_unit(),
            Value::Bool(flag) => visitor.visit_bool(flag),
            Value::Number(number) => match (number.as_u64(), number.as_i64()) {
                (Some(whole), _) => visitor.visit_u64(whole),
                (_, Some(whole)) => visitor.visit_i64(whole),
                _ => visitor.visit_f64(number.as_f64().unwrap_or(f64::NAN)),
            },
            Value::String(text) => visitor.visit_string(text),
            Value::Array(values) => visitor.visit_seq(list(values)),
            Value::Object(keys) => visitor.visit_map(object(keys)),
        }
    }

    fn deserialize_string<V: Visitor<'de>>(self, visitor: V) -> Result<V::Value, Error> {
        match self.0 {
            Value::String(text) => visitor.visit_string(text),
            _ => unfit("a text"),
        }
    }

    fn deserialize_str<V: Visitor<'de>>(self, visitor: V) -> Result<V::Value, Error> {
        self.deserialize_string(visitor)
    }

    fn deserialize_identifier<V: Visitor<'de>>(self, visitor: V) -> Result<V::Value, Error> {
        self.deserialize_string(visitor)
    }

    fn deserialize_option<V: Visitor<'de>>(self, visitor: V) -> Result<V::Value, Error> {
        match self.0 {
            Value::Null => visitor.visit_none(),
            _ => visitor.visit_some(self),
        }
    }

    fn deserialize_newtype_struct<V: Visitor<'de>>(self, _: &'static str, visitor: V) -> Result<V::Value, Error> {
        visitor.visit_newtype_struct(self)
    }

    fn deserialize_seq<V: Visitor<'de>>(self, visitor: V) -> Result<V::Value, Error> {
        match self.0 {
            Value::Array(values) => visitor.visit_seq(list(values)),
            _ => unfit("a list"),
        }
    }

    fn deserialize_tuple<V: Visitor<'de>>(self, _: usize, visitor: V) -> Result<V::Value, Error> {
        self.deserialize_seq(visitor)
    }

    fn deserialize_map<V: Visitor<'de>>(self, visitor: V) -> Result<V::Value, Error> {
        match self.0 {
            Value::Object(keys) => visitor.visit_map(object(keys)),
            _ => unfit("an object"),
        }
    }

    fn deserialize_struct<V: Visitor<'de>>(
        self,
        _: &'static str,
        _: &'static [&'static str],
        visitor: V,
    ) -> Result<V::Value, Error> {
        self.deserialize_map(visitor)
    }

    fn deserialize_enum<V: Visitor<'de>>(
        self,
        _: &'static str,
        _: &'static [&'static str],
        visitor: V,
    ) -> Result<V::Value, Error> {
        match self.0 {
            Value::String(word) => visitor.visit_enum(word.into_deserializer()),
            _ => unfit("a word"),
        }
    }

    fn deserialize_ignored_any<V: Visitor<'de>>(self, visitor: V) -> Result<V::Value, Error> {
        visitor.visit_unit()
    }

    serde::forward_to_deserialize_any! {
        i128 u128 char bytes byte_buf unit unit_struct tuple_struct
    }
}

#[cfg(test)]
mod tests {
    use super::typed;
    use crate::casefile::case::{Case, Graft};
    use serde_json::{Value, json};

    /// The same as by serde_json's own way, for every demo and for the case that has every key.
    #[test]
    fn reads_what_serde_json_reads() {
        for text in [
            include_str!("../../../../tests/reference/every-key.case.json"),
            include_str!("../../../../demo-data/dissection.json"),
            include_str!("../../../../demo-data/steep-arch.json"),
        ] {
            let mut value: Value = serde_json::from_str(text).unwrap();
            for head in ["format", "version"] {
                value.as_object_mut().unwrap().remove(head);
            }
            let expected = serde_json::from_value::<Case>(value.clone()).map_err(|fault| fault.to_string());
            let got = typed::<Case>(value).map_err(|fault| fault.to_string());
            assert_eq!(got, expected);
        }
    }

    // Free notes and the changes of alternatives hold values of any kind, whole negative numbers among them.
    #[test]
    fn values_of_any_kind_stay_what_they_are() {
        let value = json!({"a": [-30, 7, 1.5, -0.25, null, true, "b", {"c": []}]});
        assert_eq!(typed::<Value>(value.clone()).ok(), Some(value));
    }

    #[test]
    fn what_does_not_fit_is_an_error() {
        for value in [json!(1), json!([1, 2]), json!({"length_mm": "long"}), json!(null)] {
            assert!(typed::<Graft>(value.clone()).is_err(), "{value}");
        }
    }
}
