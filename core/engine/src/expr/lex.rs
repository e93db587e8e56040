//! Characters to tokens.

use super::error::ExpressionError;
use super::literal::literal;
use super::syntax::{Arithmetic, Comparator, Sign, WORDS};
use mateline_model::quantity::{Dimension, Quantity};
use winnow::combinator::{alt, delimited};
use winnow::error::EmptyError;
use winnow::prelude::*;
use winnow::token::take_till;

/// A token and the bytes it takes up.
#[derive(Clone, Debug)]
pub(super) struct Token {
    pub lexeme: Lexeme,
    pub start: usize,
    pub end: usize,
}

/// What a token is.
#[derive(Clone, Debug, PartialEq)]
pub(super) enum Lexeme {
    Number(Quantity),
    Text(String),
    Name(String),
    Sign(Sign),
}

/// Every token of a text.
///
/// # Errors
/// Everything in it that cannot be read.
pub(super) fn tokens(text: &str) -> Result<Vec<Token>, Vec<ExpressionError>> {
    let mut tokens: Vec<Token> = Vec::new();
    let mut errors = Vec::new();
    let mut rest = text;
    loop {
        rest = rest.trim_start();
        if rest.is_empty() {
            break;
        }
        let start = text.len() - rest.len();
        if let Some((from, length)) = tokens.last().and_then(|last| signed_term(last, rest)) {
            let written = text.get(from..start + length).unwrap_or_default();
            let message = format!("'{written}' can be read in two ways; set a blank behind the minus, or leave it out");
            errors.push(ExpressionError::new(message, from, start + length));
            rest = rest.get(length..).unwrap_or_default();
            continue;
        }
        let begins_value = tokens.last().is_none_or(|token| !token.ends_value());
        match token(rest, begins_value) {
            Ok((lexeme, length)) => {
                tokens.push(Token { lexeme, start, end: start + length });
                rest = rest.get(length..).unwrap_or_default();
            }
            Err(fault) => {
                errors.push(ExpressionError::new(fault.message, start + fault.start, start + fault.end));
                rest = rest.get(fault.length..).unwrap_or_default();
            }
        }
    }
    if errors.is_empty() { Ok(tokens) } else { Err(errors) }
}

impl Token {
    /// As written, in quotes if it has none of its own.
    pub fn quoted(&self, text: &str) -> String {
        let written = text.get(self.start..self.end).unwrap_or_default();
        if matches!(self.lexeme, Lexeme::Text(_)) { written.to_owned() } else { format!("'{written}'") }
    }

    /// Whether a value has just ended, so that a `-` after it subtracts.
    fn ends_value(&self) -> bool {
        match self.lexeme {
            Lexeme::Number(_) | Lexeme::Text(_) | Lexeme::Name(_) => true,
            Lexeme::Sign(sign) => matches!(sign, Sign::True | Sign::False | Sign::Close | Sign::CloseList),
        }
    }
}

/// `3 ft -2 in`, which may mean 2 ft 10 in or 3 ft 2 in: where it begins, and the length of its second term.
fn signed_term(last: &Token, rest: &str) -> Option<(usize, usize)> {
    let Lexeme::Number(first) = &last.lexeme else { return None };
    let sums = matches!(first.dimension, Dimension::LENGTH | Dimension::MASS);
    if !sums || rest.strip_prefix('-')?.starts_with(char::is_whitespace) {
        return None;
    }
    match number(rest, 1, false)? {
        Ok((Lexeme::Number(second), length)) if second.dimension == first.dimension => Some((last.start, length)),
        _ => None,
    }
}

/// What cannot be read: the bytes it is about, and the bytes to leave out before going on.
struct Fault {
    message: String,
    start: usize,
    end: usize,
    length: usize,
}

impl Fault {
    fn whole(message: String, length: usize) -> Fault {
        Fault { message, start: 0, end: length, length }
    }
}

/// The token a text begins with, and its length.
fn token(rest: &str, begins_value: bool) -> Result<(Lexeme, usize), Fault> {
    if let Some(after) = rest.strip_prefix('-').filter(|_| begins_value) {
        let gap = 1 + after.len() - after.trim_start().len();
        if !after.trim_start().starts_with('R')
            && let Some(found) = number(rest, gap, true)
        {
            return found;
        }
    }
    if let Some(found) = number(rest, 0, false) {
        return found;
    }
    if rest.starts_with('\'') {
        return quoted(rest);
    }
    if rest.starts_with(begins_name) {
        return name(rest);
    }
    sign(rest)
}

/// A number, `gap` bytes in.
fn number(rest: &str, gap: usize, negative: bool) -> Option<Result<(Lexeme, usize), Fault>> {
    let found = literal(rest.get(gap..)?, negative)?;
    let length = gap + found.length;
    Some(match found.value {
        Ok(quantity) => Ok((Lexeme::Number(quantity), length)),
        Err((message, start, end)) => Err(Fault { message, start: gap + start, end: gap + end, length }),
    })
}

fn quoted(rest: &str) -> Result<(Lexeme, usize), Fault> {
    let mut text = delimited::<_, _, _, _, EmptyError, _, _, _>('\'', take_till(0.., '\''), '\'');
    match text.parse_peek(rest) {
        Ok((after, text)) => Ok((Lexeme::Text(text.to_owned()), rest.len() - after.len())),
        Err(_) => Err(Fault::whole("the text is not closed with '".to_owned(), rest.len())),
    }
}

fn begins_name(c: char) -> bool {
    c.is_ascii_lowercase() || c == '_'
}

/// A dotted name, or a word with a meaning of its own.
fn name(rest: &str) -> Result<(Lexeme, usize), Fault> {
    let mut end = segment(rest);
    while let Some(after) = rest.get(end..).and_then(|after| after.strip_prefix('.')) {
        let length = segment(after);
        if length == 0 {
            let wrong =
                after.len() - after.trim_start_matches(|c: char| c.is_alphanumeric() || "_-.".contains(c)).len();
            let whole = end + 1 + wrong;
            let written = rest.get(..whole).unwrap_or_default();
            let message = format!("'{written}' is not a name (each part begins with a lower-case letter)");
            return Err(Fault::whole(message, whole));
        }
        end += 1 + length;
    }
    let written = rest.get(..end).unwrap_or_default();
    let word = WORDS.iter().find(|(word, _)| *word == written);
    let lexeme = word.map_or_else(|| Lexeme::Name(written.to_owned()), |(_, sign)| Lexeme::Sign(*sign));
    Ok((lexeme, end))
}

/// The length of the segment of a name a text begins with. A `-` belongs to it between a letter or digit and a letter.
fn segment(text: &str) -> usize {
    if !text.starts_with(begins_name) {
        return 0;
    }
    let mut characters = text.char_indices().peekable();
    let mut before = '_';
    while let Some((at, c)) = characters.next() {
        let next = characters.peek().map(|(_, c)| *c);
        let joins = c == '-' && before.is_ascii_alphanumeric() && next.is_some_and(|next| next.is_ascii_alphabetic());
        if !(c.is_ascii_alphanumeric() || c == '_' || joins) {
            return at;
        }
        before = c;
    }
    text.len()
}

/// A mark with a meaning of its own.
fn sign(rest: &str) -> Result<(Lexeme, usize), Fault> {
    let compared = alt((
        "==".value(Comparator::Equal),
        "!=".value(Comparator::Unequal),
        "<=".value(Comparator::AtMost),
        ">=".value(Comparator::AtLeast),
        '<'.value(Comparator::Below),
        '>'.value(Comparator::Above),
    ))
    .map(Sign::Comparator);
    let computed = alt((
        '+'.value(Arithmetic::Plus),
        '-'.value(Arithmetic::Minus),
        '*'.value(Arithmetic::Times),
        '/'.value(Arithmetic::Over),
    ))
    .map(Sign::Arithmetic);
    let bracket = alt((
        '('.value(Sign::Open),
        ')'.value(Sign::Close),
        '['.value(Sign::OpenList),
        ']'.value(Sign::CloseList),
        ','.value(Sign::Comma),
    ));
    let joined = alt(("&&".value(Sign::And), "||".value(Sign::Or), '!'.value(Sign::Not)));
    let mut any = alt::<_, _, EmptyError, _>((compared, computed, bracket, joined));
    if let Ok((after, sign)) = any.parse_peek(rest) {
        return Ok((Lexeme::Sign(sign), rest.len() - after.len()));
    }
    Err(odd(rest))
}

/// Something that is no token, with what was probably meant.
fn odd(rest: &str) -> Fault {
    let word =
        rest.len() - rest.trim_start_matches(|c: char| c.is_alphanumeric() || matches!(c, '_' | '-' | '.')).len();
    if rest.starts_with(char::is_alphabetic) {
        let written = rest.get(..word).unwrap_or_default();
        let message = format!("'{written}' is not a name (each part begins with a lower-case letter)");
        return Fault::whole(message, word);
    }
    let c = rest.chars().next().unwrap_or_default();
    let hint = match c {
        '=' => " (did you mean '=='?)",
        '&' => " (did you mean '&&'?)",
        '|' => " (did you mean '||'?)",
        '"' | '‘' | '’' | '“' | '”' => " (a text stands in single quotes: 'wall')",
        '≤' => " (did you mean '<='?)",
        '≥' => " (did you mean '>='?)",
        '≠' => " (did you mean '!='?)",
        '−' | '–' => " (did you mean '-'?)",
        '×' | '·' => " (did you mean '*'?)",
        '÷' => " (did you mean '/'?)",
        _ => "",
    };
    Fault::whole(format!("unexpected '{}'{hint}", c.escape_debug()), c.len_utf8())
}
