//! Text from files, packs and plugins, made harmless to look at: nothing in it moves a cursor, rings a bell or turns
//! the reading direction of what stands around it.

use std::borrow::Cow;

/// One line: line breaks and tabs become spaces, every other control character U+FFFD.
pub fn line(text: &str) -> Cow<'_, str> {
    replaced(text, |c| match c {
        '\n' | '\r' | '\t' | '\u{2028}' | '\u{2029}' => Some(' '),
        c if moves(c) => Some(char::REPLACEMENT_CHARACTER),
        _ => None,
    })
}

/// Text that may run over several lines: line feeds and tabs stay.
pub fn block(text: &str) -> Cow<'_, str> {
    replaced(text, |c| match c {
        '\n' | '\t' => None,
        c if moves(c) => Some(char::REPLACEMENT_CHARACTER),
        _ => None,
    })
}

/// Whether a character controls a terminal or overrides the direction of the text around it.
fn moves(c: char) -> bool {
    c.is_control()
        || matches!(c, '\u{202a}'..='\u{202e}' | '\u{2066}'..='\u{2069}' | '\u{feff}' | '\u{fffe}' | '\u{ffff}')
}

/// Replaces characters one for one, so that columns still count.
fn replaced(text: &str, replacement: impl Fn(char) -> Option<char>) -> Cow<'_, str> {
    if text.chars().any(|c| replacement(c).is_some()) {
        Cow::Owned(text.chars().map(|c| replacement(c).unwrap_or(c)).collect())
    } else {
        Cow::Borrowed(text)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn controls_and_direction_overrides_are_replaced_one_for_one() {
        assert_eq!(line("a\u{1b}[31mb\nc\u{7}"), "a\u{fffd}[31mb c\u{fffd}");
        assert_eq!(line("x\u{202e}y\u{2066}z"), "x\u{fffd}y\u{fffd}z");
        assert_eq!(block("a\n\tb\u{9b}1m"), "a\n\tb\u{fffd}1m");
        assert_eq!(line("R' = 4 m²·K/W 🏠 שלום"), "R' = 4 m²·K/W 🏠 שלום");
    }
}
