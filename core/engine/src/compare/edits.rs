//! What was edited in the description: values that say something else, elements and items that came or went.

use super::align::{Likeness, align};
use crate::check::Checked;
use crate::load::fields::{Fields, Kind};
use crate::load::{Entry, Node, Placed, place};
use mateline_model::home::{LumberSize, SECTIONS};
use mateline_model::quantity::{Dimension, Length, parse};
use mateline_model::{Edit, Home};
use serde_json::Value;
use std::collections::BTreeMap;

/// Every value that differs, by element in the order of the later file.
pub(super) fn edits(old: &Checked, new: &Checked) -> Vec<Edit> {
    let mut search =
        Search { old: &as_read(&old.report.home), new: &as_read(&new.report.home), later: new, found: Vec::new() };
    search.differ(Some(&old.tree), Some(&new.tree), &Trail::default());
    search.found
}

/// The home as it was understood, in canonical form.
fn as_read(home: &Home) -> Value {
    home.to_json().unwrap_or(Value::Null)
}

/// The way to a value in both files. Only the numbers of list items may differ.
#[derive(Clone, Default)]
struct Trail {
    old: Vec<String>,
    new: Vec<String>,
    /// The word by which the innermost list item on the way is known.
    item: Option<String>,
}

impl Trail {
    fn step(&self, old: impl ToString, new: impl ToString) -> Trail {
        let mut next = self.clone();
        next.old.push(old.to_string());
        next.new.push(new.to_string());
        next
    }
}

struct Search<'a> {
    old: &'a Value,
    new: &'a Value,
    later: &'a Checked,
    found: Vec<Edit>,
}

impl Search<'_> {
    fn differ(&mut self, old: Option<&Placed>, new: Option<&Placed>, trail: &Trail) {
        // The revision names itself; which files hold the text does not matter.
        if matches!(trail.new.first().map(String::as_str), Some("revision" | "include")) {
            return;
        }
        let (Some(before), Some(after)) = (old, new) else { return self.came_or_went(old, new, trail) };
        match (&before.node, &after.node) {
            (Node::Map(before), Node::Map(after)) => {
                let (earlier, later) = (by_key(before), by_key(after));
                for entry in after {
                    let earlier = earlier.get(entry.key.as_str()).copied();
                    self.differ(earlier, Some(&entry.value), &trail.step(&entry.key, &entry.key));
                }
                for entry in before.iter().filter(|entry| !later.contains_key(entry.key.as_str())) {
                    self.differ(Some(&entry.value), None, &trail.step(&entry.key, &entry.key));
                }
            }
            (Node::Seq(before), Node::Seq(after)) if before.iter().chain(after).any(is_map) => {
                self.lists(before, after, trail);
            }
            _ if !self.same(before, after, trail) => self.tell(old, new, trail),
            _ => {}
        }
    }

    /// Items of two lists, each with the one it was or became.
    fn lists(&mut self, before: &[Placed], after: &[Placed], trail: &Trail) {
        let earlier: Vec<Seen> = Seen::all(before, self.old, &trail.old);
        let later: Vec<Seen> = Seen::all(after, self.new, &trail.new);
        let likeness = |a: usize, b: usize| match (earlier.get(a), later.get(b)) {
            (Some(one), Some(other)) if one.says == other.says => Likeness::Same,
            (Some(one), Some(other)) if one.known_by == other.known_by => Likeness::Kin,
            _ => Likeness::Strange,
        };
        for (a, b) in align(before.len(), after.len(), likeness) {
            let (old, new) = (a.and_then(|a| before.get(a)), b.and_then(|b| after.get(b)));
            let mut next = trail.step(a.or(b).unwrap_or_default(), b.or(a).unwrap_or_default());
            if a.is_some_and(|a| b.is_some_and(|b| likeness(a, b) == Likeness::Strange)) {
                self.tell(old, new, &next);
            } else {
                next.item = new.or(old).and_then(word);
                self.differ(old, new, &next);
            }
        }
    }

    /// A whole section is told element by element, anything else as it stands.
    fn came_or_went(&mut self, old: Option<&Placed>, new: Option<&Placed>, trail: &Trail) {
        match old.or(new).map(|there| &there.node) {
            Some(Node::Map(entries)) if trail.new.len() < element_length(&trail.new) => {
                for entry in entries {
                    let trail = trail.step(&entry.key, &entry.key);
                    self.differ(old.map(|_| &entry.value), new.map(|_| &entry.value), &trail);
                }
            }
            Some(_) => self.tell(old, new, trail),
            None => {}
        }
    }

    fn tell(&mut self, old: Option<&Placed>, new: Option<&Placed>, trail: &Trail) {
        let path = if new.is_some() { &trail.new } else { &trail.old };
        let (element, field) = path.split_at(element_length(path).min(path.len()));
        self.found.push(Edit {
            element: element.join("."),
            field: field.join("."),
            item: trail.item.clone(),
            old: old.map(text),
            new: new.map(text),
            at: new.map(|_| place(&self.later.files, self.later.tree.span_at(path))),
        });
    }

    /// Whether two values say the same: `13 ft 9 in` and `13.75 ft` do where a length is meant, `in: B` and `in: [B]`
    /// everywhere, the lot numbers `0441` and `441` nowhere.
    fn same(&self, before: &Placed, after: &Placed, trail: &Trail) -> bool {
        match (&before.node, &after.node) {
            (Node::Seq(one), Node::Seq(other)) if one.len() == other.len() => {
                one.iter().zip(other).enumerate().all(|(at, (one, other))| self.same(one, other, &trail.step(at, at)))
            }
            _ => text(before) == text(after) || self.mean_the_same(before, after, trail),
        }
    }

    fn mean_the_same(&self, before: &Placed, after: &Placed, trail: &Trail) -> bool {
        if matches!(Fields::of_home().kind(&trail.new), Some(Kind::Number(_))) {
            return equal_quantities(&text(before), &text(after));
        }
        match (at(self.old, &trail.old), at(self.new, &trail.new)) {
            (Some(before), Some(after)) => before == after || equal_lumber(before, after),
            _ => false,
        }
    }
}

/// Whether two values, as they were understood, are pieces of lumber of one dressed size.
fn equal_lumber(a: &Value, b: &Value) -> bool {
    let size = |value: &Value| value.as_str().filter(|text| text.contains(" m x "))?.parse::<LumberSize>().ok();
    let close = |a: Length, b: Length| (a.si() - b.si()).abs() < 1e-9;
    match (size(a), size(b)) {
        (Some(a), Some(b)) => close(a.thickness, b.thickness) && close(a.depth, b.depth),
        _ => false,
    }
}

/// The value at a path of the home as it was understood.
fn at<'a>(home: &'a Value, path: &[String]) -> Option<&'a Value> {
    path.iter().try_fold(home, |here, step| match here {
        Value::Array(items) => items.get(step.parse::<usize>().ok()?),
        other => other.get(step),
    })
}

/// Whether two texts are one quantity, but for the rounding of conversions.
fn equal_quantities(a: &str, b: &str) -> bool {
    let (Ok(a), Ok(b)) = (parse(a), parse(b)) else { return false };
    // Of a temperature on a scale the size is counted from absolute zero.
    let size = |si: f64| if a.dimension == Dimension::TEMPERATURE { si + 273.15 } else { si }.abs();
    a.dimension == b.dimension && (a.si - b.si).abs() <= 1e-12 * size(a.si).max(size(b.si))
}

/// How many steps of a path lead to an element: `assemblies.wall`, `systems.ventilation.main-unit`, `site`.
fn element_length(path: &[String]) -> usize {
    match (path.first().map(String::as_str), path.get(1).map(String::as_str)) {
        (Some("systems"), Some("ventilation")) => 3,
        (Some("systems"), _) => 2,
        (Some(section), _) if SECTIONS.contains(&section) => 2,
        _ => 1,
    }
}

fn by_key(entries: &[Entry]) -> BTreeMap<&str, &Placed> {
    entries.iter().map(|entry| (entry.key.as_str(), &entry.value)).collect()
}

fn is_map(placed: &Placed) -> bool {
    matches!(placed.node, Node::Map(_))
}

/// An item of a list, as it is recognised in the other file.
struct Seen {
    /// What it says, in canonical form.
    says: String,
    /// A word of it, or, where it has none, its keys.
    known_by: String,
}

impl Seen {
    fn all(items: &[Placed], home: &Value, list: &[String]) -> Vec<Seen> {
        let canonical = at(home, list).and_then(Value::as_array);
        let seen = items.iter().enumerate().map(|(index, item)| {
            let says = canonical.and_then(|items| items.get(index)).map_or_else(|| text(item), Value::to_string);
            let keys = || match &item.node {
                Node::Map(entries) => entries.iter().map(|entry| entry.key.as_str()).collect::<Vec<_>>().join(", "),
                _ => String::new(),
            };
            Seen { says, known_by: word(item).unwrap_or_else(keys) }
        });
        seen.collect()
    }
}

/// The word a reader knows an item by: the first of its values that is one (`eps-type-ii`), or its only key
/// (`vented-cavity`).
fn word(item: &Placed) -> Option<String> {
    let Node::Map(entries) = &item.node else { return None };
    let word = entries.iter().find_map(|entry| match &entry.value.node {
        Node::Str(text) if parse(text).is_err() => Some(text.clone()),
        _ => None,
    });
    match &**entries {
        [only] if word.is_none() => Some(only.key.clone()),
        _ => word,
    }
}

/// A value as one line of text.
fn text(placed: &Placed) -> String {
    match &placed.node {
        Node::Null => "nothing".to_owned(),
        Node::Bool(value) => value.to_string(),
        Node::Int(value) => value.to_string(),
        Node::Float(value) => value.to_string(),
        Node::Str(value) => value.clone(),
        Node::Seq(items) => format!("[{}]", items.iter().map(text).collect::<Vec<_>>().join(", ")),
        Node::Map(entries) => {
            let entries = entries.iter().map(|entry| format!("{}: {}", entry.key, text(&entry.value)));
            format!("{{{}}}", entries.collect::<Vec<_>>().join(", "))
        }
    }
}
