//! What a row of a table stands for, and how a value fits it.

use mateline_model::quantity::{Dimension, Quantity, parse};

/// What a row stands for.
#[derive(Clone, Debug, PartialEq)]
pub(super) enum Key {
    /// Exactly this text.
    Word(String),
    /// A whole number, with or without one letter after it in the value: `6` is for `6A` and `6B`.
    Number(u32),
    /// Whole numbers from one to another, in the same way.
    Range(u32, u32),
    /// Exactly this value, in SI.
    Exactly(f64),
    /// Values between two bounds, in SI.
    Within(Bound, Bound),
    /// Whatever no other row stands for.
    Otherwise,
}

/// An end of a range: none, or a value that belongs to the range or does not.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) enum Bound {
    /// No end.
    Open,
    /// Up to and with this value.
    With(f64),
    /// Up to this value, which no longer belongs to it.
    Without(f64),
}

impl Bound {
    pub(super) fn value(self) -> Option<f64> {
        match self {
            Bound::Open => None,
            Bound::With(value) | Bound::Without(value) => Some(value),
        }
    }
}

impl Key {
    /// A key of words and numbered classes: `wall`, `6`, `4-8`, `else`.
    pub(super) fn of_words(text: &str) -> Key {
        let text = text.trim();
        if text == "else" {
            return Key::Otherwise;
        }
        if let Some((from, to)) = text.split_once('-')
            && let (Ok(from), Ok(to)) = (from.trim().parse(), to.trim().parse())
        {
            return Key::Range(from, to);
        }
        text.parse().map_or_else(|_| Key::Word(text.to_owned()), Key::Number)
    }

    /// A key of values: `< 4000 ft`, `4000-8000 ft`, `10 °C to 15 °C`, `3`, `else`.
    ///
    /// # Errors
    /// Why the text is no such key.
    pub(super) fn of_values(text: &str, dimension: Dimension) -> Result<Key, String> {
        let text = text.trim();
        if text == "else" {
            return Ok(Key::Otherwise);
        }
        type Read = fn(f64) -> Key;
        let signs: [(&str, Read); 6] = [
            ("<=", |end| Key::Within(Bound::Open, Bound::With(end))),
            ("≤", |end| Key::Within(Bound::Open, Bound::With(end))),
            (">=", |end| Key::Within(Bound::With(end), Bound::Open)),
            ("≥", |end| Key::Within(Bound::With(end), Bound::Open)),
            ("<", |end| Key::Within(Bound::Open, Bound::Without(end))),
            (">", |end| Key::Within(Bound::Without(end), Bound::Open)),
        ];
        for (sign, key) in signs {
            if let Some(rest) = text.strip_prefix(sign) {
                return value(rest, dimension).map(key);
            }
        }
        let exact = value(text, dimension);
        if let Ok(value) = exact {
            return Ok(Key::Exactly(value));
        }
        let Some((from, to)) = ends(text) else { return exact.map(Key::Exactly) };
        let (from, to) = (value(&from, dimension)?, value(&to, dimension)?);
        if from > to {
            return Err(format!("'{text}' begins above its end"));
        }
        Ok(Key::Within(Bound::With(from), Bound::With(to)))
    }

    /// How narrowly the key fits a word; `None` when it does not.
    pub(super) fn fits_word(&self, word: &str) -> Option<u8> {
        let number = number_before_letter(word);
        match self {
            Key::Word(wanted) => wanted.eq_ignore_ascii_case(word).then_some(3),
            Key::Number(wanted) => (number == Some(*wanted)).then_some(2),
            Key::Range(from, to) => number.is_some_and(|number| (*from..=*to).contains(&number)).then_some(1),
            Key::Otherwise => Some(0),
            Key::Exactly(_) | Key::Within(..) => None,
        }
    }

    /// How narrowly the key fits a value in SI; `None` when it does not.
    pub(super) fn fits_value(&self, value: f64) -> Option<u8> {
        match self {
            Key::Exactly(wanted) => (*wanted == value).then_some(2),
            Key::Within(from, to) => {
                let above = match from {
                    Bound::Open => true,
                    Bound::With(end) => value >= *end,
                    Bound::Without(end) => value > *end,
                };
                let below = match to {
                    Bound::Open => true,
                    Bound::With(end) => value <= *end,
                    Bound::Without(end) => value < *end,
                };
                (above && below).then_some(1)
            }
            Key::Otherwise => Some(0),
            Key::Word(_) | Key::Number(_) | Key::Range(..) => None,
        }
    }
}

/// A value of a dimension, in SI.
fn value(text: &str, dimension: Dimension) -> Result<f64, String> {
    let Quantity { si, dimension: found } = parse(text).map_err(|error| error.to_string())?;
    if found == dimension {
        Ok(si)
    } else if found == Dimension::PLAIN {
        Err(format!("'{}' needs a unit: the table is by {}", text.trim(), dimension.with_article()))
    } else {
        Err(format!("'{}' is {}, but the table is by {}", text.trim(), found.with_article(), dimension.with_article()))
    }
}

/// The two ends of a range, each with its unit: `4000-8000 ft`, `10 °C to 15 °C`.
fn ends(text: &str) -> Option<(String, String)> {
    let (from, to) = text.split_once(" to ").or_else(|| {
        let dash = |(at, c): (usize, char)| (at > 0 && matches!(c, '-' | '–')).then_some((at, c.len_utf8()));
        let dashes = text.char_indices().filter_map(dash);
        dashes.filter_map(|(at, length)| Some((text.get(..at)?, text.get(at + length..)?))).find(|(from, to)| {
            let begins = |text: &str| text.trim_start().starts_with(|c: char| c.is_ascii_digit());
            begins(from) && begins(to)
        })
    })?;
    let (from, to) = (from.trim(), to.trim());
    let is_bare = from.chars().all(|c| c.is_ascii_digit() || c == '.');
    let unit = to.find(|c: char| !(c.is_ascii_digit() || matches!(c, '.' | ' '))).and_then(|at| to.get(at..));
    let from = match unit.filter(|_| is_bare) {
        Some(unit) => format!("{from} {unit}"),
        None => from.to_owned(),
    };
    Some((from, to.to_owned()))
}

/// The whole number of `6`, `6A` or `12b`.
fn number_before_letter(value: &str) -> Option<u32> {
    let digits = value.strip_suffix(|c: char| c.is_ascii_alphabetic()).unwrap_or(value);
    digits.parse().ok()
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used, reason = "a test may stop here")]
    use super::*;

    #[test]
    fn values_are_read_as_they_are_written() {
        let feet = |value: f64| value * 0.3048;
        let read = |text| Key::of_values(text, Dimension::LENGTH);
        assert_eq!(read("< 4000 ft"), Ok(Key::Within(Bound::Open, Bound::Without(feet(4000.0)))));
        assert_eq!(read(">= 4000 ft"), Ok(Key::Within(Bound::With(feet(4000.0)), Bound::Open)));
        let range = Key::Within(Bound::With(feet(1000.0)), Bound::With(feet(4000.0)));
        for text in ["1000-4000 ft", "1000 - 4000 ft", "1000 ft to 4000 ft", "1000 to 4000 ft", "1000 ft - 4000 ft"] {
            assert_eq!(read(text).as_ref(), Ok(&range), "{text}");
        }
        assert_eq!(read("9-1/2 in"), Ok(Key::Exactly(9.5 * 0.0254)));
        assert_eq!(Key::of_values("0-2", Dimension::PLAIN), Ok(Key::Within(Bound::With(0.0), Bound::With(2.0))));
    }

    #[test]
    fn what_is_no_value_is_told() {
        let told = |text| Key::of_values(text, Dimension::LENGTH).unwrap_err();
        assert_eq!(told("4000"), "'4000' needs a unit: the table is by a length");
        assert_eq!(told("< 3 kg"), "'3 kg' is a mass, but the table is by a length");
        assert_eq!(told("8-4 ft"), "'8-4 ft' begins above its end");
        assert_eq!(told("high"), "'high' does not begin with a number");
    }

    #[test]
    fn ends_belong_to_a_range_as_its_signs_say() {
        let fits = |text: &str, value: f64| Key::of_values(text, Dimension::PLAIN).unwrap().fits_value(value);
        assert_eq!(
            (fits("< 3", 3.0), fits("<= 3", 3.0), fits("2-3", 3.0), fits("3", 3.0)),
            (None, Some(1), Some(1), Some(2))
        );
        assert_eq!((fits("> 3", 3.0), fits(">= 3", 3.0), fits("else", 3.0)), (None, Some(1), Some(0)));
    }
}
