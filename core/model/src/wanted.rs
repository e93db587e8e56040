//! What a type expects where a value stands, asked of the type itself: for what may be one value, or something else.

use serde::de::{self, Deserialize, Deserializer, Expected as _, Visitor};
use serde::forward_to_deserialize_any;
use std::fmt;

/// `one of: air-barrier, air-control`, or `a length such as "5 1/2 in"`.
pub(crate) fn by<'de, T: Deserialize<'de>>() -> String {
    T::deserialize(Nothing).err().map_or_else(|| "a value".to_owned(), |wanted| wanted.0)
}

/// Nothing at all, so that every type says what it expects instead.
struct Nothing;

/// What was expected.
#[derive(Debug)]
struct Wanted(String);

impl fmt::Display for Wanted {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.0)
    }
}

impl std::error::Error for Wanted {}

impl de::Error for Wanted {
    fn custom<T: fmt::Display>(message: T) -> Wanted {
        Wanted(message.to_string())
    }
}

/// A visitor says what it expects.
struct Expects<V>(V);

impl<'de, V: Visitor<'de>> fmt::Display for Expects<V> {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        self.0.fmt(f)
    }
}

impl<'de> Deserializer<'de> for Nothing {
    type Error = Wanted;

    fn deserialize_any<V: Visitor<'de>>(self, visitor: V) -> Result<V::Value, Wanted> {
        Err(Wanted(Expects(visitor).to_string()))
    }

    fn deserialize_enum<V: Visitor<'de>>(
        self,
        _: &'static str,
        words: &'static [&'static str],
        _: V,
    ) -> Result<V::Value, Wanted> {
        Err(Wanted(format!("one of: {}", words.join(", "))))
    }

    forward_to_deserialize_any! {
        bool i8 i16 i32 i64 i128 u8 u16 u32 u64 u128 f32 f64 char str string bytes byte_buf option unit unit_struct
        newtype_struct seq tuple tuple_struct map struct identifier ignored_any
    }
}
