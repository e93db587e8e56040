//! Text to quantity, the way builders and engineers write them.
//!
//! ```text
//! quantity = resistance | terms
//! resistance = ("R" | "RSI") ["-"] number            R-13, RSI 2.3
//! terms    = ["-"] term { ["-"] term }               13 ft 9 1/2 in, 13'-9 1/2", 5 lb 3 oz
//! term     = number unit
//! number   = decimal | [whole (" " | "-")] fraction  5.5, 1/2, 9 1/2, 9-1/2, 9½
//! ```

use super::{Dimension, Quantity, Unit, spellings, unit};
use std::fmt;

/// Why a text is not a quantity.
#[derive(Clone, Debug, PartialEq)]
pub enum ParseError {
    /// Nothing but space.
    Empty,
    /// No number where one is needed.
    NoNumber(String),
    /// A number with no unit.
    NoUnit(String),
    /// A unit mateline does not know, with the nearest one it does.
    UnknownUnit(String, Option<&'static str>),
    /// A fraction that is not one: `1/0`, `9 17/16`.
    BadFraction(String),
    /// Not a finite number.
    NotFinite(String),
    /// Terms that do not add up: `3 ft 2 lb`.
    MixedTerms,
    /// Terms of which a later one is of the larger unit: `3 in 2 ft`.
    TermOrder,
    /// A later term with a minus of its own: `5 ft -6 in`.
    SignedTerm(String),
    /// A decimal comma or thousands separator.
    Comma(String),
}

impl ParseError {
    /// The same where a value of a dimension was wanted: a unit of that dimension is nearer than any other.
    #[must_use]
    pub fn wanting(self, dimension: Dimension) -> ParseError {
        match self {
            ParseError::UnknownUnit(name, near) => {
                let measures = |symbol: &str| unit(symbol).is_some_and(|unit| unit.dimension == dimension);
                let near = nearest(&name, measures).or(near);
                ParseError::UnknownUnit(name, near)
            }
            other => other,
        }
    }
}

impl fmt::Display for ParseError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            ParseError::Empty => f.write_str("a value is missing"),
            ParseError::NoNumber(text) => write!(f, "'{text}' does not begin with a number"),
            ParseError::NoUnit(text) => write!(f, "'{text}' needs a unit"),
            ParseError::UnknownUnit(text, Some(near)) => write!(f, "unknown unit '{text}' (did you mean '{near}'?)"),
            ParseError::UnknownUnit(text, None) => write!(f, "unknown unit '{text}'"),
            ParseError::BadFraction(text) => write!(f, "'{text}' is not a proper fraction"),
            ParseError::NotFinite(text) => write!(f, "'{text}' is not a finite number"),
            ParseError::MixedTerms => f.write_str("the terms measure different things"),
            ParseError::TermOrder => f.write_str("the larger unit comes first, as in 2 ft 3 in"),
            ParseError::SignedTerm(text) => {
                write!(f, "'{text}' has a minus within; only the first term has a sign, as in 5 ft 6 in")
            }
            ParseError::Comma(text) => write!(f, "'{text}' has a comma; write a decimal point and no separators"),
        }
    }
}

impl std::error::Error for ParseError {}

/// Reads a quantity. A bare number is accepted only as a plain number (no unit), which the caller may refuse.
///
/// # Errors
/// [`ParseError`], saying what is wrong with the text.
pub fn parse(text: &str) -> Result<Quantity, ParseError> {
    let text = text.trim();
    if text.is_empty() {
        return Err(ParseError::Empty);
    }
    if let Some(quantity) = resistance(text)? {
        return Ok(quantity);
    }
    let mut rest = text;
    let negative = take_sign(&mut rest);
    let mut total: Option<(f64, Unit)> = None;
    while !rest.is_empty() {
        let number = take_number(&mut rest)?.ok_or_else(|| ParseError::NoNumber(rest.trim().to_owned()))?;
        let name = take_unit(&mut rest);
        if name.is_empty() && total.is_none() && rest.is_empty() {
            return finite(if negative { -number } else { number }, Dimension::PLAIN, text);
        }
        if name.is_empty() {
            return Err(ParseError::NoUnit(text.to_owned()));
        }
        let found = unit(name).ok_or_else(|| ParseError::UnknownUnit(name.to_owned(), nearest(name, |_| true)))?;
        total = Some(match total {
            None => (found.to_si(if negative { -number } else { number }), found),
            Some((sum, first)) => {
                let sums = matches!(found.dimension, Dimension::LENGTH | Dimension::MASS);
                if first.dimension != found.dimension || !sums {
                    return Err(ParseError::MixedTerms);
                }
                if found.factor >= first.factor {
                    return Err(ParseError::TermOrder);
                }
                let term = found.to_si(number);
                (if negative { sum - term } else { sum + term }, found)
            }
        });
        let apart = rest.starts_with(char::is_whitespace);
        rest = rest.trim_start();
        if let Some(after) = rest.strip_prefix('-') {
            // `13'-9"` joins two terms; `5 ft -6 in` may be meant as 4 ft 6 in.
            if apart {
                return Err(ParseError::SignedTerm(text.to_owned()));
            }
            rest = after.trim_start();
        }
    }
    let (si, unit) = total.ok_or_else(|| ParseError::NoNumber(text.to_owned()))?;
    finite(si, unit.dimension, text)
}

fn finite(si: f64, dimension: Dimension, text: &str) -> Result<Quantity, ParseError> {
    if si.is_finite() { Ok(Quantity::new(si, dimension)) } else { Err(ParseError::NotFinite(text.to_owned())) }
}

/// `R-13`, `R 13`, `R13`, `RSI 2.3`, `RSI-2.3`.
fn resistance(text: &str) -> Result<Option<Quantity>, ParseError> {
    let (name, rest) = match text.strip_prefix("RSI") {
        Some(rest) => ("RSI", rest),
        None => match text.strip_prefix('R') {
            Some(rest) => ("R", rest),
            None => return Ok(None),
        },
    };
    let mut rest = rest.trim_start();
    rest = rest.strip_prefix('-').unwrap_or(rest).trim_start();
    if !rest.starts_with(|c: char| c.is_ascii_digit() || c == '.') {
        return Ok(None);
    }
    let number = take_number(&mut rest)?.ok_or_else(|| ParseError::NoNumber(text.to_owned()))?;
    if !rest.trim().is_empty() {
        return Err(ParseError::UnknownUnit(rest.trim().to_owned(), None));
    }
    let Some(unit) = unit(name) else { return Ok(None) };
    finite(unit.to_si(number), unit.dimension, text).map(Some)
}

fn take_sign(rest: &mut &str) -> bool {
    for minus in ["-", "−", "–"] {
        if let Some(after) = rest.strip_prefix(minus) {
            *rest = after.trim_start();
            return true;
        }
    }
    if let Some(after) = rest.strip_prefix('+') {
        *rest = after.trim_start();
    }
    false
}

/// A decimal, a fraction, or a whole number with a fraction.
fn take_number(rest: &mut &str) -> Result<Option<f64>, ParseError> {
    let start = rest.trim_start();
    let first = decimal(start);
    let (text, after) = start.split_at(first);
    if let Some(value) = vulgar(after).filter(|_| !text.contains(['.', 'e', 'E'])) {
        *rest = after.get(value.1..).unwrap_or_default();
        let whole: f64 = if text.is_empty() { 0.0 } else { text.parse().unwrap_or(f64::NAN) };
        return Ok(Some(whole + value.0));
    }
    if text.is_empty() {
        return Ok(None);
    }
    if after.starts_with(',') && after[1..].starts_with(|c: char| c.is_ascii_digit()) {
        return Err(ParseError::Comma(start.to_owned()));
    }
    let whole: f64 = text.parse().map_err(|_| ParseError::NoNumber(start.to_owned()))?;
    let integer = !text.contains(['.', 'e', 'E']);
    // `3/4`
    if let Some(denominator) = after.strip_prefix('/').filter(|_| integer) {
        let length = digits(denominator);
        if length > 0 {
            let below: f64 = denominator[..length].parse().unwrap_or(0.0);
            if below == 0.0 {
                return Err(ParseError::BadFraction(format!("{text}/{}", &denominator[..length])));
            }
            *rest = &denominator[length..];
            return Ok(Some(whole / below));
        }
    }
    // `9 1/2`, `9-1/2`
    let gap = after.strip_prefix('-').unwrap_or(after).trim_start();
    if integer && gap.len() < after.len() {
        let above = digits(gap);
        if above > 0
            && let Some(denominator) = gap[above..].strip_prefix('/')
        {
            let length = digits(denominator);
            if length > 0 {
                let (over, under): (f64, f64) =
                    (gap[..above].parse().unwrap_or(0.0), denominator[..length].parse().unwrap_or(0.0));
                if under == 0.0 || over >= under {
                    return Err(ParseError::BadFraction(format!("{}/{}", &gap[..above], &denominator[..length])));
                }
                *rest = &denominator[length..];
                return Ok(Some(whole + over / under));
            }
        }
        if let Some((fraction, length)) = vulgar(gap) {
            *rest = &gap[length..];
            return Ok(Some(whole + fraction));
        }
    }
    *rest = after;
    Ok(Some(whole))
}

/// The length of the decimal number a text begins with: digits, one point, an exponent.
fn decimal(text: &str) -> usize {
    let mut end = digits(text);
    if let Some(after) = text[end..].strip_prefix('.') {
        end += 1 + digits(after);
    }
    if end == 0 || text[..end] == *"." {
        return 0;
    }
    if let Some(after) = text[end..].strip_prefix(['e', 'E']) {
        let sign = usize::from(after.starts_with(['-', '+']));
        let exponent = digits(&after[sign..]);
        if exponent > 0 {
            end += 1 + sign + exponent;
        }
    }
    end
}

fn digits(text: &str) -> usize {
    text.len() - text.trim_start_matches(|c: char| c.is_ascii_digit()).len()
}

/// A one-character fraction and its length in bytes.
fn vulgar(text: &str) -> Option<(f64, usize)> {
    let first = text.chars().next()?;
    let value = match first {
        '½' => 0.5,
        '¼' => 0.25,
        '¾' => 0.75,
        '⅛' => 0.125,
        '⅜' => 0.375,
        '⅝' => 0.625,
        '⅞' => 0.875,
        '⅓' => 1.0 / 3.0,
        '⅔' => 2.0 / 3.0,
        _ => return None,
    };
    Some((value, first.len_utf8()))
}

/// The text up to the next term: everything that is not ` number` or ` -number`.
fn take_unit<'a>(rest: &mut &'a str) -> &'a str {
    let start = rest.trim_start();
    // `13'9"` and `13'-9"` have no space between the terms.
    if let Some(mark) = start.chars().next().filter(|c| "'\"′″’”".contains(*c)) {
        let (name, after) = start.split_at(mark.len_utf8());
        *rest = after;
        return name;
    }
    let mut end = start.len();
    for (index, c) in start.char_indices() {
        if c.is_whitespace() {
            let after = start[index..].trim_start();
            let after = after.strip_prefix('-').unwrap_or(after);
            if after.starts_with(|c: char| c.is_ascii_digit()) || vulgar(after).is_some() {
                end = index;
                break;
            }
        }
    }
    let (name, after) = start.split_at(end);
    *rest = after;
    name.trim_end()
}

/// The nearest of the units that are wanted: one in other letters, then one with two letters exchanged, then one that
/// differs by a letter.
fn nearest(name: &str, wanted: impl Fn(&str) -> bool) -> Option<&'static str> {
    let lower = name.to_lowercase();
    let is = |like: &dyn Fn(&str) -> bool| {
        spellings().filter(|symbol| symbol.chars().count() > 1).find(|symbol| like(symbol) && wanted(symbol))
    };
    is(&|symbol| symbol.to_lowercase() == lower)
        .or_else(|| is(&|symbol| has_two_exchanged(symbol, name)))
        .or_else(|| is(&|symbol| differs_by_one(symbol, name)))
}

/// Whether two words differ by two neighbouring letters in each other's place.
fn has_two_exchanged(a: &str, b: &str) -> bool {
    let (a, b): (Vec<char>, Vec<char>) = (a.chars().collect(), b.chars().collect());
    let differing: Vec<usize> = a.iter().zip(&b).enumerate().filter(|(_, (x, y))| x != y).map(|(at, _)| at).collect();
    let is_exchanged = |one: usize, other: usize| other == one + 1 && a[one] == b[other] && a[other] == b[one];
    a.len() == b.len() && matches!(differing.as_slice(), [one, other] if is_exchanged(*one, *other))
}

/// Whether two words differ by one letter added, dropped or exchanged.
fn differs_by_one(a: &str, b: &str) -> bool {
    let (a, b): (Vec<char>, Vec<char>) = (a.chars().collect(), b.chars().collect());
    let (short, long) = if a.len() <= b.len() { (&a, &b) } else { (&b, &a) };
    if short.len() < 2 || long.len() - short.len() > 1 {
        return false;
    }
    let head = short.iter().zip(long.iter()).take_while(|(x, y)| x == y).count();
    let tail = |from_short: usize, from_long: usize| short[from_short..] == long[from_long..];
    if short.len() == long.len() { head < short.len() && tail(head + 1, head + 1) } else { tail(head, head + 1) }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn si(text: &str) -> f64 {
        match parse(text) {
            Ok(quantity) => quantity.si,
            Err(error) => panic!("{text}: {error}"),
        }
    }

    fn close(text: &str, expected: f64) {
        let value = si(text);
        assert!((value - expected).abs() < 1e-9 * expected.abs().max(1.0), "{text}: {value} against {expected}");
    }

    #[test]
    fn lengths_as_builders_write_them() {
        let nine_and_a_half = 13.0 * 0.3048 + 9.5 * 0.0254;
        for text in [
            "13 ft 9 1/2 in",
            "13' 9 1/2\"",
            "13'-9 1/2\"",
            "13'9.5\"",
            "13 ft 9-1/2 in",
            "13 ft 9½ in",
            "13′ 9 ½″",
            "165.5 in",
            "165 1/2 in",
            "13 feet 9 1/2 inches",
        ] {
            close(text, nine_and_a_half);
        }
        close("5 1/2 in", 0.1397);
        close("7/16 in", 0.011_112_5);
        close("1/2\"", 0.0127);
        close("140 mm", 0.14);
        close("-3 ft 6 in", -1.0668);
        close("0 ft", 0.0);
        close("44 ft", 13.411_2);
    }

    #[test]
    fn other_quantities() {
        close("R-13", 13.0 * 0.176_110_183_682);
        close("R13", si("R-13"));
        close("RSI 2.3", 2.3);
        close("0.30 Btu/(h·ft²·°F)", 0.3 * 5.678_263_341);
        close("0.04 cfm/ft²", 0.04 * 0.005_08);
        close("45 g/L", 45.0);
        close("9 µg/(m²·h)", 9e-9 / 3600.0);
        close("-8 °F", -22.222_222_222_222);
        close("20 K", 20.0);
        close("5 lb 8 oz", 5.5 * 0.453_592_37);
        close("0.6 ACH", 0.6 / 3600.0);
        close("12 %", 0.12);
        close("4 pCi/L", 148.0);
        close("0.2 in w.g.", 0.2 * 249.088_91);
        close("185 $/yd³", 185.0 / 0.764_554_857_984);
        close("1e-3 m", 1e-3);
    }

    #[test]
    fn what_is_wrong_is_said() {
        let cases = [
            ("", "a value is missing"),
            ("ft", "'ft' does not begin with a number"),
            ("5.5.5 in", "unknown unit '.5 in'"),
            ("3 inn", "unknown unit 'inn' (did you mean 'in'?)"),
            ("30 cmf", "unknown unit 'cmf' (did you mean 'cfm'?)"),
            ("3 furlong", "unknown unit 'furlong'"),
            ("3 ft 2", "'3 ft 2' needs a unit"),
            ("1/0 in", "'1/0' is not a proper fraction"),
            ("9 17/16 in", "'17/16' is not a proper fraction"),
            ("3 ft 2 lb", "the terms measure different things"),
            ("3 in 2 ft", "the larger unit comes first, as in 2 ft 3 in"),
            ("5 ft -6 in", "'5 ft -6 in' has a minus within; only the first term has a sign, as in 5 ft 6 in"),
            ("13' -9\"", "'13' -9\"' has a minus within; only the first term has a sign, as in 5 ft 6 in"),
            ("1,500 psf", "'1,500 psf' has a comma; write a decimal point and no separators"),
            ("1e999 m", "'1e999 m' is not a finite number"),
            ("NaN m", "'NaN m' does not begin with a number"),
        ];
        for (text, message) in cases {
            match parse(text) {
                Err(error) => assert_eq!(error.to_string(), message, "{text}"),
                Ok(quantity) => panic!("{text} read as {quantity:?}"),
            }
        }
    }

    proptest! {
        #[test]
        fn no_text_panics(text in "\\PC{0,24}") {
            let _ = parse(&text);
        }

        #[test]
        fn near_quantities_do_not_panic(text in "[-0-9./ ½'\"ftinRSIcm²·()°FBtuhµ]{0,24}") {
            let _ = parse(&text);
        }

        #[test]
        fn sixteenths_of_an_inch_are_exact(feet in 0u32..100, inches in 0u32..12, sixteenths in 1u32..16) {
            let expected = (f64::from(feet) * 12.0 + f64::from(inches) + f64::from(sixteenths) / 16.0) * 0.0254;
            let value = si(&format!("{feet} ft {inches} {sixteenths}/16 in"));
            prop_assert!((value - expected).abs() < 1e-9);
        }
    }
}
