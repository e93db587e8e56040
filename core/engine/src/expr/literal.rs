//! Numbers with units: how far one reaches in the text of an expression.
//!
//! The value itself is read by [`quantity::parse`], so that a limit in a rule pack and a value in a home are read alike.

use super::syntax::is_word;
use mateline_model::quantity::{self, ParseError, Quantity};
use winnow::ascii::{digit0, digit1, multispace0, multispace1};
use winnow::combinator::{alt, opt, peek};
use winnow::prelude::*;
use winnow::token::one_of;

/// The longest unit looked for, in bytes.
const LONGEST_UNIT: usize = 48;

type Rest<'t> = &'t str;
type Fault = winnow::error::EmptyError;

/// A number found at the beginning of a text.
pub(super) struct Literal {
    /// Its length in bytes.
    pub length: usize,
    /// Its value, or what is wrong with it and which bytes of it that is about.
    pub value: Result<Quantity, (String, usize, usize)>,
}

/// Reads the number with unit that a text begins with; `None` when it begins with none. `negative`: a minus stands
/// before it.
pub(super) fn literal(text: &str, negative: bool) -> Option<Literal> {
    let mut rest = text;
    if let Ok(length) = resistance.map(str::len).parse_next(&mut rest) {
        return Some(value(text, length, negative));
    }
    let mut rest = text;
    figure(&mut rest).ok()?;
    let mut end = text.len() - rest.len();
    let mut first = true;
    loop {
        let gap = rest.len() - rest.trim_start().len();
        match unit(rest.get(gap..).unwrap_or_default(), first) {
            UnitAt::None if first => break,
            UnitAt::None => return Some(value(text, end, negative)),
            UnitAt::Known(length) => {
                end += gap + length;
                rest = text.get(end..).unwrap_or_default();
            }
            UnitAt::Unknown(length) => {
                let (start, end) = (end + gap, end + gap + length);
                let written = text.get(start..end).unwrap_or_default();
                let message = match quantity::parse(&format!("1 {written}")) {
                    Err(error @ ParseError::UnknownUnit(..)) => error.to_string(),
                    _ => format!("unknown unit '{written}'"),
                };
                return Some(Literal { length: end, value: Err((message, start, end)) });
            }
        }
        first = false;
        let before = rest;
        if (multispace1::<_, Fault>, figure).parse_next(&mut rest).is_err() {
            break;
        }
        end += before.len() - rest.len();
    }
    Some(value(text, end, negative))
}

fn value(text: &str, length: usize, negative: bool) -> Literal {
    let written = text.get(..length).unwrap_or_default();
    let glued = text.get(length..).unwrap_or_default().chars().next();
    if let Some(next) = glued.filter(|c| c.is_ascii_digit() || matches!(c, '.' | '_')) {
        return Literal { length, value: Err((format!("'{written}{next}' is not a number"), 0, length)) };
    }
    let read = if negative { quantity::parse(&format!("-{written}")) } else { quantity::parse(written) };
    Literal { length, value: read.map_err(|error| (error.to_string(), 0, length)) }
}

/// `R-13`, `R 13`, `R13`, `RSI 2.3`.
fn resistance<'t>(rest: &mut Rest<'t>) -> Result<&'t str, Fault> {
    (alt(("RSI", "R")), multispace0, opt('-'), multispace0, decimal).take().parse_next(rest)
}

/// A decimal, a whole number with a fraction, a one-character fraction, or a fraction that a unit follows.
fn figure<'t>(rest: &mut Rest<'t>) -> Result<&'t str, Fault> {
    alt((
        (digit1, multispace1, digit1, '/', digit1).void(),
        (digit1, multispace0, vulgar).void(),
        vulgar.void(),
        (digit1, '/', digit1, peek(a_unit)).void(),
        decimal.void(),
    ))
    .take()
    .parse_next(rest)
}

/// Digits, one point, an exponent.
fn decimal<'t>(rest: &mut Rest<'t>) -> Result<&'t str, Fault> {
    let mantissa = alt(((digit1, opt(('.', digit0))).void(), ('.', digit1).void()));
    let exponent = (one_of(['e', 'E']), opt(one_of(['-', '+'])), digit1);
    (mantissa, opt(exponent)).take().parse_next(rest)
}

fn vulgar(rest: &mut Rest<'_>) -> Result<char, Fault> {
    one_of(['½', '¼', '¾', '⅛', '⅜', '⅝', '⅞', '⅓', '⅔']).parse_next(rest)
}

/// Succeeds before a unit, known or not.
fn a_unit(rest: &mut Rest<'_>) -> Result<(), Fault> {
    multispace0.parse_next(rest)?;
    if matches!(unit(rest, true), UnitAt::None) { Err(winnow::error::EmptyError) } else { Ok(()) }
}

enum UnitAt {
    /// Whatever stands here is no unit.
    None,
    /// A unit of so many bytes.
    Known(usize),
    /// What looks like a unit, of so many bytes, and is not one.
    Unknown(usize),
}

/// The unit a text begins with. `may_ask`: an `in` here may be the operator of membership.
fn unit(rest: &str, may_ask: bool) -> UnitAt {
    let word = rest.len() - rest.trim_start_matches(char::is_alphanumeric).len();
    let (word, after) = rest.split_at(word);
    if (word != "in" && is_word(word)) || !rest.starts_with(begins_unit) {
        return UnitAt::None;
    }
    if let Some(length) = two_words(rest) {
        return UnitAt::Known(length);
    }
    if may_ask && word == "in" && !after.starts_with(['/', '·', '⋅']) && asks(after.trim_start()) {
        return UnitAt::None;
    }
    let reach = reach(rest);
    let ends = rest.char_indices().map(|(at, c)| at + c.len_utf8()).take_while(|end| *end <= reach.min(LONGEST_UNIT));
    let known = |end: &usize| {
        let (name, after) = rest.split_at(*end);
        !after.starts_with(goes_on) && quantity::unit(name).is_some()
    };
    if let Some(end) = ends.filter(known).last() {
        let beyond = rest.get(end..reach).unwrap_or_default();
        return if beyond.contains(only_in_units) { UnitAt::Unknown(reach) } else { UnitAt::Known(end) };
    }
    // The first factor is the one to name, unless it is right and a later one is wrong.
    let written = rest.get(..reach).unwrap_or_default();
    match written.split_once(['/', '·', '⋅']) {
        Some((first, _)) if quantity::unit(first).is_none() => UnitAt::Unknown(first.len()),
        _ => UnitAt::Unknown(reach),
    }
}

/// `sq ft`, `in w.g.`: units written as two words.
fn two_words(rest: &str) -> Option<usize> {
    let letters =
        |text: &str| text.len() - text.trim_start_matches(|c: char| c.is_ascii_alphabetic() || c == '.').len();
    let first = letters(rest);
    let second = letters(rest.get(first..)?.strip_prefix(' ')?);
    let end = first + 1 + second;
    let after = rest.get(end..)?;
    (first > 0 && second > 0 && !after.starts_with(goes_on) && quantity::unit(rest.get(..end)?).is_some())
        .then_some(end)
}

/// Whether what follows `in` makes it the operator: a list, a parenthesis or a name.
fn asks(after: &str) -> bool {
    let word = after.len() - after.trim_start_matches(|c: char| c.is_ascii_alphanumeric() || c == '_').len();
    let (word, _) = after.split_at(word);
    let a_name = word.starts_with(|c: char| c.is_ascii_lowercase() || c == '_') && !is_word(word);
    a_name || after.starts_with(['[', '('])
}

fn begins_unit(c: char) -> bool {
    c.is_alphabetic() || matches!(c, '°' | '%' | '$' | 'Δ' | '′' | '″')
}

/// Whether a unit that ends before this character has been cut off too early.
fn goes_on(c: char) -> bool {
    c.is_alphanumeric() || c == '_' || only_in_units(c)
}

/// Characters with no meaning in an expression outside a unit.
fn only_in_units(c: char) -> bool {
    matches!(c, '^' | '⁻' | '¹' | '²' | '³' | '⁴' | '°' | '%' | '$' | '·' | '⋅')
}

/// How far a unit could reach: to a space, an operator other than `/`, or a parenthesis it did not open.
fn reach(rest: &str) -> usize {
    let mut open = 0_usize;
    let mut before = ' ';
    for (at, c) in rest.char_indices() {
        match c {
            '(' => open += 1,
            ')' if open > 0 => open -= 1,
            '/' | '′' | '″' => {}
            '-' if before == '^' => {}
            c if goes_on(c) => {}
            _ => return at,
        }
        before = c;
    }
    rest.len()
}
