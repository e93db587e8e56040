//! JSON handed to serde as a home's author means it: a mapping is a mapping, and numbers are told from each other in
//! plain words.
//!
//! Serde's own reader also takes a list for a struct, by position, and names Rust's types in its messages.

use serde::de::value::{MapDeserializer, SeqDeserializer};
use serde::de::{Deserializer, Error as _, IntoDeserializer, Unexpected, Visitor};
use serde::forward_to_deserialize_any;
use serde_json::{Error, Value};
use std::cell::RefCell;

/// The steps that lead to the value being read. Those of an error's path are among the first of them.
pub type Trail = RefCell<Vec<String>>;

/// A value to be read.
#[derive(Clone, Copy, Debug)]
pub struct Strict<'de> {
    value: &'de Value,
    trail: &'de Trail,
    depth: usize,
}

impl<'de> IntoDeserializer<'de, Error> for Strict<'de> {
    type Deserializer = Self;

    fn into_deserializer(self) -> Self {
        self
    }
}

impl<'de> Strict<'de> {
    /// The whole of a tree. `trail` is filled while it is read.
    pub fn new(value: &'de Value, trail: &'de Trail) -> Strict<'de> {
        Strict { value, trail, depth: 0 }
    }

    /// A part of this value.
    fn part(self, step: impl Into<String>, value: &'de Value) -> Strict<'de> {
        let mut trail = self.trail.borrow_mut();
        trail.truncate(self.depth);
        trail.push(step.into());
        Strict { value, trail: self.trail, depth: self.depth + 1 }
    }

    /// The value when it is a whole number no greater than `most`, or what it is instead.
    fn whole(self, most: u64) -> Result<(), Error> {
        let Value::Number(number) = self.value else { return Ok(()) };
        let written = number.as_f64().unwrap_or(0.0);
        let shown = if number.is_f64() && written.abs() < 1e21 { format!("{written}") } else { number.to_string() };
        let wanted = match number.as_u64() {
            Some(whole) if whole <= most => return Ok(()),
            _ if written < 0.0 => "a whole number of zero or more".to_owned(),
            _ if written > most as f64 => format!("a whole number up to {most}"),
            _ => "a whole number".to_owned(),
        };
        Err(Error::custom(format!("{shown} stands here, expected {wanted}")))
    }
}

/// What a value is, in a person's words; a text only by its kind, as serde cites it itself.
fn called(value: &Value) -> String {
    match value {
        Value::Null => "nothing".to_owned(),
        Value::Bool(truth) => truth.to_string(),
        Value::Number(number) => number.to_string(),
        Value::String(text) => format!("the text \"{text}\""),
        Value::Array(_) => "a list".to_owned(),
        Value::Object(_) => "a mapping".to_owned(),
    }
}

impl<'de> Deserializer<'de> for Strict<'de> {
    type Error = Error;

    fn deserialize_any<V: Visitor<'de>>(self, visitor: V) -> Result<V::Value, Error> {
        match self.value {
            Value::Array(list) => {
                let items = list.iter().enumerate().map(|(index, value)| self.part(index.to_string(), value));
                visitor.visit_seq(SeqDeserializer::new(items))
            }
            Value::Object(map) => {
                let entries = map.iter().map(|(key, value)| (key.as_str(), self.part(key.as_str(), value)));
                visitor.visit_map(MapDeserializer::new(entries))
            }
            scalar => scalar.deserialize_any(visitor),
        }
    }

    fn deserialize_option<V: Visitor<'de>>(self, visitor: V) -> Result<V::Value, Error> {
        if self.value.is_null() { visitor.visit_none() } else { visitor.visit_some(self) }
    }

    fn deserialize_newtype_struct<V: Visitor<'de>>(self, _: &'static str, visitor: V) -> Result<V::Value, Error> {
        visitor.visit_newtype_struct(self)
    }

    fn deserialize_struct<V: Visitor<'de>>(
        self,
        _: &'static str,
        _: &'static [&'static str],
        visitor: V,
    ) -> Result<V::Value, Error> {
        match self.value {
            Value::Array(_) => Err(Error::invalid_type(Unexpected::Seq, &visitor)),
            _ => self.deserialize_any(visitor),
        }
    }

    fn deserialize_enum<V: Visitor<'de>>(
        self,
        _: &'static str,
        words: &'static [&'static str],
        visitor: V,
    ) -> Result<V::Value, Error> {
        match self.value {
            Value::String(word) => visitor.visit_enum(word.as_str().into_deserializer()),
            other => {
                let words = words.join(", ");
                Err(Error::custom(format!("{} stands here, expected one of: {words}", called(other))))
            }
        }
    }

    fn deserialize_u8<V: Visitor<'de>>(self, visitor: V) -> Result<V::Value, Error> {
        self.whole(u8::MAX.into())?;
        self.deserialize_any(visitor)
    }

    fn deserialize_u16<V: Visitor<'de>>(self, visitor: V) -> Result<V::Value, Error> {
        self.whole(u16::MAX.into())?;
        self.deserialize_any(visitor)
    }

    fn deserialize_u32<V: Visitor<'de>>(self, visitor: V) -> Result<V::Value, Error> {
        self.whole(u32::MAX.into())?;
        self.deserialize_any(visitor)
    }

    forward_to_deserialize_any! {
        bool i8 i16 i32 i64 i128 u64 u128 f32 f64 char str string bytes byte_buf unit unit_struct seq tuple
        tuple_struct map identifier ignored_any
    }
}
