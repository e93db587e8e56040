//! JSON read as its author means it: a mapping is a mapping, numbers are told from each other in plain words, and what
//! cannot be read says where it stands.
//!
//! Serde's own reader also takes a list for a struct, by position, and names Rust's types in its messages.

use serde::de::value::StrDeserializer;
use serde::de::{
    self, DeserializeOwned, DeserializeSeed, Deserializer, Error as _, IntoDeserializer, MapAccess, SeqAccess, Visitor,
};
use serde::forward_to_deserialize_any;
use serde_json::{Number, Value, map};
use std::fmt;
use std::iter::Enumerate;
use std::slice;

/// Why JSON cannot be read.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Misread {
    /// The steps to the value, from the innermost.
    steps: Vec<String>,
    message: String,
}

impl Misread {
    /// The steps from the root to the value that cannot be read, or to the key: names of keys, and numbers of items
    /// from 0.
    pub fn path(&self) -> Vec<String> {
        self.steps.iter().rev().cloned().collect()
    }

    /// What is wrong with it.
    pub fn message(&self) -> &str {
        &self.message
    }

    fn within(mut self, step: impl ToString) -> Misread {
        self.steps.push(step.to_string());
        self
    }
}

impl fmt::Display for Misread {
    /// `modules.A.level: 1.5 stands here, expected a whole number`
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        if !self.steps.is_empty() {
            write!(f, "{}: ", self.path().join("."))?;
        }
        f.write_str(&self.message)
    }
}

impl std::error::Error for Misread {}

impl de::Error for Misread {
    fn custom<T: fmt::Display>(message: T) -> Misread {
        Misread { steps: Vec::new(), message: message.to_string() }
    }
}

/// Reads JSON as `T`.
///
/// # Errors
/// The first thing that cannot be read.
pub fn read<T: DeserializeOwned>(json: &Value) -> Result<T, Misread> {
    T::deserialize(Reader(json))
}

/// A value to be read.
#[derive(Clone, Copy, Debug)]
struct Reader<'de>(&'de Value);

impl Reader<'_> {
    /// Nothing, or why the value is not a whole number up to `most`. Another kind of value is left to its visitor.
    fn whole(self, most: u64) -> Result<(), Misread> {
        let Value::Number(number) = self.0 else { return Ok(()) };
        let written = number.as_f64().unwrap_or(0.0);
        let shown = if number.is_f64() && written.abs() < 1e21 { format!("{written}") } else { number.to_string() };
        let wanted = match number.as_u64() {
            Some(whole) if whole <= most => return Ok(()),
            _ if written < 0.0 => "a whole number of zero or more".to_owned(),
            _ if written > most as f64 => format!("a whole number up to {most}"),
            _ => "a whole number".to_owned(),
        };
        Err(Misread::custom(format!("{shown} stands here, expected {wanted}")))
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

/// Keys of a mapping that are named where something else stands.
const MOST_KEYS: usize = 4;

/// `, such as {x: …, y: …}`; nothing where there are no keys.
fn some_of(keys: &[&str]) -> String {
    let shown: Vec<String> = keys.iter().take(MOST_KEYS).map(|key| format!("{key}: …")).collect();
    let more = if keys.len() > MOST_KEYS { ", …" } else { "" };
    if shown.is_empty() { String::new() } else { format!(", such as {{{}{more}}}", shown.join(", ")) }
}

/// `MonthlyClimate` as `a mapping for monthly climate`.
fn mapping_for(name: &str) -> String {
    let mut words = String::from("a mapping for");
    for c in name.chars() {
        if c.is_uppercase() {
            words.push(' ');
        }
        words.extend(c.to_lowercase());
    }
    words
}

fn visit_number<'de, V: Visitor<'de>>(number: &Number, visitor: V) -> Result<V::Value, Misread> {
    match (number.as_u64(), number.as_i64()) {
        (Some(whole), _) => visitor.visit_u64(whole),
        (None, Some(whole)) => visitor.visit_i64(whole),
        (None, None) => visitor.visit_f64(number.as_f64().unwrap_or(f64::NAN)),
    }
}

impl<'de> Deserializer<'de> for Reader<'de> {
    type Error = Misread;

    fn deserialize_any<V: Visitor<'de>>(self, visitor: V) -> Result<V::Value, Misread> {
        match self.0 {
            Value::Null => visitor.visit_unit(),
            Value::Bool(truth) => visitor.visit_bool(*truth),
            Value::Number(number) => visit_number(number, visitor),
            Value::String(text) => visitor.visit_borrowed_str(text),
            Value::Array(list) => visitor.visit_seq(Items(list.iter().enumerate())),
            Value::Object(map) => visitor.visit_map(Entries { entries: map.iter(), entry: None }),
        }
    }

    fn deserialize_option<V: Visitor<'de>>(self, visitor: V) -> Result<V::Value, Misread> {
        if self.0.is_null() { visitor.visit_none() } else { visitor.visit_some(self) }
    }

    fn deserialize_newtype_struct<V: Visitor<'de>>(self, _: &'static str, visitor: V) -> Result<V::Value, Misread> {
        visitor.visit_newtype_struct(self)
    }

    fn deserialize_struct<V: Visitor<'de>>(
        self,
        name: &'static str,
        keys: &'static [&'static str],
        visitor: V,
    ) -> Result<V::Value, Misread> {
        match self.0 {
            Value::Object(_) => self.deserialize_any(visitor),
            other => {
                let keys = some_of(keys);
                Err(Misread::custom(format!("{} stands here, expected {}{keys}", called(other), mapping_for(name))))
            }
        }
    }

    fn deserialize_enum<V: Visitor<'de>>(
        self,
        _: &'static str,
        words: &'static [&'static str],
        visitor: V,
    ) -> Result<V::Value, Misread> {
        match self.0 {
            Value::String(word) => visitor.visit_enum(word.as_str().into_deserializer()),
            other => {
                let words = words.join(", ");
                Err(Misread::custom(format!("{} stands here, expected one of: {words}", called(other))))
            }
        }
    }

    fn deserialize_u8<V: Visitor<'de>>(self, visitor: V) -> Result<V::Value, Misread> {
        self.whole(u8::MAX.into())?;
        self.deserialize_any(visitor)
    }

    fn deserialize_u16<V: Visitor<'de>>(self, visitor: V) -> Result<V::Value, Misread> {
        self.whole(u16::MAX.into())?;
        self.deserialize_any(visitor)
    }

    fn deserialize_u32<V: Visitor<'de>>(self, visitor: V) -> Result<V::Value, Misread> {
        self.whole(u32::MAX.into())?;
        self.deserialize_any(visitor)
    }

    forward_to_deserialize_any! {
        bool i8 i16 i32 i64 i128 u64 u128 f32 f64 char str string bytes byte_buf unit unit_struct seq tuple
        tuple_struct map identifier ignored_any
    }
}

/// The items of a list that are still to be read.
struct Items<'de>(Enumerate<slice::Iter<'de, Value>>);

impl<'de> SeqAccess<'de> for Items<'de> {
    type Error = Misread;

    fn next_element_seed<S: DeserializeSeed<'de>>(&mut self, seed: S) -> Result<Option<S::Value>, Misread> {
        let Some((index, item)) = self.0.next() else { return Ok(None) };
        match seed.deserialize(Reader(item)) {
            Ok(value) => Ok(Some(value)),
            Err(error) => Err(error.within(index)),
        }
    }

    fn size_hint(&self) -> Option<usize> {
        Some(self.0.len())
    }
}

/// The entries of a mapping that are still to be read.
struct Entries<'de> {
    entries: map::Iter<'de>,
    /// The entry whose key was read last.
    entry: Option<(&'de str, &'de Value)>,
}

impl<'de> MapAccess<'de> for Entries<'de> {
    type Error = Misread;

    fn next_key_seed<S: DeserializeSeed<'de>>(&mut self, seed: S) -> Result<Option<S::Value>, Misread> {
        let Some((key, value)) = self.entries.next() else { return Ok(None) };
        self.entry = Some((key, value));
        match seed.deserialize(StrDeserializer::<Misread>::new(key)) {
            Ok(key) => Ok(Some(key)),
            Err(error) => Err(error.within(key)),
        }
    }

    fn next_value_seed<S: DeserializeSeed<'de>>(&mut self, seed: S) -> Result<S::Value, Misread> {
        let Some((key, value)) = self.entry else { return Err(Misread::custom("a value was read before its key")) };
        match seed.deserialize(Reader(value)) {
            Ok(value) => Ok(value),
            Err(error) => Err(error.within(key)),
        }
    }

    fn size_hint(&self) -> Option<usize> {
        Some(self.entries.len())
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use serde::Deserialize;
    use serde_json::json;
    use std::collections::BTreeMap;

    #[derive(Debug, PartialEq, Deserialize)]
    #[serde(deny_unknown_fields)]
    struct Shelf {
        boards: BTreeMap<Wood, Vec<u8>>,
        #[serde(default)]
        label: Option<String>,
    }

    #[derive(Debug, PartialEq, Eq, PartialOrd, Ord, Deserialize)]
    #[serde(rename_all = "lowercase")]
    enum Wood {
        Oak,
        Birch,
    }

    #[test]
    fn what_is_read_is_what_serdes_own_reader_reads() {
        let shelf = json!({"boards": {"oak": [1, 2], "birch": []}, "label": null});
        assert_eq!(read::<Shelf>(&shelf).unwrap(), serde_json::from_value(shelf).unwrap());
        for value in [json!(-3), json!(1.5), json!(u64::MAX), json!([true, {"a": [null, "b"]}])] {
            assert_eq!(read::<Value>(&value).unwrap(), value);
        }
    }

    #[test]
    fn an_error_says_where() {
        for (shelf, path, message) in [
            (json!({"boards": {"oak": [1, -2]}}), "boards.oak.1", "-2 stands here, expected a whole number of zero"),
            (json!({"boards": {"oak": [256]}}), "boards.oak.0", "256 stands here, expected a whole number up to 255"),
            (json!({"boards": {"teak": []}}), "boards.teak", "unknown variant `teak`, expected `oak` or `birch`"),
            (json!({"boards": {}, "depth": 1}), "depth", "unknown field `depth`, expected `boards` or `label`"),
            (json!({"boards": {"oak": []}, "label": 4}), "label", "invalid type: integer `4`, expected a string"),
            (json!({"label": "a"}), "", "missing field `boards`"),
            (json!([{}, null]), "", "a list stands here, expected a mapping for shelf, such as {boards: …, label: …}"),
        ] {
            let error = read::<Shelf>(&shelf).unwrap_err();
            assert_eq!(error.path().join("."), path, "{shelf}");
            assert!(error.message().starts_with(message), "{error}");
        }
    }
}
