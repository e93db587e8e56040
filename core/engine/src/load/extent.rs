//! How much of its first line a list or mapping takes. The text is gone through once, however many there are.

use super::diagnosis::Span;

/// A bracket of a line.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
struct Bracket {
    /// Its line, from 1.
    line: u32,
    /// Its column in characters, from 1.
    column: u32,
    /// The column behind what begins before the bracket and holds it: behind the bracket that closes this one, or at
    /// this one if it closes what began earlier.
    end: Option<u32>,
}

/// The brackets of a text, in order, and where its lines end.
#[derive(Debug)]
pub(super) struct Extents {
    brackets: Vec<Bracket>,
    /// The column behind each line's last character that is no blank.
    ends: Vec<u32>,
}

impl Extents {
    /// Goes through a text once. Brackets in quotes and comments count too: the extent is for showing only.
    pub fn of(text: &str) -> Extents {
        let mut extents = Extents { brackets: Vec::new(), ends: Vec::new() };
        let mut open: Vec<usize> = Vec::new();
        for (line, written) in (1..).zip(text.lines()) {
            let mut column = 1;
            open.clear();
            for c in written.trim_end().chars() {
                match c {
                    '{' | '[' => {
                        open.push(extents.brackets.len());
                        extents.brackets.push(Bracket { line, column, end: None });
                    }
                    '}' | ']' => {
                        if let Some(opening) = open.pop().and_then(|opening| extents.brackets.get_mut(opening)) {
                            opening.end = Some(column + 1);
                        }
                        extents.brackets.push(Bracket { line, column, end: Some(column) });
                    }
                    _ => {}
                }
                column += 1;
            }
            extents.ends.push(column);
        }
        extents
    }

    /// The characters that a list or mapping takes from where it begins: up to its closing bracket, or the whole of
    /// the line.
    pub fn length(&self, span: Span) -> u32 {
        let next = self.brackets.partition_point(|one| (one.line, one.column) < (span.line, span.column));
        let bracket = self.brackets.get(next).filter(|bracket| bracket.line == span.line);
        let of_line = self.ends.get(span.line as usize - 1).copied().unwrap_or(span.column);
        bracket.and_then(|bracket| bracket.end).unwrap_or(of_line).saturating_sub(span.column)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    /// The same by walking along the line from where the list begins.
    fn walked(line: &str, column: u32) -> u32 {
        let (mut depth, mut length) = (0i32, 0);
        for c in line.trim_end().chars().skip(column as usize - 1) {
            depth += match c {
                '{' | '[' => 1,
                '}' | ']' => -1,
                _ => 0,
            };
            if depth < 0 {
                break;
            }
            length += 1;
            if depth == 0 && matches!(c, '}' | ']') {
                break;
            }
        }
        length
    }

    proptest! {
        #[test]
        fn an_extent_is_what_walking_along_the_line_finds(text in "[a \\[\\]{}é\n]{0,60}") {
            let extents = Extents::of(&text);
            for (line, written) in (1u32..).zip(text.lines()) {
                for column in 1..=written.chars().count() as u32 + 1 {
                    let span = Span { file: 0, line, column, length: 0 };
                    prop_assert_eq!(extents.length(span), walked(written, column), "{:?} {}", written, column);
                }
            }
        }
    }

    /// What is kept grows with the brackets alone; asking looks at the logarithm of them.
    #[test]
    fn a_long_line_is_gone_through_once() {
        let text = format!("x: [{}]", "{}, ".repeat(60_000));
        assert_eq!(Extents::of(&text).brackets.len(), 120_002);
    }
}
