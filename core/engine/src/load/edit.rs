//! A value in place of what a home's files say: to see what would come of it, and to write it where it stands.

use super::diagnosis::SourceFile;
use super::tree::{Node, Placed, parse};
use serde_json::Value;

/// Another text for one value of a home.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Edit {
    /// The path of the value: keys, and positions in lists.
    pub path: Vec<String>,
    /// Its text.
    pub text: String,
}

impl Placed {
    /// Puts a text in place of the value at a path, which keeps its place. Whether there is one value there.
    pub(super) fn replace(&mut self, edit: &Edit) -> bool {
        self.replace_at(&edit.path, &edit.text)
    }

    fn replace_at(&mut self, path: &[String], text: &str) -> bool {
        let Some((first, rest)) = path.split_first() else {
            let is_one = !matches!(self.node, Node::Map(_) | Node::Seq(_));
            if is_one {
                self.node = Node::Str(text.to_owned());
            }
            return is_one;
        };
        match &mut self.node {
            Node::Map(entries) => entries.entry_mut(first).is_some_and(|entry| entry.value.replace_at(rest, text)),
            Node::Seq(items) => {
                let item = first.parse::<usize>().ok().and_then(|index| items.get_mut(index));
                item.is_some_and(|item| item.replace_at(rest, text))
            }
            _ => false,
        }
    }
}

/// The text of the file that holds a value, with the value changed where it stands and nothing else: which file, and its
/// new text.
///
/// # Errors
/// Why it is not written: where it is not written out as one value, or where other values share it.
pub fn written(tree: &Placed, files: &[SourceFile], edit: &Edit) -> Result<(usize, String), String> {
    let path = edit.path.join(".");
    let here = tree.at(&edit.path).ok_or_else(|| format!("{path} is not in the home"))?;
    let Node::Str(old) = &here.node else { return Err(format!("{path} is no text with a unit")) };
    let span = here.span;
    let file = files.get(span.file).ok_or_else(|| format!("{path} stands in no file"))?;
    let start = offset(&file.text, span.line, span.column).ok_or_else(|| format!("{path} has no place"))?;
    let rest = file.text.get(start..).unwrap_or_default();
    let quote = rest.chars().next().filter(|first| matches!(first, '"' | '\'')).map(String::from).unwrap_or_default();
    let as_written = format!("{quote}{old}{quote}");
    if !rest.starts_with(&as_written) {
        return Err(format!("{path} is not written out at its place"));
    }
    let text = format!("{}{quote}{}{quote}{}", &file.text[..start], edit.text, &rest[as_written.len()..]);
    let read = |text: &str| parse(text, span.file).map(|tree| tree.to_json());
    let (Ok(before), Ok(after)) = (read(&file.text), read(&text)) else {
        return Err(format!("{path} cannot be written as '{}' where it stands", edit.text));
    };
    match differences(&before, &after) {
        1 => Ok((span.file, text)),
        _ => Err(format!("other values share {path}; change it by hand, for all of them")),
    }
}

/// How many values differ between two trees of the same shape.
fn differences(one: &Value, other: &Value) -> usize {
    match (one, other) {
        (Value::Object(one), Value::Object(other)) if one.len() == other.len() => {
            one.iter().map(|(key, value)| other.get(key).map_or(usize::MAX / 1024, |o| differences(value, o))).sum()
        }
        (Value::Array(one), Value::Array(other)) if one.len() == other.len() => {
            std::iter::zip(one, other).map(|(a, b)| differences(a, b)).sum()
        }
        _ => usize::from(one != other),
    }
}

/// Where a line and column (characters, from 1) begin in a text.
fn offset(text: &str, line: u32, column: u32) -> Option<usize> {
    let mut begin = 0;
    for _ in 1..line {
        begin += text.get(begin..)?.find('\n')? + 1;
    }
    let of_line = text.get(begin..)?.split('\n').next()?;
    let within =
        of_line.char_indices().map(|(at, _)| at).chain([of_line.len()]).nth((column as usize).checked_sub(1)?)?;
    Some(begin + within)
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used, reason = "a test may stop here")]
    use super::*;

    fn edited(text: &str, path: &str, to: &str) -> Result<String, String> {
        let tree = parse(text, 0).unwrap();
        let files = [SourceFile { name: "home.yaml".to_owned(), text: text.to_owned() }];
        let edit = Edit { path: path.split('.').map(str::to_owned).collect(), text: to.to_owned() };
        written(&tree, &files, &edit).map(|(_, text)| text)
    }

    #[test]
    fn bytes_change_only_where_the_value_stands() {
        let text = "# a note\na:\n  - {d: 2 in, ü: x} # kept\n  - {d: \"3 in\"}\n";
        assert_eq!(edited(text, "a.0.d", "2 1/2 in").unwrap(), text.replace("d: 2 in", "d: 2 1/2 in"));
        assert_eq!(edited(text, "a.1.d", "4 in").unwrap(), text.replace("3 in", "4 in"));
        assert_eq!(edited(text, "a.0.ü", "y").unwrap(), text.replace("ü: x", "ü: y"));
    }

    #[test]
    fn what_others_share_is_left_to_a_person() {
        let text = "a: {d: &thick 2 in}\nb: {d: *thick}\n";
        let refused = edited(text, "a.d", "3 in").unwrap_err();
        assert!(refused.contains("share") || refused.contains("not written out"), "{refused}");
        assert!(edited(text, "b.d", "3 in").is_err());
        assert!(edited("a: 3\n", "a", "4").is_err());
        assert!(edited("a: {b: x}\n", "a", "4").is_err());
        assert!(edited("a: x\n", "b", "4").is_err());
    }
}
