//! A tree to a typed value, with every mistake found in one run.
//!
//! Reading stops at the first mistake, as serde does. The mistake is then mended with a stand-in, and reading starts
//! again, until it succeeds; a value that needed mending is thrown away and the mistakes are reported.

use super::diagnosis::{Diagnosis, did_you_mean};
use super::tree::Placed;
use mateline_model::quantity::PLACEHOLDER;
use serde::de::DeserializeOwned;
use serde_json::Value;
use std::collections::{BTreeSet, HashMap, HashSet};

/// Mistakes after which reading stops.
const MAX_MISTAKES: usize = 60;

/// Reads a tree as `T`.
///
/// # Errors
/// Every mistake, each at its place.
pub fn read<T: DeserializeOwned>(tree: &Placed) -> Result<T, Vec<Diagnosis>> {
    read_mending(tree).map_err(|(mistakes, _)| mistakes)
}

/// The same; where there are mistakes, also the value with stand-ins in their place, if it came to that. It is good
/// for nothing but finding more mistakes.
///
/// # Errors
/// Every mistake, each at its place.
pub fn read_mending<T: DeserializeOwned>(tree: &Placed) -> Result<T, (Vec<Diagnosis>, Option<T>)> {
    let mut draft = Draft { json: tree.to_json(), mended: HashSet::new(), dropped: HashMap::new() };
    let mut mistakes = Vec::new();
    let mut attempts = 0;
    loop {
        let error = match serde_path_to_error::deserialize::<_, T>(&draft.json) {
            Ok(value) if mistakes.is_empty() => return Ok(value),
            Ok(mended) => return Err((mistakes, Some(mended))),
            Err(error) => error,
        };
        attempts += 1;
        let path: Vec<String> = error.path().iter().filter_map(segment).collect();
        let message = Message::of(&error.inner().to_string());
        let spot = draft.original(&message.spot(&path));
        if !(1..=spot.len()).any(|length| draft.mended.contains(&spot[..length])) {
            mistakes.push(message.diagnose(tree, &draft.original(&path)));
        }
        if mistakes.len() >= MAX_MISTAKES || attempts > 10 * MAX_MISTAKES || !draft.mend(&path, &message) {
            return Err((mistakes, None));
        }
    }
}

fn segment(segment: &serde_path_to_error::Segment) -> Option<String> {
    match segment {
        serde_path_to_error::Segment::Seq { index } => Some(index.to_string()),
        serde_path_to_error::Segment::Map { key } => Some(key.clone()),
        serde_path_to_error::Segment::Enum { variant } => Some(variant.clone()),
        serde_path_to_error::Segment::Unknown => None,
    }
}

/// What serde objects to.
#[derive(Debug)]
enum Message {
    UnknownField { field: String, known: Vec<String> },
    MissingField { field: String },
    UnknownWord { word: String, known: Vec<String> },
    Other(String),
}

impl Message {
    fn of(text: &str) -> Message {
        let quoted: Vec<String> = text.split('`').skip(1).step_by(2).map(str::to_owned).collect();
        let (first, rest) = match quoted.split_first() {
            Some((first, rest)) => (first.clone(), rest.to_vec()),
            None => (String::new(), Vec::new()),
        };
        if text.starts_with("unknown field") {
            Message::UnknownField { field: first, known: rest }
        } else if text.starts_with("missing field") {
            Message::MissingField { field: first }
        } else if text.starts_with("unknown variant") {
            Message::UnknownWord { word: first, known: rest }
        } else {
            Message::Other(text.to_owned())
        }
    }

    /// The path of the value that is wrong.
    fn spot(&self, path: &[String]) -> Vec<String> {
        let mut spot = path.to_vec();
        match self {
            Message::UnknownField { field, .. } | Message::MissingField { field } if spot.last() != Some(field) => {
                spot.push(field.clone());
            }
            _ => {}
        }
        spot
    }

    fn diagnose(&self, tree: &Placed, path: &[String]) -> Diagnosis {
        match self {
            Message::UnknownField { field, known } => {
                let parent = if path.last() == Some(field) { &path[..path.len() - 1] } else { path };
                let at = tree.at(parent).and_then(|parent| parent.get(field)).map(|entry| entry.key_span);
                let near = did_you_mean(field, known.iter().map(String::as_str));
                let diagnosis =
                    Diagnosis::new(at.unwrap_or_else(|| tree.span_at(path)), format!("unknown key '{field}'{near}"));
                if known.is_empty() { diagnosis } else { diagnosis.help(format!("use one of: {}", known.join(", "))) }
            }
            Message::MissingField { field } => {
                let name = path.iter().rev().find(|step| step.parse::<usize>().is_err());
                let owner = name.map_or_else(|| "the file".to_owned(), |name| format!("'{name}'"));
                Diagnosis::new(tree.span_at(path), format!("{owner} has no '{field}'"))
            }
            Message::UnknownWord { word, known } => {
                let near = did_you_mean(word, known.iter().map(String::as_str));
                Diagnosis::new(tree.span_at(path), format!("unknown value '{}'{near}", printable(word)))
                    .help(format!("use one of: {}", known.join(", ")))
            }
            Message::Other(text) => Diagnosis::new(tree.span_at(path), plain(text)),
        }
    }
}

/// Serde's own phrases, put as a person would.
fn plain(text: &str) -> String {
    let text = text.replace('`', "'");
    let Some(rest) = text.strip_prefix("invalid type: ") else {
        return match text.strip_prefix("invalid value: ") {
            Some(rest) => rest.replace(", expected", " found, expected"),
            None => text,
        };
    };
    let rest = rest
        .replace("string \"", "the text \"")
        .replace("floating point ", "the number ")
        .replace("integer ", "the number ")
        .replace("boolean ", "the truth value ")
        .replace("null", "nothing")
        .replace("sequence", "a list")
        .replace("map", "a mapping")
        .replace(", expected u32", ", expected a whole number")
        .replace(", expected u8", ", expected a whole number")
        .replace(", expected f64", ", expected a number")
        .replace(", expected a string", ", expected a text")
        .replace(", expected a boolean", ", expected true or false");
    let rest = match rest.split_once(", expected struct ") {
        Some((found, name)) => format!("{found}, expected a mapping for {}", split_words(name)),
        None => rest,
    };
    rest.replacen(", expected", " stands here, expected", 1)
}

/// `MonthlyClimate elements` to `monthly climate elements`.
fn split_words(name: &str) -> String {
    let mut words = String::new();
    for c in name.chars() {
        if c.is_uppercase() && !words.is_empty() && !words.ends_with(' ') {
            words.push(' ');
        }
        words.extend(c.to_lowercase());
    }
    words
}

fn printable(word: &str) -> String {
    word.chars().take(60).flat_map(char::escape_debug).collect()
}

/// The JSON being read, with the mistakes mended so far. Paths kept here are those of the file.
struct Draft {
    json: Value,
    mended: HashSet<Vec<String>>,
    /// Items dropped from lists, by the list's path: later items have moved up.
    dropped: HashMap<Vec<String>, BTreeSet<usize>>,
}

impl Draft {
    /// The path in the file of a path in the draft.
    fn original(&self, path: &[String]) -> Vec<String> {
        let mut original: Vec<String> = Vec::with_capacity(path.len());
        for step in path {
            let index = self.dropped.get(&original).and_then(|dropped| {
                let here: usize = step.parse().ok()?;
                Some(dropped.iter().fold(here, |index, gone| if *gone <= index { index + 1 } else { index }))
            });
            original.push(index.map_or_else(|| step.clone(), |index| index.to_string()));
        }
        original
    }

    /// Notes that a spot is mended; false when it was already.
    fn note(&mut self, spot: &[String]) -> bool {
        let original = self.original(spot);
        self.mended.insert(original)
    }

    /// Puts a stand-in where the mistake is. False when nothing is left to mend.
    fn mend(&mut self, path: &[String], message: &Message) -> bool {
        let spot = message.spot(path);
        match message {
            Message::UnknownField { .. } => self.remove(&spot),
            Message::MissingField { .. } => {
                self.note(&spot) && put(&mut self.json, &spot, PLACEHOLDER.into()) || self.drop_enclosing(&spot)
            }
            Message::UnknownWord { known, .. } => {
                self.note(&spot);
                match known.first() {
                    Some(first) => put(&mut self.json, &spot, first.clone().into()),
                    None => self.drop_enclosing(&spot),
                }
            }
            Message::Other(_) => {
                let first_time = self.note(&spot);
                let next = match at(&self.json, &spot) {
                    Some(value) if first_time && value != PLACEHOLDER => PLACEHOLDER.into(),
                    // The stand-in does not fit: a list, a mapping, a number and a truth value may.
                    Some(Value::String(_)) => Value::Array(Vec::new()),
                    Some(Value::Array(_)) => Value::Object(serde_json::Map::new()),
                    Some(Value::Object(_)) => Value::from(1),
                    Some(Value::Number(_)) => Value::from(false),
                    _ => return self.drop_enclosing(&spot),
                };
                put(&mut self.json, &spot, next)
            }
        }
    }

    /// Drops the nearest element that holds the mistake.
    fn drop_enclosing(&mut self, spot: &[String]) -> bool {
        let mut spot = spot.to_vec();
        while spot.pop().is_some() {
            if spot.is_empty() {
                return false;
            }
            if at(&self.json, &spot).is_some() {
                self.note(&spot);
                return self.remove(&spot);
            }
        }
        false
    }

    fn remove(&mut self, path: &[String]) -> bool {
        let Some((last, parents)) = path.split_last() else { return false };
        let original = self.original(path);
        match at_mut(&mut self.json, parents) {
            Some(Value::Object(map)) => map.shift_remove(last).is_some(),
            Some(Value::Array(list)) => match last.parse::<usize>().ok() {
                Some(index) if index < list.len() => {
                    list.remove(index);
                    if let Some((gone, list)) = original.split_last()
                        && let Ok(gone) = gone.parse()
                    {
                        self.dropped.entry(list.to_vec()).or_default().insert(gone);
                    }
                    true
                }
                _ => false,
            },
            _ => false,
        }
    }
}

fn at<'a>(json: &'a Value, path: &[String]) -> Option<&'a Value> {
    path.iter().try_fold(json, |here, step| match here {
        Value::Object(map) => map.get(step),
        Value::Array(list) => list.get(step.parse::<usize>().ok()?),
        _ => None,
    })
}

fn at_mut<'a>(json: &'a mut Value, path: &[String]) -> Option<&'a mut Value> {
    path.iter().try_fold(json, |here, step| match here {
        Value::Object(map) => map.get_mut(step),
        Value::Array(list) => list.get_mut(step.parse::<usize>().ok()?),
        _ => None,
    })
}

fn put(json: &mut Value, path: &[String], value: Value) -> bool {
    let Some((last, parents)) = path.split_last() else { return false };
    match at_mut(json, parents) {
        Some(Value::Object(map)) => {
            map.insert(last.clone(), value);
            true
        }
        Some(Value::Array(list)) => match last.parse::<usize>().ok().and_then(|index| list.get_mut(index)) {
            Some(slot) => {
                *slot = value;
                true
            }
            None => false,
        },
        _ => false,
    }
}
