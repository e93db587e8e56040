//! Names that must name something: an element of the section that the home's schema says, by `x-names` at a field that holds
//! a name or a list of names, by `x-keys` at a mapping by names. `x-or` is a further word that is allowed.

use super::diagnosis::{Diagnosis, Span, cited, did_you_mean, plain};
use super::fields::{Fields, Named};
use super::tree::{Node, Placed};
use std::collections::HashSet;

/// References after which the search ends: each is held against all names for a near one.
const MOST_FOUND: usize = 200;

/// What a section has besides what the file says: its name, and the ids.
pub type Beneath<'a> = (&'a str, Vec<&'a str>);

/// Every reference that leads nowhere, but for places of which something else has been told already.
pub fn check(fields: &Fields, tree: &Placed, beneath: &Beneath<'_>, told: &HashSet<Span>) -> Vec<Diagnosis> {
    let mut walk = Walk { fields, tree, beneath, told, path: Vec::new(), found: Vec::new() };
    walk.down(tree, None);
    walk.found
}

/// Names that hold a word, however it is spaced or spelt large: `cellulose-dense-pack` and `cellulose-loose-fill` for
/// `Cellulose`. None where they are too many to be of help.
fn alike<'a>(word: &str, known: impl Iterator<Item = &'a str>) -> Vec<&'a str> {
    let word = plain(word);
    let found: Vec<&str> = known.filter(|known| !word.is_empty() && plain(known).contains(&word)).collect();
    let whole: Vec<&str> = found.iter().copied().filter(|known| plain(known) == word).collect();
    match (whole.is_empty(), found.len()) {
        (false, _) => whole,
        (true, ..=8) => found,
        (true, _) => Vec::new(),
    }
}

struct Walk<'a> {
    fields: &'a Fields,
    tree: &'a Placed,
    beneath: &'a Beneath<'a>,
    told: &'a HashSet<Span>,
    path: Vec<String>,
    found: Vec<Diagnosis>,
}

impl<'a> Walk<'a> {
    /// `listed` says whose elements the items of a list name.
    fn down(&mut self, here: &Placed, listed: Option<&'a Named>) {
        let fields = self.fields;
        let named = fields.named_at(&self.path).or(listed);
        match &here.node {
            Node::Map(entries) => {
                let keys = fields.keys_at(&self.path);
                for entry in entries {
                    self.path.push(entry.key.clone());
                    if let Some(named) = keys {
                        self.one(self.tree.span_at(&self.path), &entry.key, named);
                    }
                    self.down(&entry.value, None);
                    self.path.pop();
                }
            }
            Node::Seq(items) => {
                for (index, item) in items.iter().enumerate() {
                    self.path.push(index.to_string());
                    self.down(item, named);
                    self.path.pop();
                }
            }
            Node::Int(number) => named.into_iter().for_each(|named| self.one(here.span, &number.to_string(), named)),
            Node::Str(text) => named.into_iter().for_each(|named| self.one(here.span, text, named)),
            Node::Null | Node::Bool(_) | Node::Float(_) => {}
        }
    }

    fn one(&mut self, at: Span, name: &str, named: &Named) {
        let Named { section, or } = named;
        let written = self.tree.get(section).map(|section| &section.value);
        let library: &[&str] = if self.beneath.0 == section { &self.beneath.1 } else { &[] };
        let is_known = written.is_some_and(|section| section.get(name).is_some())
            || library.contains(&name)
            || or.as_deref() == Some(name);
        if is_known || self.told.contains(&at) || self.found.len() >= MOST_FOUND {
            return;
        }
        let entries = match written.map(|section| &section.node) {
            Some(Node::Map(entries)) => entries.iter().map(|entry| entry.key.as_str()).collect(),
            _ => Vec::new(),
        };
        let known: Vec<&str> = entries.into_iter().chain(library.iter().copied()).collect();
        let alike = alike(name, known.iter().copied());
        let near = match alike.as_slice() {
            [] => did_you_mean(name, known.iter().copied().chain(or.as_deref())),
            [one] => format!(" (did you mean '{one}'?)"),
            [..] => String::new(),
        };
        let message = format!("there is no {} '{}'{near}", self.fields.one_of(section), cited(name));
        let mut diagnosis = Diagnosis::new(at, message);
        if alike.len() > 1 {
            diagnosis = diagnosis.help(format!("name one of: {}", alike.join(", ")));
        } else if !known.is_empty() && known.len() <= 12 && near.is_empty() {
            diagnosis = diagnosis.help(format!("name one of: {}", known.join(", ")));
        }
        self.found.push(diagnosis);
    }
}
