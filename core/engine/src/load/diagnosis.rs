//! What is wrong with an input, and where.

use mateline_model::Place;
use std::fmt;

/// A place in one of the project's files.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Span {
    /// Number of the file.
    pub file: usize,
    /// Line, from 1.
    pub line: u32,
    /// Column in characters, from 1.
    pub column: u32,
    /// Characters meant; 0 when unknown.
    pub length: u32,
}

impl Span {
    /// The beginning of a file.
    pub fn start(file: usize) -> Span {
        Span { file, line: 1, column: 1, length: 0 }
    }
}

/// One problem of the input.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Diagnosis {
    /// Where.
    pub at: Span,
    /// What is wrong.
    pub message: String,
    /// Other places that take part.
    pub notes: Vec<(Span, String)>,
    /// What to do.
    pub help: Option<String>,
}

impl Diagnosis {
    /// A problem at a place. The message may cite the input as it is.
    pub fn new(at: Span, message: impl Into<String>) -> Diagnosis {
        Diagnosis { at, message: printable(&message.into()), notes: Vec::new(), help: None }
    }

    /// With another place.
    #[must_use]
    pub fn note(mut self, at: Span, text: impl Into<String>) -> Diagnosis {
        self.notes.push((at, text.into()));
        self
    }

    /// With a way out.
    #[must_use]
    pub fn help(mut self, text: impl Into<String>) -> Diagnosis {
        self.help = Some(text.into());
        self
    }
}

/// A file of the project: its name relative to the project folder, and its text.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct SourceFile {
    /// Name relative to the project folder.
    pub name: String,
    /// Text.
    pub text: String,
}

/// Why an input cannot be used: every problem found, with the files to show them in.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct BadInput {
    /// The problems, in the order of the files.
    pub problems: Vec<Diagnosis>,
    /// The files.
    pub files: Vec<SourceFile>,
}

/// Problems that are shown; more are counted.
const MOST_SHOWN: usize = 200;

impl BadInput {
    /// Problems sorted by place, each once.
    pub fn new(mut problems: Vec<Diagnosis>, files: Vec<SourceFile>) -> BadInput {
        problems.sort_by(|a, b| (a.at, &a.message).cmp(&(b.at, &b.message)));
        problems.dedup();
        if let Some(first) = problems.get(MOST_SHOWN).map(|problem| problem.at) {
            let more = problems.len() - MOST_SHOWN;
            problems.truncate(MOST_SHOWN);
            problems.push(Diagnosis::new(first, format!("{more} more are wrong from here on; mend the others first")));
        }
        BadInput { problems, files }
    }

    /// A span as a place with the file's name.
    pub fn place(&self, span: Span) -> Place {
        place(&self.files, span)
    }
}

/// A span as a place with the file's name.
pub fn place(files: &[SourceFile], span: Span) -> Place {
    Place {
        file: files.get(span.file).map_or_else(String::new, |file| file.name.clone()),
        line: span.line,
        column: span.column,
        length: span.length,
    }
}

impl fmt::Display for BadInput {
    /// One line per problem: `home.yaml:3:5: message`.
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        for (index, problem) in self.problems.iter().enumerate() {
            let place = self.place(problem.at);
            if index > 0 {
                writeln!(f)?;
            }
            write!(f, "{}:{}:{}: {}", place.file, place.line, place.column, problem.message)?;
        }
        Ok(())
    }
}

impl std::error::Error for BadInput {}

/// Characters of a message; a longer one loses its middle.
const LONGEST_MESSAGE: usize = 400;
/// Known words that a misspelt one is held against.
const MOST_COMPARED: usize = 2_000;
/// Characters of a word cited from the input; a longer one loses its end.
const LONGEST_WORD: usize = 60;

/// A message as it can stand in one line of a terminal: control characters and those that turn the direction of
/// writing are spelt out.
fn printable(message: &str) -> String {
    let mut line = String::with_capacity(message.len());
    let length = message.chars().count();
    let kept_before = LONGEST_MESSAGE - 150;
    for (index, c) in message.chars().enumerate() {
        if length > LONGEST_MESSAGE && (kept_before..length - 120).contains(&index) {
            if index == kept_before {
                line.push_str(" … ");
            }
        } else if c.is_control() || is_unseen(c) {
            line.extend(c.escape_debug());
        } else {
            line.push(c);
        }
    }
    line
}

/// Whether a character shows nothing itself, or changes how its neighbours show.
fn is_unseen(c: char) -> bool {
    matches!(c, '\u{61c}' | '\u{200b}'..='\u{200f}' | '\u{2028}'..='\u{202e}' | '\u{2060}'..='\u{2069}' | '\u{feff}')
}

/// A word of the input, cut where it is very long.
pub fn cited(word: &str) -> String {
    match word.char_indices().nth(LONGEST_WORD) {
        Some(_) => word.chars().take(LONGEST_WORD - 1).chain(['…']).collect(),
        None => word.to_owned(),
    }
}

/// The known word nearest to a misspelt one, when it is near enough: alike from the beginning, and more than half of
/// the letters in place.
pub fn nearest<'a>(word: &str, known: impl IntoIterator<Item = &'a str>) -> Option<&'a str> {
    if word.chars().count() > LONGEST_WORD {
        return None;
    }
    known
        .into_iter()
        .take(MOST_COMPARED)
        .map(|candidate| (strsim::jaro_winkler(word, candidate), candidate))
        .filter(|(similarity, _)| *similarity > 0.75)
        .filter(|(_, candidate)| strsim::normalized_damerau_levenshtein(word, candidate) >= 0.5)
        .max_by(|a, b| a.0.total_cmp(&b.0))
        .map(|(_, candidate)| candidate)
}

/// ` (did you mean 'x'?)`, or nothing.
pub fn did_you_mean<'a>(word: &str, known: impl IntoIterator<Item = &'a str>) -> String {
    nearest(word, known).map(|near| format!(" (did you mean '{near}'?)")).unwrap_or_default()
}

/// A name in small letters, without what stands between its words, so that two spellings of it are found to be one.
pub fn plain(name: &str) -> String {
    name.chars().filter(|c| c.is_alphanumeric()).flat_map(char::to_lowercase).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_message_stands_in_one_readable_line() {
        assert_eq!(printable("a\n\u{1b}[31mb\u{202e}c é ft²"), "a\\n\\u{1b}[31mb\\u{202e}c é ft²");
        let long = printable(&"x".repeat(5_000));
        assert!(long.chars().count() < LONGEST_MESSAGE && long.contains(" … "), "{long}");
        assert_eq!(cited(&"x".repeat(5_000)).chars().count(), LONGEST_WORD);
    }

    #[test]
    fn only_a_near_word_is_meant() {
        let known = ["count", "u_factor", "width", "site-tape"];
        for (word, meant) in [("ufactor", "u_factor"), ("wdith", "width"), ("site_tape", "site-tape")] {
            assert_eq!(nearest(word, known), Some(meant));
        }
        for word in ["colour", "x", ""] {
            assert_eq!(nearest(word, known), None, "{word}");
        }
    }
}
