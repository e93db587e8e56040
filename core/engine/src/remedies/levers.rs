//! What may be changed on a home: which field, in which steps, and which facts it moves.

use crate::load::{BadInput, did_you_mean};
use crate::load::{Node, Placed, SourceFile, parse, read};
use indexmap::IndexMap;
use mateline_model::Verdict;
use mateline_model::quantity::parse as quantity;
use serde::Deserialize;
use std::collections::BTreeMap;

/// Something that may be changed.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Lever {
    /// What it is, in words.
    pub title: String,
    /// The field, as the list of fields names it: `assemblies.ID.layers.N.thickness`.
    pub field: String,
    /// What the fields beside it have to be, where it matters; a word that ends in `*` is a beginning.
    #[serde(default)]
    pub beside: BTreeMap<String, Vec<String>>,
    /// The sizes or kinds there are.
    pub steps: Vec<String>,
    /// The side that helps a home; both are tried where it is not said.
    #[serde(default)]
    pub towards: Option<Towards>,
    /// The facts and fields that it moves, or the beginnings of their names.
    pub moves: Vec<String>,
    /// Who else has to decide, or what to bear in mind.
    #[serde(default)]
    pub caution: Option<String>,
}

/// A side to which a value is changed.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Towards {
    /// Larger values.
    More,
    /// Smaller values.
    Less,
}

/// All levers, by name, in the order in which they are taken.
#[derive(Clone, Debug, Default, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Levers {
    levers: IndexMap<String, Lever>,
}

impl Levers {
    /// Reads levers.
    ///
    /// # Errors
    /// Every problem, each at its place.
    pub fn read(name: &str, text: &str) -> Result<Levers, BadInput> {
        let files = || vec![SourceFile { name: name.to_owned(), text: text.to_owned() }];
        let tree = parse(text, 0).map_err(|problems| BadInput::new(problems, files()))?;
        let levers: Levers = read(&tree).map_err(|problems| BadInput::new(problems, files()))?;
        let (mut problems, keys) = (Vec::new(), crate::load::keys());
        for (id, lever) in &levers.levers {
            let at = |field: &str| tree.span_at(&["levers", id, field]);
            let mut wrong = |field: &str, message: String| {
                problems.push(crate::load::Diagnosis::new(at(field), message));
            };
            if lever.steps.is_empty() {
                wrong("steps", format!("the lever {id} has no step"));
            }
            if !keys.iter().any(|key| key.path == lever.field) {
                let near = did_you_mean(&lever.field, keys.iter().map(|key| key.path.as_str()));
                wrong("field", format!("a home has no field {}{near}", lever.field));
            }
            let dimensions = lever.steps.iter().map(|step| quantity(step).ok().map(|quantity| quantity.dimension));
            let dimensions: Vec<_> = dimensions.collect();
            if dimensions.windows(2).any(|pair| pair.first() != pair.get(1)) {
                wrong("steps", format!("the steps of the lever {id} have units of several kinds"));
            }
        }
        if problems.is_empty() { Ok(levers) } else { Err(BadInput::new(problems, files())) }
    }

    /// The levers that may turn a verdict on a home, each with the path of its field; one for each value.
    pub fn on<'a>(&'a self, home: &Placed, verdict: &Verdict) -> Vec<(&'a Lever, Vec<String>)> {
        let mut found: Vec<(&Lever, Vec<String>)> = Vec::new();
        for lever in self.levers.values().filter(|lever| lever.concerns(verdict)) {
            let mut paths = Vec::new();
            let steps: Vec<&str> = lever.field.split('.').collect();
            places(home, &steps, &mut Vec::new(), &mut paths);
            for path in paths {
                let parent = path.split_last().and_then(|(_, parent)| home.at(parent));
                let is_taken = found.iter().any(|(_, taken)| *taken == path);
                if !is_taken && parent.is_some_and(|parent| lever.fits(parent)) && may_move(&path, verdict) {
                    found.push((lever, path));
                }
            }
        }
        found
    }
}

impl Lever {
    /// Whether it moves what a verdict judges.
    fn concerns(&self, verdict: &Verdict) -> bool {
        let field = self.field.rsplit('.').next().unwrap_or_default();
        let judged = verdict.quantity.as_deref();
        judged.is_some_and(|judged| self.moves.iter().any(|moved| judged.starts_with(moved.as_str())))
            || judged.is_none() && verdict.message.contains(&field.replace('_', " "))
    }

    fn fits(&self, parent: &Placed) -> bool {
        self.beside.iter().all(|(key, words)| {
            let value = parent.get(key).map(|entry| &entry.value);
            value.is_some_and(|value| texts(value).iter().any(|text| words.iter().any(|word| matches(word, text))))
        })
    }
}

fn matches(word: &str, text: &str) -> bool {
    word.strip_suffix('*').map_or(word == text, |start| text.starts_with(start))
}

fn texts(value: &Placed) -> Vec<&str> {
    match &value.node {
        Node::Str(text) => vec![text],
        Node::Seq(items) => items.iter().flat_map(texts).collect(),
        _ => Vec::new(),
    }
}

/// Whether a field of one element may move a verdict: not one on another element of the same section.
fn may_move(path: &[String], verdict: &Verdict) -> bool {
    let section = verdict.subject.section();
    let same_section = path.first().is_some_and(|first| first == section);
    !same_section || path.get(1).is_some_and(|id| id == verdict.subject.id())
}

/// The paths at which a pattern has a value.
fn places(here: &Placed, pattern: &[&str], path: &mut Vec<String>, found: &mut Vec<Vec<String>>) {
    let Some((first, rest)) = pattern.split_first() else {
        if !matches!(here.node, Node::Map(_) | Node::Seq(_) | Node::Null) {
            found.push(path.clone());
        }
        return;
    };
    let mut step = |key: String, value: &Placed| {
        path.push(key);
        places(value, rest, path, found);
        path.pop();
    };
    match &here.node {
        Node::Map(entries) => entries
            .iter()
            .filter(|entry| *first == "ID" || entry.key == *first)
            .for_each(|entry| step(entry.key.clone(), &entry.value)),
        Node::Seq(items) if *first == "N" => {
            items.iter().enumerate().for_each(|(index, item)| step(index.to_string(), item));
        }
        _ => {}
    }
}
