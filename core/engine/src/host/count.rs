//! How many values an answer holds, before any of them is kept.

use super::limits::MOST_VALUES;
use serde::de::{DeserializeSeed, Deserializer, Error, IgnoredAny, MapAccess, SeqAccess, Visitor};
use std::fmt;

/// Refuses an answer of more values than the host keeps. What is no JSON is left to whoever reads it.
///
/// # Errors
/// A sentence that follows "it".
pub fn bounded(answer: &[u8]) -> Result<(), String> {
    let mut left = MOST_VALUES;
    let mut from = serde_json::Deserializer::from_slice(answer);
    let counted = Value(&mut left).deserialize(&mut from);
    if counted.is_err() && left == 0 {
        return Err(format!("answered with more than {MOST_VALUES} values"));
    }
    Ok(())
}

/// One value, to be counted with those in it.
struct Value<'a>(&'a mut usize);

impl<'de> DeserializeSeed<'de> for Value<'_> {
    type Value = ();

    fn deserialize<D: Deserializer<'de>>(self, from: D) -> Result<(), D::Error> {
        *self.0 = self.0.checked_sub(1).ok_or_else(|| D::Error::custom("too many values"))?;
        from.deserialize_any(self)
    }
}

impl<'de> Visitor<'de> for Value<'_> {
    type Value = ();

    fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str("any value")
    }

    fn visit_unit<E>(self) -> Result<(), E> {
        Ok(())
    }

    fn visit_bool<E>(self, _: bool) -> Result<(), E> {
        Ok(())
    }

    fn visit_i64<E>(self, _: i64) -> Result<(), E> {
        Ok(())
    }

    fn visit_u64<E>(self, _: u64) -> Result<(), E> {
        Ok(())
    }

    fn visit_f64<E>(self, _: f64) -> Result<(), E> {
        Ok(())
    }

    fn visit_str<E>(self, _: &str) -> Result<(), E> {
        Ok(())
    }

    fn visit_seq<A: SeqAccess<'de>>(self, mut items: A) -> Result<(), A::Error> {
        while items.next_element_seed(Value(self.0))?.is_some() {}
        Ok(())
    }

    fn visit_map<A: MapAccess<'de>>(self, mut entries: A) -> Result<(), A::Error> {
        while entries.next_key::<IgnoredAny>()?.is_some() {
            entries.next_value_seed(Value(self.0))?;
        }
        Ok(())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn list(values: usize) -> Vec<u8> {
        format!("[{}0]", "0,".repeat(values - 2)).into_bytes()
    }

    #[test]
    fn every_value_counts_and_nothing_else_does() {
        assert_eq!(bounded(&list(MOST_VALUES)), Ok(()));
        let more = Err(format!("answered with more than {MOST_VALUES} values"));
        assert_eq!(bounded(&list(MOST_VALUES + 1)), more);
        let mappings = format!("[{}{{}}]", r#"{"a": [null, "b"]},"#.repeat(MOST_VALUES / 4));
        assert_eq!(bounded(mappings.as_bytes()), more);
        for other in ["", "nonsense", "[1, 2", r#"{"a": {"b": 1.5}}"#] {
            assert_eq!(bounded(other.as_bytes()), Ok(()), "{other}");
        }
    }
}
