//! Names, ids, dates and the few other texts with a form of their own.

use crate::portable;
use crate::quantity::{PLACEHOLDER, UnitSystem, by_tape};
use schemars::{JsonSchema, Schema, SchemaGenerator, json_schema};
use serde::de::{self, Deserialize, Deserializer};
use serde::{Serialize, Serializer};
use std::borrow::Cow;
use std::fmt;
use std::str::FromStr;

/// A text type with a rule for what it may hold: parsed from a string, shown as one.
macro_rules! text_type {
    ($name:ident, $description:literal, $pattern:expr, $placeholder:expr) => {
        impl fmt::Display for $name {
            fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
                f.write_str(&self.0)
            }
        }

        impl AsRef<str> for $name {
            fn as_ref(&self) -> &str {
                &self.0
            }
        }

        impl std::ops::Deref for $name {
            type Target = str;
            fn deref(&self) -> &str {
                &self.0
            }
        }

        impl std::borrow::Borrow<str> for $name {
            fn borrow(&self) -> &str {
                &self.0
            }
        }

        impl PartialEq<str> for $name {
            fn eq(&self, other: &str) -> bool {
                self.0 == other
            }
        }

        impl PartialEq<&str> for $name {
            fn eq(&self, other: &&str) -> bool {
                self.0 == *other
            }
        }

        from_text!($name, $description, $pattern, $placeholder);

        impl Serialize for $name {
            fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
                serializer.serialize_str(&self.0)
            }
        }
    };
}

/// Deserialisation and schema by way of [`FromStr`].
macro_rules! from_text {
    ($name:ident, $description:literal, $pattern:expr, $placeholder:expr) => {
        impl<'de> Deserialize<'de> for $name {
            fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<$name, D::Error> {
                struct Text;
                impl de::Visitor<'_> for Text {
                    type Value = $name;
                    fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
                        f.write_str($description)
                    }
                    fn visit_str<E: de::Error>(self, text: &str) -> Result<$name, E> {
                        let text = if text == PLACEHOLDER { $placeholder } else { text };
                        text.parse().map_err(E::custom)
                    }
                    fn visit_i64<E: de::Error>(self, number: i64) -> Result<$name, E> {
                        self.visit_str(&number.to_string())
                    }
                    fn visit_u64<E: de::Error>(self, number: u64) -> Result<$name, E> {
                        self.visit_str(&number.to_string())
                    }
                }
                deserializer.deserialize_any(Text)
            }
        }

        impl JsonSchema for $name {
            fn schema_name() -> Cow<'static, str> {
                stringify!($name).into()
            }

            fn json_schema(_: &mut SchemaGenerator) -> Schema {
                json_schema!({ "type": ["string", "integer"], "description": $description, "pattern": $pattern })
            }
        }
    };
}

/// The id of an element: letters, digits, `-` and `_`, beginning with a letter or digit.
#[derive(Clone, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub struct Id(String);

impl FromStr for Id {
    type Err = String;

    fn from_str(text: &str) -> Result<Id, String> {
        if text.is_empty() {
            return Err("the id is empty".to_owned());
        }
        if let Some(odd) = text.chars().find(|c| !(c.is_alphanumeric() || matches!(c, '-' | '_'))) {
            return Err(format!("the id '{text}' has '{}' in it; use letters, digits, - and _", odd.escape_debug()));
        }
        if !text.starts_with(char::is_alphanumeric) {
            return Err(format!("the id '{text}' does not begin with a letter or digit"));
        }
        if text.chars().count() > 80 {
            return Err("the id is longer than 80 characters".to_owned());
        }
        Ok(Id(text.to_owned()))
    }
}

text_type!(Id, "an id: letters, digits, - and _", r"^[\p{L}\p{N}][\p{L}\p{N}_-]{0,79}$", "placeholder");

/// Whether a character shows nothing: a control character, or one that only steers how its neighbours are written.
fn is_unseen(c: char) -> bool {
    c.is_control()
        || matches!(c, '\u{ad}' | '\u{34f}' | '\u{61c}' | '\u{115f}' | '\u{1160}' | '\u{17b4}' | '\u{17b5}')
        || matches!(c, '\u{180b}'..='\u{180f}' | '\u{200b}'..='\u{200f}' | '\u{2028}'..='\u{202e}')
        || matches!(c, '\u{2060}'..='\u{206f}' | '\u{2800}' | '\u{3164}' | '\u{fe00}'..='\u{fe0f}' | '\u{feff}')
        || matches!(c, '\u{ffa0}' | '\u{fff0}'..='\u{fff8}' | '\u{e0000}'..='\u{e0fff}')
}

/// A text that must say something.
#[derive(Clone, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub struct Name(String);

impl FromStr for Name {
    type Err = String;

    fn from_str(text: &str) -> Result<Name, String> {
        if text.chars().all(|c| c.is_whitespace() || is_unseen(c)) {
            return Err("the name is empty".to_owned());
        }
        Ok(Name(text.to_owned()))
    }
}

text_type!(Name, "a text that is not empty", r"\S", "placeholder");

/// A calendar date, `2026-10-05`.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Date(pub jiff::civil::Date);

impl FromStr for Date {
    type Err = String;

    fn from_str(text: &str) -> Result<Date, String> {
        let plain = text.len() == 10 && text.bytes().all(|b| b.is_ascii_digit() || b == b'-');
        match text.parse() {
            Ok(date) if plain => Ok(Date(date)),
            _ => Err(format!("'{text}' is not a date such as 2026-10-05")),
        }
    }
}

impl fmt::Display for Date {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        self.0.fmt(f)
    }
}

impl Date {
    /// Days from this day to another; less than nought where that came before.
    pub fn days_until(self, other: Date) -> i32 {
        self.0.until(other.0).map_or(0, |span| span.get_days())
    }

    /// The day that is so many days after this one; `None` where the calendar ends before.
    pub fn after_days(self, days: f64) -> Option<Date> {
        // No calendar reaches further, so that every number of days within fits.
        let days = Some(days).filter(|days| days.abs() <= 8_000_000.0)?;
        let span = jiff::Span::new().try_days(days as i64).ok()?;
        self.0.checked_add(span).ok().map(Date)
    }
}

impl Serialize for Date {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.collect_str(self)
    }
}

from_text!(Date, "a date such as 2026-10-05", r"^\d{4}-\d{2}-\d{2}$", "2000-01-01");

/// A climate zone of ANSI/ASHRAE 169 as IECC table R301.1 lists it: a number from 0 to 8 and, below 7, a moisture regime.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub struct ClimateZone {
    /// 0 (extremely hot) to 8 (subarctic).
    pub number: u8,
    /// `A` moist, `B` dry, `C` marine.
    pub regime: Option<char>,
}

impl FromStr for ClimateZone {
    type Err = String;

    fn from_str(text: &str) -> Result<ClimateZone, String> {
        let wrong = || format!("'{text}' is not a climate zone such as 6A, 4C or 7");
        let mut letters = text.trim().chars();
        let number = letters.next().and_then(|c| c.to_digit(10)).filter(|n| *n <= 8).ok_or_else(wrong)? as u8;
        let regime = letters.next().map(|c| c.to_ascii_uppercase());
        match (letters.next(), regime) {
            (None, None | Some('A' | 'B' | 'C')) if regime.is_some() || number >= 7 => {
                Ok(ClimateZone { number, regime })
            }
            (None, None) => Err(format!("the climate zone '{text}' needs its letter: A moist, B dry or C marine")),
            _ => Err(wrong()),
        }
    }
}

impl fmt::Display for ClimateZone {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}", self.number)?;
        self.regime.map_or(Ok(()), |regime| write!(f, "{regime}"))
    }
}

impl Serialize for ClimateZone {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.collect_str(self)
    }
}

from_text!(ClimateZone, "a climate zone such as 6A, 4C or 7", r"^[0-8][ABCabc]?$", "5A");

/// A piece of framing lumber by its nominal size, `2x6`, or a dressed size of its own, `38 mm x 241 mm`.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct LumberSize {
    /// Dressed thickness.
    pub thickness: crate::quantity::Length,
    /// Dressed depth: what the insulation between the members can fill.
    pub depth: crate::quantity::Length,
}

/// Dressed sizes of dry softwood, nominal inches to actual: American Softwood Lumber Standard PS 20 (from memory, high).
const DRESSED: &[(u32, f64)] =
    &[(1, 0.75), (2, 1.5), (3, 2.5), (4, 3.5), (5, 4.5), (6, 5.5), (8, 7.25), (10, 9.25), (12, 11.25), (14, 13.25)];

impl FromStr for LumberSize {
    type Err = String;

    fn from_str(text: &str) -> Result<LumberSize, String> {
        let wrong = || format!("'{text}' is not a lumber size such as 2x6 or '38 mm x 241 mm'");
        let (first, second) = text.split_once(['x', '×']).ok_or_else(wrong)?;
        let side = |part: &str| -> Result<crate::quantity::Length, String> {
            match part.trim().parse::<u32>() {
                Ok(nominal) => DRESSED
                    .iter()
                    .find(|(size, _)| *size == nominal)
                    .map(|(_, inches)| crate::quantity::Length::from_si(inches * 0.0254))
                    .ok_or_else(|| format!("'{text}': {nominal} is not a nominal lumber size")),
                Err(_) => part.parse().map_err(|_| wrong()),
            }
        };
        let (thickness, depth) = (side(first)?, side(second)?);
        if thickness.si() <= 0.0 || depth.si() <= 0.0 {
            return Err(wrong());
        }
        Ok(LumberSize { thickness, depth })
    }
}

impl LumberSize {
    /// As the trade calls it: by its nominal size, `2x6`, where it is a dressed one, else by its sides.
    pub fn called(&self, system: UnitSystem) -> String {
        let nominal = |side: crate::quantity::Length| {
            DRESSED.iter().find(|(_, inches)| (inches * 0.0254 - side.si()).abs() < 1e-5).map(|(size, _)| size)
        };
        match (nominal(self.thickness), nominal(self.depth)) {
            (Some(thickness), Some(depth)) => format!("{thickness}x{depth}"),
            _ => format!("{} x {}", by_tape(self.thickness.si(), system), by_tape(self.depth.si(), system)),
        }
    }
}

impl fmt::Display for LumberSize {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{} x {}", self.thickness, self.depth)
    }
}

impl Serialize for LumberSize {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.collect_str(self)
    }
}

from_text!(LumberSize, "a lumber size such as 2x6", r"[x×]", "2x4");

/// The pitch of a roof or ceiling, `4/12`: rise over run.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Slope {
    /// Rise per run.
    pub ratio: f64,
}

impl FromStr for Slope {
    type Err = String;

    fn from_str(text: &str) -> Result<Slope, String> {
        let wrong = || format!("'{text}' is not a slope such as 4/12");
        if let Ok(angle) = text.parse::<crate::quantity::Angle>() {
            return Slope::sound(portable::tan(angle.si())).ok_or_else(wrong);
        }
        let (rise, run) = text.split_once(['/', ':']).ok_or_else(wrong)?;
        let (rise, run): (f64, f64) =
            (rise.trim().parse().map_err(|_| wrong())?, run.trim().parse().map_err(|_| wrong())?);
        Slope::sound(rise / run).ok_or_else(wrong)
    }
}

impl Slope {
    fn sound(ratio: f64) -> Option<Slope> {
        (0.0..=4.0).contains(&ratio).then_some(Slope { ratio })
    }
}

impl fmt::Display for Slope {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}/12", self.ratio * 12.0)
    }
}

impl Serialize for Slope {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.collect_str(self)
    }
}

from_text!(Slope, "a slope such as 4/12", r"[/:°]", "4/12");

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn lumber_has_its_dressed_size() {
        let size: LumberSize = "2x6".parse().unwrap_or_else(|error| panic!("{error}"));
        assert!((size.thickness.si() - 0.0381).abs() < 1e-9);
        assert!((size.depth.si() - 0.1397).abs() < 1e-9);
        let metric: LumberSize = "38 mm x 241 mm".parse().unwrap_or_else(|error| panic!("{error}"));
        assert!((metric.depth.si() - 0.241).abs() < 1e-9);
        let again: LumberSize = metric.to_string().parse().unwrap_or_else(|error| panic!("{error}"));
        assert_eq!(again, metric);
        for wrong in ["2x7", "2", "x", "axb", "0 mm x 3 mm"] {
            assert!(wrong.parse::<LumberSize>().is_err(), "{wrong}");
        }
    }

    #[test]
    fn slopes_and_zones() {
        assert_eq!("4/12".parse::<Slope>().map(|slope| slope.ratio), Ok(4.0 / 12.0));
        assert!(("45 °".parse::<Slope>().unwrap_or_default().ratio - 1.0).abs() < 1e-12);
        for wrong in ["4/0", "flat", "-4/12", "90 °"] {
            assert!(wrong.parse::<Slope>().is_err(), "{wrong}");
        }
        assert_eq!("6a".parse::<ClimateZone>().map(|zone| zone.to_string()), Ok("6A".to_owned()));
        assert_eq!("8".parse::<ClimateZone>().map(|zone| zone.number), Ok(8));
        for wrong in ["9A", "6D", "6", "A6", "6AA", ""] {
            assert!(wrong.parse::<ClimateZone>().is_err(), "{wrong}");
        }
    }

    #[test]
    fn ids_names_and_dates() {
        for good in ["A", "wall-2", "south_face", "küche"] {
            assert!(good.parse::<Id>().is_ok(), "{good}");
        }
        for wrong in ["", "a.b", "a b", "-a", "a\u{202e}b"] {
            assert!(wrong.parse::<Id>().is_err(), "{wrong}");
        }
        assert!("  ".parse::<Name>().is_err());
        for unseen in ["\u{200b}", " \u{feff}\u{2060}", "\u{ad}", "\u{3164}", "\u{202e}", "\u{e0020}"] {
            assert!(unseen.parse::<Name>().is_err(), "{}", unseen.escape_unicode());
        }
        assert!("a\u{200d}b".parse::<Name>().is_ok(), "joined letters say something");
        assert_eq!("2026-10-05".parse::<Date>().map(|date| date.to_string()), Ok("2026-10-05".to_owned()));
        for wrong in ["2026-13-05", "2026-1-5", "05.10.2026", "20261005"] {
            assert!(wrong.parse::<Date>().is_err(), "{wrong}");
        }
    }
}
