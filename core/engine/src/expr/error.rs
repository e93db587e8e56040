//! What is wrong with an expression, and where in its text.

use std::fmt;

/// One thing wrong with an expression.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct ExpressionError {
    /// What is wrong: lower-case start, no full stop.
    pub message: String,
    /// First byte of the offending piece of the text.
    pub start: usize,
    /// The byte after its last.
    pub end: usize,
}

impl ExpressionError {
    pub(super) fn new(message: impl Into<String>, start: usize, end: usize) -> ExpressionError {
        ExpressionError { message: message.into(), start, end }
    }
}

impl fmt::Display for ExpressionError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.message)
    }
}

impl std::error::Error for ExpressionError {}

/// ` (did you mean 'wall'?)`, or nothing where no word is near.
pub(super) fn did_you_mean(near: Option<&str>) -> String {
    near.map_or_else(String::new, |word| format!(" (did you mean '{word}'?)"))
}

/// Words that are listed where none is like the one written.
const MOST_LISTED: usize = 12;

/// That a text of these words is never the one written: the word most like it, or which they are.
pub(crate) fn never(written: &str, what: &str, words: &[String]) -> String {
    let hint = match nearest(written, words.iter().map(String::as_str)) {
        None if words.len() <= MOST_LISTED => format!("; it is one of {}", words.join(", ")),
        near => did_you_mean(near),
    };
    format!("'{written}' is never a value of {what}{hint}")
}

/// The word most like the one written; `None` when none is near. Of two equally near, the first.
pub(super) fn nearest<'w>(written: &str, words: impl IntoIterator<Item = &'w str>) -> Option<&'w str> {
    let mut best: Option<(f64, &str)> = None;
    for word in words {
        let likeness = strsim::jaro_winkler(written, word);
        if likeness > 0.75 && best.is_none_or(|(most, _)| likeness > most) {
            best = Some((likeness, word));
        }
    }
    best.map(|(_, word)| word)
}
