//! Values of the parameters that rule packs leave open, and the form of such a value.

use schemars::{JsonSchema, Schema, SchemaGenerator, json_schema};
use serde::de::{self, Deserializer, SeqAccess, Visitor};
use serde::{Deserialize, Serialize, Serializer};
use std::borrow::Cow;
use std::fmt;

/// A value as it is written: a quantity or a word, a plain number, true or false, or a list of them.
#[derive(Clone, Debug, PartialEq)]
pub enum Scalar {
    /// A quantity with its unit, or a word.
    Text(String),
    /// A plain number.
    Number(f64),
    /// True or false.
    Flag(bool),
    /// Several of them.
    List(Vec<Scalar>),
}

impl fmt::Display for Scalar {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Scalar::Text(text) => f.write_str(text),
            Scalar::Number(number) => number.fmt(f),
            Scalar::Flag(flag) => flag.fmt(f),
            Scalar::List(values) => {
                let values: Vec<String> = values.iter().map(ToString::to_string).collect();
                f.write_str(&values.join(", "))
            }
        }
    }
}

impl Serialize for Scalar {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        match self {
            Scalar::Text(text) => serializer.serialize_str(text),
            Scalar::Number(number) => serializer.serialize_f64(*number),
            Scalar::Flag(flag) => serializer.serialize_bool(*flag),
            Scalar::List(values) => serializer.collect_seq(values),
        }
    }
}

impl<'de> Deserialize<'de> for Scalar {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Scalar, D::Error> {
        struct One;
        impl<'a> Visitor<'a> for One {
            type Value = Scalar;

            fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
                f.write_str("a quantity, a word, a number, true or false, or a list of them")
            }

            fn visit_str<E: de::Error>(self, text: &str) -> Result<Scalar, E> {
                Ok(Scalar::Text(text.to_owned()))
            }

            fn visit_seq<A: SeqAccess<'a>>(self, mut items: A) -> Result<Scalar, A::Error> {
                let mut values = Vec::new();
                while let Some(value) = items.next_element()? {
                    match value {
                        Scalar::List(_) => return Err(de::Error::custom("a list within a list")),
                        value => values.push(value),
                    }
                }
                Ok(Scalar::List(values))
            }

            fn visit_bool<E: de::Error>(self, flag: bool) -> Result<Scalar, E> {
                Ok(Scalar::Flag(flag))
            }

            fn visit_f64<E: de::Error>(self, number: f64) -> Result<Scalar, E> {
                Ok(Scalar::Number(number))
            }

            fn visit_i64<E: de::Error>(self, number: i64) -> Result<Scalar, E> {
                Ok(Scalar::Number(number as f64))
            }

            fn visit_u64<E: de::Error>(self, number: u64) -> Result<Scalar, E> {
                Ok(Scalar::Number(number as f64))
            }
        }
        deserializer.deserialize_any(One)
    }
}

impl JsonSchema for Scalar {
    fn schema_name() -> Cow<'static, str> {
        "Scalar".into()
    }

    fn json_schema(_: &mut SchemaGenerator) -> Schema {
        json_schema!({
            "description": "A quantity with its unit, a word, a plain number, true or false, or a list of them.",
            "type": ["string", "number", "boolean", "array"],
            "items": { "type": ["string", "number", "boolean"] }
        })
    }
}
