//! A review comment: Markdown that fits a forge's limit and in which text from files stays text.

use crate::printable;

/// Bytes of a comment; the usual forges accept a little more.
pub const LONGEST_COMMENT: usize = 60_000;
/// Characters of one text before it is cut.
const LONGEST_TEXT: usize = 400;
/// Bytes kept for the line that counts what was left out of a part.
const ROOM_FOR_COUNT: usize = 64;

/// A text and its parts, in at most [`LONGEST_COMMENT`] bytes: what is left out at the end of a part is counted.
pub(crate) fn fit(mut text: String, parts: &[Part]) -> String {
    let fixed: usize = parts.iter().map(|part| part.head().len() + ROOM_FOR_COUNT).sum();
    let mut left = LONGEST_COMMENT.saturating_sub(text.len() + fixed);
    let mut later: usize = parts.iter().map(Part::size).sum();
    for part in parts {
        text.push_str(&part.head());
        // What comes later has a third of the room, or as much of it as it needs.
        later -= part.size();
        let mut room = left - later.min(left / 3);
        let mut hidden = 0;
        for row in &part.rows {
            if row.text.len() < room {
                room -= row.text.len() + 1;
                left -= row.text.len() + 1;
                text.push_str(&row.text);
                text.push('\n');
            } else {
                // Nothing later of this part is shown: what stands in the comment is the weightiest.
                hidden += row.counts;
                room = 0;
            }
        }
        if hidden > 0 {
            text.push_str(&format!("\n… and {hidden} more\n"));
        }
    }
    text
}

/// A part of the comment: a heading, lines before its rows, and rows that may be left out.
pub(crate) struct Part {
    pub heading: String,
    pub lead: &'static str,
    pub rows: Vec<Row>,
}

/// A line of a part.
#[derive(Clone)]
pub(crate) struct Row {
    pub text: String,
    /// What it stands for in the count of what was left out.
    pub counts: usize,
}

impl Row {
    pub fn new(text: String) -> Row {
        Row { text, counts: 1 }
    }
}

impl Part {
    fn head(&self) -> String {
        format!("\n### {}\n\n{}", self.heading, self.lead)
    }

    /// Bytes of all its rows.
    fn size(&self) -> usize {
        self.rows.iter().map(|row| row.text.len() + 1).sum()
    }
}

/// A code span: nothing in it is markup, a mention or a link.
pub(crate) fn code(text: &str) -> String {
    let text = cut(&printable::line(text));
    let mut longest = 0;
    let mut run = 0;
    for c in text.chars() {
        run = if c == '`' { run + 1 } else { 0 };
        longest = longest.max(run);
    }
    let fence = "`".repeat(longest + 1);
    let pad = if text.is_empty() || text.starts_with(['`', ' ']) || text.ends_with(['`', ' ']) { " " } else { "" };
    format!("{fence}{pad}{text}{pad}{fence}")
}

/// A code span in a table, where a bar would end the cell.
pub(crate) fn cell(text: &str) -> String {
    code(text).replace('|', "\\|")
}

/// Running text: what would be markup is escaped; mentions, references and addresses lose their link by a joiner that
/// takes no room.
pub(crate) fn prose(text: &str) -> String {
    let mut safe = String::new();
    for c in cut(&printable::line(text)).chars() {
        match c {
            '\\' | '`' | '*' | '_' | '[' | ']' | '<' | '>' | '|' | '~' | '&' | '$' => safe.extend(['\\', c]),
            '@' | '#' => safe.extend([c, '\u{2060}']),
            c => safe.push(c),
        }
    }
    safe.replace("://", ":\u{2060}//").replace("www.", "www\u{2060}.")
}

fn cut(text: &str) -> String {
    let mut shown: String = text.chars().take(LONGEST_TEXT).collect();
    if shown.len() < text.len() {
        shown.push('…');
    }
    shown
}

/// A comment as a reader of Markdown takes it apart, for tests.
#[cfg(test)]
pub(crate) mod reading {
    #![allow(clippy::panic, reason = "a test may stop here")]

    /// The comment without what a backslash makes plain.
    pub(crate) fn without_escapes(comment: &str) -> String {
        let mut after_backslash = false;
        let mut kept = String::new();
        for c in comment.chars() {
            if after_backslash || c == '\\' {
                after_backslash = !after_backslash;
            } else {
                kept.push(c);
            }
        }
        kept
    }

    /// The comment without its code spans, as a reader of CommonMark finds them.
    pub(crate) fn outside_code(comment: &str) -> String {
        let mut outside = String::new();
        for line in comment.lines() {
            let mut rest = line;
            while let Some(at) = rest.find('`') {
                let (before, from) = rest.split_at(at);
                outside.push_str(before);
                let fence = from.chars().take_while(|c| *c == '`').count();
                let inner = from.get(fence..).unwrap_or_default();
                if before.ends_with('\\') {
                    rest = from.get(1..).unwrap_or_default();
                    continue;
                }
                let mut end = None;
                let mut from_here = 0;
                while let Some(found) = inner.get(from_here..).and_then(|rest| rest.find('`')) {
                    let start = from_here + found;
                    let run = inner.get(start..).map_or(0, |rest| rest.chars().take_while(|c| *c == '`').count());
                    if run == fence {
                        end = Some(start + run);
                        break;
                    }
                    from_here = start + run;
                }
                let end = end.unwrap_or_else(|| panic!("a code span does not end in {line}"));
                rest = inner.get(end..).unwrap_or_default();
            }
            outside.push_str(rest);
            outside.push('\n');
        }
        outside
    }
}
