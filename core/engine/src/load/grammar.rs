//! What the grammar of YAML objects to, in words of the person who typed it, and where the mistake is: a parser gives up
//! where it is lost, which is often a line after the missing colon, brace or blank.

use super::diagnosis::{Diagnosis, Span, cited};

/// A problem from what the parser says, the place where it gave up, and the text.
pub(super) fn objection(said: &str, at: Span, text: &str) -> Diagnosis {
    let lines = Lines { all: text.lines().collect(), at };
    if said.contains("mapping values are not allowed") || said.contains("simple key expected ':'") {
        lines.colon()
    } else if said.contains("expected ',' or '}'") || said.contains("expected ',' or ']'") {
        lines.comma()
    } else if said.contains("block mapping, did not find expected key")
        || said.contains("block collection, did not find expected '-'")
    {
        lines.column()
    } else if said.starts_with("tabs disallowed") {
        Diagnosis::new(at, "the line begins with a tab").help("indent it by blanks: YAML counts no tabs")
    } else if let Some(character) = said.strip_prefix("unexpected character: ").filter(|one| !one.contains('\\')) {
        let message = format!("a text cannot begin with {character}");
        Diagnosis::new(at, message).help("put the whole text in quotes")
    } else {
        Diagnosis::new(at, format!("not YAML: {said}"))
    }
}

/// The lines of a text, seen from where the parser gave up.
struct Lines<'a> {
    all: Vec<&'a str>,
    at: Span,
}

impl Lines<'_> {
    /// A line by its number, from 1, without its remark.
    fn line(&self, number: u32) -> &str {
        let line = (number as usize).checked_sub(1).and_then(|index| self.all.get(index)).copied().unwrap_or_default();
        line.split(" #").next().unwrap_or_default().trim_end()
    }

    /// The nearest line above that says something.
    fn above(&self) -> Option<u32> {
        let says = |number: &u32| !self.line(*number).trim().is_empty() && !self.line(*number).trim().starts_with('#');
        (1..self.at.line).rev().find(says)
    }

    fn span(&self, line: u32, column: usize, length: usize) -> Span {
        let whole = |size: usize| u32::try_from(size).unwrap_or(u32::MAX);
        Span { file: self.at.file, line, column: whole(column), length: whole(length) }
    }

    /// From the first to the last letter of a line.
    fn words(&self, line: u32) -> Span {
        let text = self.line(line);
        self.span(line, indent(text) + 1, text.trim().chars().count())
    }

    /// A colon, or the blank behind one or behind a dash, is missing; else there is one too many in the line.
    fn colon(&self) -> Diagnosis {
        for line in [Some(self.at.line), self.above()].into_iter().flatten() {
            let words = self.line(line).trim();
            if words.strip_prefix('-').is_some_and(|rest| !rest.is_empty() && !rest.starts_with([' ', '-'])) {
                let at = self.span(line, indent(self.line(line)) + 1, 1);
                return Diagnosis::new(at, "no blank after the dash").help("write '- ' before each item of a list");
            }
            let key = words.trim_start_matches("- ");
            if !key.is_empty() && !has_key(key) && !key.starts_with(['{', '[', '"', '\'']) {
                let (message, help) = match key.split_once(':') {
                    Some((name, value)) => (
                        format!("no blank after the colon of '{}'", cited(name)),
                        format!("write '{}: {}'", cited(name), cited(value)),
                    ),
                    None => {
                        let name = key.split(' ').next().unwrap_or_default();
                        (format!("no colon after '{}'", cited(name)), format!("write '{}:'", cited(name)))
                    }
                };
                return Diagnosis::new(self.words(line), message).help(help);
            }
        }
        let help =
            "put several keys of one line in braces, as {id: A, date: 2026-10-05}, and a text with a colon in quotes";
        Diagnosis::new(self.at, "a second colon in one line").help(help)
    }

    /// A comma or the end of a brace or bracket is missing.
    fn comma(&self) -> Diagnosis {
        let here = self.line(self.at.line);
        let begins_line = here.chars().take((self.at.column as usize).saturating_sub(1)).all(char::is_whitespace);
        match self.above().filter(|_| begins_line) {
            Some(above) => {
                let message = "a brace or bracket of this line is not closed, or a comma is missing at its end";
                Diagnosis::new(self.words(above), message).note(self.at, "here the next begins")
            }
            None => Diagnosis::new(self.at, "a comma is missing before this, or quotes around a text that has one"),
        }
    }

    /// A line begins in another column than what it belongs to.
    fn column(&self) -> Diagnosis {
        let own = indent(self.line(self.at.line));
        let found = format!("the line begins in column {}, and no part above begins there", own + 1);
        let diagnosis =
            Diagnosis::new(self.words(self.at.line), found).help("begin the keys of one part in one column");
        match self.above() {
            Some(above) => {
                let column = indent(self.line(above)) + 1;
                diagnosis.note(self.words(above), format!("the line above begins in column {column}"))
            }
            None => diagnosis,
        }
    }
}

fn indent(line: &str) -> usize {
    line.chars().take_while(|letter| letter.is_whitespace()).count()
}

/// Whether a line holds a key with its colon: one at its end or before a blank.
fn has_key(words: &str) -> bool {
    words.ends_with(':') || words.contains(": ")
}

#[cfg(test)]
mod tests {
    #![allow(clippy::panic, reason = "a test may stop here")]
    use crate::load::parse;

    /// The mistake in a text: where, and what is said about it.
    fn told(text: &str) -> String {
        let Err(found) = parse(text, 0) else { panic!("it is YAML: {text}") };
        found.iter().map(|one| format!("{}:{} {}", one.at.line, one.at.column, one.message)).collect()
    }

    #[test]
    fn a_mistake_is_told_where_it_was_made() {
        for (text, expected) in [
            ("site\n  place: x\n", "1:1 no colon after 'site'"),
            ("a: 1\nsite\n  place: x\n", "2:1 no colon after 'site'"),
            ("site:\n  place here\n  zone: 5A\n", "2:3 no colon after 'place'"),
            ("site:\n  place:here\n  zone: 5A\n", "2:3 no blank after the colon of 'place'"),
            ("layers:\n  -{a: b, c: d}\n", "2:3 no blank after the dash"),
            ("revision: id: A, date: x}\n", "1:13 a second colon in one line"),
            ("note: foam: 2 in to 3 in\n", "1:11 a second colon in one line"),
            ("a: {b: 1 c: 2}\n", "1:11 a comma is missing before this, or quotes around a text that has one"),
            (
                "m:\n  A: {b: {c: 1}\n  B: {b: 2}\n",
                "2:3 a brace or bracket of this line is not closed, or a comma is missing at its end",
            ),
            ("m:\n   A: {b: 1}\n  B: {b: 2}\n", "3:3 the line begins in column 3, and no part above begins there"),
            ("site:\n\tplace: x\n", "2:2 the line begins with a tab"),
            ("place: @home\n", "1:8 a text cannot begin with '@'"),
            ("place: \"home\nzone: 5\n", "1:8 not YAML: unclosed quote"),
        ] {
            assert_eq!(told(text), expected, "{text}");
        }
    }
}
