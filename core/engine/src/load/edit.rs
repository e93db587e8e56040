//! A value in place of what a home's files say: to see what would come of it, and to write it where it stands.

use super::diagnosis::{SourceFile, Span};
use super::tree::{Node, Placed, parse};
use super::words;
use serde::Serialize;
use serde_json::Value;
use std::collections::BTreeMap;

/// Another text for one value of a home.
#[derive(Clone, Debug, PartialEq, Eq, Hash, Serialize)]
pub struct Edit {
    /// The path of the value: keys, and positions in lists.
    pub path: Vec<String>,
    /// Its text; a list of words as it is written on a line, `[tape, foam]`.
    pub text: String,
}

/// What is other on a home than its files say.
#[derive(Clone, Copy, Debug, Default)]
pub struct Changes<'a> {
    /// Values.
    pub values: &'a [Edit],
    /// What takes the place of entries of its site.
    pub site: Option<&'a Placed>,
}

impl Changes<'_> {
    /// Makes them.
    pub(super) fn make(self, home: &mut Placed) {
        if let Some(Node::Map(entries)) = self.site.map(|site| &site.node) {
            let at = home.span_at(&["site"]);
            entries.iter().for_each(|entry| home.put("site", &entry.key, entry.value.clone().moved_to(at)));
        }
        for edit in self.values {
            home.replace(edit);
        }
    }
}

impl Placed {
    /// The same, as if all of it stood at one place.
    fn moved_to(mut self, at: Span) -> Placed {
        self.span = at;
        match &mut self.node {
            Node::Map(entries) => entries.iter_mut().for_each(|entry| {
                entry.key_span = at;
                entry.value = entry.value.clone().moved_to(at);
            }),
            Node::Seq(items) => items.iter_mut().for_each(|item| *item = item.clone().moved_to(at)),
            _ => {}
        }
        self
    }

    /// Puts a text in place of the value at a path, which keeps its place. Whether there is one value there.
    pub(super) fn replace(&mut self, edit: &Edit) -> bool {
        self.replace_at(&edit.path, &edit.text)
    }

    fn replace_at(&mut self, path: &[String], text: &str) -> bool {
        let Some((first, rest)) = path.split_first() else {
            let is_one = match &self.node {
                Node::Map(_) => false,
                Node::Seq(_) => words::text(&self.node).is_some(),
                _ => true,
            };
            if is_one {
                self.node = words::node(text, self.span);
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

/// The texts of the files that hold values, with those changed where they stand and nothing else: which file, and its new
/// text. A value that others share is written where all that share it are changed alike.
///
/// # Errors
/// Why they are not written: where one is not written out as one value, or where other values share it.
pub fn written(tree: &Placed, files: &[SourceFile], edits: &[Edit]) -> Result<Vec<(usize, String)>, String> {
    let mut at: BTreeMap<(usize, u32, u32), (&Edit, usize)> = BTreeMap::new();
    for edit in edits {
        let path = edit.path.join(".");
        let here = tree.at(&edit.path).ok_or_else(|| format!("{path} is not in the home"))?;
        if words::text(&here.node).is_some_and(|now| words::same(&now, &edit.text)) {
            continue;
        }
        let span = here.span;
        let (first, count) = at.entry((span.file, span.line, span.column)).or_insert((edit, 0));
        if first.text != edit.text {
            return Err(format!("{path} and {} are one value", first.path.join(".")));
        }
        *count += 1;
    }
    let mut texts: BTreeMap<usize, String> = BTreeMap::new();
    // From the last place to the first, so that the places of those still to come stay as they are.
    for ((file, line, column), (edit, _)) in at.iter().rev() {
        let source = files.get(*file).ok_or_else(|| format!("{} stands in no file", edit.path.join(".")))?;
        let text = texts.entry(*file).or_insert_with(|| source.text.clone());
        *text = in_place(tree, text, (*line, *column), edit)?;
    }
    for (file, text) in &texts {
        let of_file = || at.iter().filter(|((number, ..), _)| number == file).map(|(_, (edit, count))| (*edit, *count));
        let names = || of_file().map(|(edit, _)| edit.path.join(".")).collect::<Vec<_>>().join(", ");
        let read = |text: &str| parse(text, *file).map(|tree| tree.to_json());
        let (Some(Ok(before)), Ok(after)) = (files.get(*file).map(|source| read(&source.text)), read(text)) else {
            return Err(format!("{} cannot be written like that where it stands", names()));
        };
        if differences(&before, &after) != of_file().map(|(_, count)| count).sum::<usize>() {
            return Err(format!("other values share {}; change it by hand, for all of them", names()));
        }
    }
    Ok(texts.into_iter().collect())
}

/// A text with one value of it changed, which stands at a line and column.
fn in_place(tree: &Placed, text: &str, (line, column): (u32, u32), edit: &Edit) -> Result<String, String> {
    let path = edit.path.join(".");
    let node = tree.at(&edit.path).map(|here| &here.node);
    let Some(old) = node.and_then(words::text) else {
        return Err(format!("{path} is no value that can be written"));
    };
    let start = offset(text, line, column).ok_or_else(|| format!("{path} has no place"))?;
    let rest = text.get(start..).unwrap_or_default();
    if words::words(&old).is_some() {
        let Some(list) = words::first_list(rest).filter(|list| words::same(list, &old)) else {
            return Err(format!("{path} is not written out on one line at its place"));
        };
        return Ok(format!("{}{}{}", &text[..start], edit.text, &rest[list.len()..]));
    }
    if matches!(node, Some(Node::Int(_) | Node::Float(_))) {
        let Some(number) = words::first_number(rest).filter(|number| number.parse::<f64>() == old.parse::<f64>())
        else {
            return Err(format!("{path} is not written out at its place"));
        };
        return Ok(format!("{}{}{}", &text[..start], edit.text, &rest[number.len()..]));
    }
    let quote = rest.chars().next().filter(|first| matches!(first, '"' | '\'')).map(String::from).unwrap_or_default();
    let as_written = format!("{quote}{old}{quote}");
    if !rest.starts_with(&as_written) {
        return Err(format!("{path} is not written out at its place"));
    }
    Ok(format!("{}{quote}{}{quote}{}", &text[..start], edit.text, &rest[as_written.len()..]))
}

/// How many values differ between two trees of the same shape.
fn differences(one: &Value, other: &Value) -> usize {
    match (one, other) {
        (Value::Object(one), Value::Object(other)) if one.len() == other.len() => {
            one.iter().map(|(key, value)| other.get(key).map_or(usize::MAX / 1024, |o| differences(value, o))).sum()
        }
        // A list of words is one value.
        (Value::Array(one), Value::Array(other)) if one.iter().chain(other).all(Value::is_string) => {
            usize::from(one != other)
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
        written(&tree, &files, &[edit]).map(|files| files[0].1.clone())
    }

    #[test]
    fn bytes_change_only_where_the_value_stands() {
        let text = "# a note\na:\n  - {d: 2 in, ü: x} # kept\n  - {d: \"3 in\"}\n";
        assert_eq!(edited(text, "a.0.d", "2 1/2 in").unwrap(), text.replace("d: 2 in", "d: 2 1/2 in"));
        assert_eq!(edited(text, "a.1.d", "4 in").unwrap(), text.replace("3 in", "4 in"));
        assert_eq!(edited(text, "a.0.ü", "y").unwrap(), text.replace("ü: x", "ü: y"));
    }

    /// A list of words on one line is one value; a word may become one. A list over several lines is left to a person.
    #[test]
    fn a_list_of_words_is_one_value() {
        let text = "s: {d: [a, b], e: c} # kept\n";
        assert_eq!(edited(text, "s.d", "[a, d]").unwrap(), text.replace("[a, b]", "[a, d]"));
        assert_eq!(edited(text, "s.d", "[b, a, d]").unwrap(), text.replace("[a, b]", "[b, a, d]"));
        assert_eq!(edited(text, "s.e", "[c, d]").unwrap(), text.replace("e: c", "e: [c, d]"));
        assert!(edited("s:\n  - a\n  - b\n", "s", "[a]").unwrap_err().contains("one line"));
        let mut tree = parse(text, 0).unwrap();
        let edit = Edit { path: vec!["s".to_owned(), "d".to_owned()], text: "[x]".to_owned() };
        assert!(tree.replace(&edit));
        assert_eq!(tree.to_json()["s"]["d"], serde_json::json!(["x"]));
    }

    /// All that share a value, changed alike, are changed where it stands; changed apart they are refused.
    #[test]
    fn values_that_are_one_change_together() {
        let text = "a: {d: &thick 2 in}\nb: {d: *thick}\n";
        let tree = parse(text, 0).unwrap();
        let files = [SourceFile { name: "home.yaml".to_owned(), text: text.to_owned() }];
        let edit =
            |path: &str, to: &str| Edit { path: path.split('.').map(str::to_owned).collect(), text: to.to_owned() };
        let both = written(&tree, &files, &[edit("a.d", "3 in"), edit("b.d", "3 in")]).unwrap();
        assert_eq!(both, [(0, text.replace("2 in", "3 in"))]);
        let apart = written(&tree, &files, &[edit("a.d", "3 in"), edit("b.d", "4 in")]).unwrap_err();
        assert!(apart.contains("are one value"), "{apart}");
    }

    #[test]
    fn what_others_share_is_left_to_a_person() {
        let text = "a: {d: &thick 2 in}\nb: {d: *thick}\n";
        let refused = edited(text, "a.d", "3 in").unwrap_err();
        assert!(refused.contains("share") || refused.contains("not written out"), "{refused}");
        assert!(edited(text, "b.d", "3 in").is_err());
        assert_eq!(edited("a: 3.50 # x\n", "a", "40 %").unwrap(), "a: 40 % # x\n");
        assert_eq!(edited("b: {a: 3}\n", "b.a", "4").unwrap(), "b: {a: 4}\n");
        assert!(edited("a: {b: x}\n", "a", "4").is_err());
        assert!(edited("a: x\n", "b", "4").is_err());
    }
}
