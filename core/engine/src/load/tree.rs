//! YAML text to a tree in which every value knows its place. The only module that touches the YAML crate.

use super::diagnosis::{Diagnosis, Span, cited};
use super::extent::Extents;
use super::grammar;
use super::mapping;
use serde::Deserialize;
use serde::de::{self, Deserializer, MapAccess, SeqAccess, Visitor};
use serde_yaml::{Spanned, options::DuplicateKeyPolicy, options::NonFiniteFloatPolicy};
use std::fmt;

/// Bytes one project may hold in all its files.
pub const MAX_BYTES: usize = 4 * 1024 * 1024;
/// Nesting of sequences and mappings.
pub const MAX_DEPTH: usize = 32;
/// Values in one file, aliases followed.
pub const MAX_NODES: usize = 200_000;

/// A value without its place.
#[derive(Clone, Debug, PartialEq)]
pub enum Node {
    /// `null`, `~` or nothing.
    Null,
    /// `true` or `false`.
    Bool(bool),
    /// A whole number.
    Int(i64),
    /// A number with decimals.
    Float(f64),
    /// Text.
    Str(String),
    /// A list.
    Seq(Vec<Placed>),
    /// Entries in the order of the file.
    Map(Mapping),
}

/// A value with its place.
#[derive(Clone, Debug, PartialEq)]
pub struct Placed {
    /// The value.
    pub node: Node,
    /// Where it stands.
    pub span: Span,
}

/// A key and its value.
pub type Entry = mapping::Entry<Placed>;
/// A mapping of the tree.
pub type Mapping = mapping::Mapping<Placed>;

/// Reads one file's text. `file` is its number among the project's files.
///
/// # Errors
/// What the YAML grammar or a limit objects to, and every duplicate key.
pub fn parse(text: &str, file: usize) -> Result<Placed, Vec<Diagnosis>> {
    let mut duplicates = Vec::new();
    let root = parse_keeping_first(text, file, &mut duplicates)?;
    if duplicates.is_empty() { Ok(root) } else { Err(duplicates) }
}

/// The same; of duplicate keys the first is kept and the others are reported, so that more mistakes can be found.
///
/// # Errors
/// What the YAML grammar or a limit objects to.
pub fn parse_keeping_first(text: &str, file: usize, duplicates: &mut Vec<Diagnosis>) -> Result<Placed, Vec<Diagnosis>> {
    let options = serde_yaml::options! {
        duplicate_keys: DuplicateKeyPolicy::PassThrough,
        non_finite_float_policy: NonFiniteFloatPolicy::AsString,
        strict_booleans: true,
        reject_unsupported_tags: true,
        with_snippet: false,
        budget: serde_yaml::budget! {
            max_reader_input_bytes: Some(MAX_BYTES),
            max_depth: MAX_DEPTH,
            max_nodes: MAX_NODES,
            max_aliases: 2_000,
            max_documents: 1,
        },
    };
    let parsed: Result<Spanned<Raw>, _> = serde_yaml::from_str_with_options(text, options);
    match parsed {
        Ok(root) => Ok(place(root, file, &Extents::of(text), duplicates)),
        Err(error) => {
            let at = error.location().map(|location| span_of(&location, file)).unwrap_or(Span::start(file));
            Err(vec![objection(&error, at, text)])
        }
    }
}

/// What the crate objects to though it is YAML: how its message begins, and what we say.
const PLAINLY: &[(&str, &str)] = &[
    ("budget breached: Documents", "the file holds more than one YAML document"),
    ("expected string scalar", "a key is a text"),
    ("cannot deserialize null into string", "a key is a text"),
    ("recursive references", "the alias stands inside what it stands for"),
    ("alias references unknown anchor", "the alias stands for nothing: no anchor has its name"),
    ("invalid trailing content after", "a text in quotes ended before this and more follows: put the whole in quotes"),
    ("invalid content after document end", "more follows after the end of the document"),
    ("invalid ", "the value does not fit its tag"),
];

/// What the crate objects to, without its place and in our form.
fn objection(error: &serde_yaml::Error, at: Span, source: &str) -> Diagnosis {
    let text = error.without_snippet().to_string();
    let text = text.lines().next().unwrap_or_default();
    let text = text.split(" at line ").next().unwrap_or(text);
    let text = match text.strip_prefix("line ").and_then(|rest| rest.split_once(": ")) {
        Some((_, rest)) => rest,
        None => text,
    };
    if let Some((_, plain)) = PLAINLY.iter().find(|(beginning, _)| text.starts_with(beginning)) {
        return Diagnosis::new(at, *plain);
    }
    if text.starts_with("unsupported tag") {
        return Diagnosis::new(at, text.replace('`', "'"));
    }
    if text.contains("budget breached") || text.contains("recursion limit") {
        let size = MAX_BYTES / 1024 / 1024;
        let most = format!("at most {size} MiB, {MAX_DEPTH} levels, {MAX_NODES} values");
        return Diagnosis::new(at, format!("the file is too large, too deep or repeats itself too often: {most}"));
    }
    grammar::objection(text.replace('`', "'").trim_end_matches('.'), at, source)
}

fn span_of(location: &serde_yaml::Location, file: usize) -> Span {
    Span {
        file,
        line: u32::try_from(location.line()).unwrap_or(u32::MAX).max(1),
        column: u32::try_from(location.column()).unwrap_or(u32::MAX).max(1),
        length: u32::try_from(location.span().len()).unwrap_or(0),
    }
}

fn place(spanned: Spanned<Raw>, file: usize, extents: &Extents, duplicates: &mut Vec<Diagnosis>) -> Placed {
    let mut span = span_of(&spanned.defined, file);
    if matches!(spanned.value, Raw::Seq(_) | Raw::Map(_)) {
        span.length = extents.length(span);
    }
    let node = match spanned.value {
        Raw::Null => Node::Null,
        Raw::Bool(value) => Node::Bool(value),
        Raw::Int(value) => Node::Int(value),
        Raw::Float(value) => Node::Float(value),
        Raw::Str(value) => Node::Str(value),
        Raw::Seq(items) => Node::Seq(items.into_iter().map(|item| place(item, file, extents, duplicates)).collect()),
        Raw::Map(entries) => {
            let mut placed = Mapping::with_capacity(entries.len());
            for (key, value) in entries {
                let key_span = span_of(&key.defined, file);
                let value = place(value, file, extents, duplicates);
                match placed.entry(&key.value) {
                    Some(first) => duplicates.push(
                        Diagnosis::new(key_span, format!("'{}' appears twice in this mapping", cited(&key.value)))
                            .note(first.key_span, "first here"),
                    ),
                    None => placed.push(Entry { key: key.value, key_span, value }),
                }
            }
            Node::Map(placed)
        }
    };
    Placed { node, span }
}

impl Placed {
    /// The value of a key of a mapping.
    pub fn get(&self, key: &str) -> Option<&Entry> {
        match &self.node {
            Node::Map(entries) => entries.entry(key),
            _ => None,
        }
    }

    /// The value at a path.
    pub fn at(&self, path: &[String]) -> Option<&Placed> {
        let Some((first, rest)) = path.split_first() else { return Some(self) };
        match &self.node {
            Node::Map(_) => self.get(first)?.value.at(rest),
            Node::Seq(items) => items.get(first.parse::<usize>().ok()?)?.at(rest),
            _ => None,
        }
    }

    /// Where the deepest existing part of a path stands: at its key for an element, at itself for a value.
    pub fn span_at<S: AsRef<str>>(&self, path: &[S]) -> Span {
        let mut here = self;
        let mut span = self.span;
        for step in path {
            let step = step.as_ref();
            match &here.node {
                Node::Map(_) => match here.get(step) {
                    Some(entry) => {
                        here = &entry.value;
                        let unwritten = here.node == Node::Null && here.span.length == 0;
                        let by_key = unwritten || matches!(here.node, Node::Map(_) | Node::Seq(_));
                        span = if by_key { entry.key_span } else { here.span };
                    }
                    None => break,
                },
                Node::Seq(items) => match step.parse::<usize>().ok().and_then(|index| items.get(index)) {
                    Some(item) => {
                        here = item;
                        span = item.span;
                    }
                    None => break,
                },
                _ => break,
            }
        }
        span
    }

    /// The same tree as JSON, for typed reading.
    pub fn to_json(&self) -> serde_json::Value {
        match &self.node {
            Node::Null => serde_json::Value::Null,
            Node::Bool(value) => (*value).into(),
            Node::Int(value) => (*value).into(),
            Node::Float(value) => serde_json::Number::from_f64(*value)
                .map_or_else(|| serde_json::Value::String(value.to_string()), serde_json::Value::Number),
            Node::Str(value) => value.clone().into(),
            Node::Seq(items) => items.iter().map(Placed::to_json).collect(),
            Node::Map(entries) => entries
                .iter()
                .map(|entry| (entry.key.clone(), entry.value.to_json()))
                .collect::<serde_json::Map<_, _>>()
                .into(),
        }
    }
}

/// What the deserialiser hands over, before places are turned into ours.
enum Raw {
    Null,
    Bool(bool),
    Int(i64),
    Float(f64),
    Str(String),
    Seq(Vec<Spanned<Raw>>),
    Map(Vec<(Spanned<String>, Spanned<Raw>)>),
}

impl<'de> Deserialize<'de> for Raw {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Raw, D::Error> {
        deserializer.deserialize_any(RawVisitor)
    }
}

struct RawVisitor;

impl<'de> Visitor<'de> for RawVisitor {
    type Value = Raw;

    fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str("any YAML value")
    }

    fn visit_unit<E: de::Error>(self) -> Result<Raw, E> {
        Ok(Raw::Null)
    }

    fn visit_none<E: de::Error>(self) -> Result<Raw, E> {
        Ok(Raw::Null)
    }

    fn visit_bool<E: de::Error>(self, value: bool) -> Result<Raw, E> {
        Ok(Raw::Bool(value))
    }

    fn visit_i64<E: de::Error>(self, value: i64) -> Result<Raw, E> {
        Ok(Raw::Int(value))
    }

    fn visit_u64<E: de::Error>(self, value: u64) -> Result<Raw, E> {
        Ok(i64::try_from(value).map_or(Raw::Float(value as f64), Raw::Int))
    }

    fn visit_f64<E: de::Error>(self, value: f64) -> Result<Raw, E> {
        Ok(Raw::Float(value))
    }

    fn visit_str<E: de::Error>(self, value: &str) -> Result<Raw, E> {
        Ok(Raw::Str(value.to_owned()))
    }

    fn visit_seq<A: SeqAccess<'de>>(self, mut access: A) -> Result<Raw, A::Error> {
        let mut items = Vec::new();
        while let Some(item) = access.next_element()? {
            items.push(item);
        }
        Ok(Raw::Seq(items))
    }

    fn visit_map<A: MapAccess<'de>>(self, mut access: A) -> Result<Raw, A::Error> {
        let mut entries = Vec::new();
        while let Some(entry) = access.next_entry()? {
            entries.push(entry);
        }
        Ok(Raw::Map(entries))
    }
}

impl Placed {
    /// How many values there are, this one among them.
    pub fn count(&self) -> usize {
        1 + match &self.node {
            Node::Seq(items) => items.iter().map(Placed::count).sum(),
            Node::Map(entries) => entries.iter().map(|entry| entry.value.count()).sum(),
            _ => 0,
        }
    }

    /// Puts a mapping under a key of this one. Where the key holds a mapping already, the entries it lacks are added.
    pub fn graft(&mut self, key: &str, part: &Placed) {
        let Node::Map(entries) = &mut self.node else { return };
        match entries.entry_mut(key) {
            Some(mine) => mine.value.complete(part),
            None => entries.push(Entry { key: key.to_owned(), key_span: part.span, value: part.clone() }),
        }
    }

    /// The entries of a mapping, to be changed.
    pub fn entries_mut(&mut self) -> impl Iterator<Item = &mut Entry> {
        let entries = match &mut self.node {
            Node::Map(entries) => Some(entries.iter_mut()),
            _ => None,
        };
        entries.into_iter().flatten()
    }

    /// Adds the entries of another mapping that this one lacks.
    pub fn complete(&mut self, other: &Placed) {
        let (Node::Map(mine), Node::Map(theirs)) = (&mut self.node, &other.node) else { return };
        for entry in theirs {
            if mine.entry(&entry.key).is_none() {
                mine.push(entry.clone());
            }
        }
    }

    /// Puts a value under a section and an id of this mapping, in place of what stands there.
    pub fn put(&mut self, section: &str, id: &str, value: Placed) {
        let Node::Map(entries) = &mut self.node else { return };
        let entry = Entry { key: id.to_owned(), key_span: value.span, value };
        match entries.entry_mut(section).map(|entry| &mut entry.value.node) {
            Some(Node::Map(elements)) => elements.put(entry),
            _ => {
                let value = Placed { span: entry.key_span, node: Node::Map([entry].into_iter().collect()) };
                entries.push(Entry { key: section.to_owned(), key_span: value.span, value });
            }
        }
    }

    /// Adds the entries of another tree's mapping under the same key, where this one has none of that name, so that
    /// what was taken over keeps its place.
    pub fn adopt(&mut self, other: &Placed, key: &str) {
        if let Some(entry) = other.get(key).filter(|entry| matches!(entry.value.node, Node::Map(_))) {
            self.graft(key, &entry.value);
        }
    }
}
