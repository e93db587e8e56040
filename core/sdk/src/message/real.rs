//! Numbers in JSON, which knows only finite ones.

use schemars::{JsonSchema, Schema, SchemaGenerator, json_schema};
use serde::de::{Deserializer, Error, Visitor};
use serde::{Deserialize, Serialize, Serializer};
use std::borrow::Cow;
use std::fmt;

/// A number that keeps every bit. One that is not finite is written as `"infinite"` or `"-infinite"`, and none at all,
/// such as zero over zero, as null; null breaks a curve and leaves a cell empty.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Real(pub f64);

/// As it is written in JSON.
const INFINITE: &str = "infinite";
/// The same below zero.
const BELOW_ALL: &str = "-infinite";

impl Serialize for Real {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        match self.0 {
            number if number.is_finite() => serializer.serialize_f64(number),
            f64::INFINITY => serializer.serialize_str(INFINITE),
            f64::NEG_INFINITY => serializer.serialize_str(BELOW_ALL),
            _ => serializer.serialize_unit(),
        }
    }
}

impl<'de> Deserialize<'de> for Real {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Real, D::Error> {
        struct Any;
        impl Visitor<'_> for Any {
            type Value = Real;

            fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
                write!(f, "a number, null, \"{INFINITE}\" or \"{BELOW_ALL}\"")
            }

            fn visit_f64<E: Error>(self, number: f64) -> Result<Real, E> {
                Ok(Real(number))
            }

            fn visit_i64<E: Error>(self, number: i64) -> Result<Real, E> {
                Ok(Real(number as f64))
            }

            fn visit_u64<E: Error>(self, number: u64) -> Result<Real, E> {
                Ok(Real(number as f64))
            }

            fn visit_unit<E: Error>(self) -> Result<Real, E> {
                Ok(Real(f64::NAN))
            }

            fn visit_str<E: Error>(self, text: &str) -> Result<Real, E> {
                match text {
                    INFINITE => Ok(Real(f64::INFINITY)),
                    BELOW_ALL => Ok(Real(f64::NEG_INFINITY)),
                    _ => Err(E::invalid_value(serde::de::Unexpected::Str(text), &self)),
                }
            }
        }
        deserializer.deserialize_any(Any)
    }
}

impl JsonSchema for Real {
    fn schema_name() -> Cow<'static, str> {
        "Real".into()
    }

    fn json_schema(_: &mut SchemaGenerator) -> Schema {
        json_schema!({
            "description": "A number; one that is not finite as a word, and none at all as null.",
            "anyOf": [{ "type": ["number", "null"] }, { "enum": [INFINITE, BELOW_ALL] }]
        })
    }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used, clippy::panic, reason = "a test may stop here")]
    use super::*;

    #[test]
    fn every_number_comes_back_as_it_went() {
        for number in [0.1 + 0.2, -0.0, f64::MAX, f64::MIN_POSITIVE, 5e-324, f64::INFINITY, f64::NEG_INFINITY] {
            let text = serde_json::to_string(&Real(number)).unwrap();
            let back: Real = serde_json::from_str(&text).unwrap();
            assert_eq!(back.0.to_bits(), number.to_bits(), "{text}");
        }
        assert_eq!(serde_json::to_string(&Real(f64::NAN)).unwrap(), "null");
        assert!(serde_json::from_str::<Real>("null").unwrap().0.is_nan());
    }

    #[test]
    fn other_words_are_no_numbers() {
        assert!(serde_json::from_str::<Real>("\"seven\"").is_err());
        assert_eq!(serde_json::from_str::<Real>("7").unwrap(), Real(7.0));
    }
}
