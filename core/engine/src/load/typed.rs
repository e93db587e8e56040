//! A tree to a typed value, with every mistake found in one run.
//!
//! Reading stops at the first mistake, as serde does. The mistake is then mended with a stand-in, and reading starts
//! again, until it succeeds; a value that needed mending is thrown away and the mistakes are reported.

use super::diagnosis::{Diagnosis, Span, cited, did_you_mean};
use super::tree::{Node, Placed};
use mateline_model::Misread;
use mateline_model::home::{Id, Name};
use mateline_model::quantity::PLACEHOLDER;
use serde::de::DeserializeOwned;
use serde_json::Value;
use std::collections::{BTreeSet, HashMap, HashSet};

/// Mistakes after which reading stops.
const MAX_MISTAKES: usize = 60;
/// Values read over and over to find mistakes; a large file is told fewer of them at once.
const MAX_VALUES_READ: usize = 2_000_000;

/// Reads a tree as `T`.
///
/// # Errors
/// Every mistake, each at its place.
pub fn read<T: DeserializeOwned>(tree: &Placed) -> Result<T, Vec<Diagnosis>> {
    read_mending(tree, mateline_model::read).map_err(|(mistakes, _)| mistakes)
}

/// The same by a reader of JSON; where there are mistakes, also the value with stand-ins in their place, if it came to
/// that. It is good for nothing but finding more mistakes.
///
/// # Errors
/// Every mistake, each at its place.
pub fn read_mending<T>(
    tree: &Placed,
    read: fn(&Value) -> Result<T, Misread>,
) -> Result<T, (Vec<Diagnosis>, Option<T>)> {
    let mut draft = Draft { json: tree.to_json(), mended: HashSet::new(), dropped: HashMap::new() };
    let mut mistakes = Vec::new();
    let mut attempts = 0;
    let most = (MAX_VALUES_READ / tree.count()).clamp(1, 10 * MAX_MISTAKES);
    loop {
        let error = match read(&draft.json) {
            Ok(value) if mistakes.is_empty() => return Ok(value),
            Ok(mended) => return Err((mistakes, Some(mended))),
            Err(error) => error,
        };
        attempts += 1;
        let path = error.path();
        let message = Message::of(error.message(), &path, &draft.json);
        let spot = draft.original(&message.spot(&path));
        if !(1..=spot.len()).any(|length| draft.mended.contains(&spot[..length])) {
            mistakes.push(message.diagnose(tree, &draft.original(&path)));
        }
        if mistakes.len() >= MAX_MISTAKES || attempts > most || !draft.mend(&path, &message) {
            return Err((mistakes, None));
        }
    }
}

/// What serde objects to.
#[derive(Debug)]
enum Message {
    UnknownField {
        field: String,
        known: Vec<String>,
    },
    MissingField {
        field: String,
    },
    UnknownWord {
        word: String,
        known: Vec<String>,
    },
    /// A key that cannot be an id or a name.
    BadKey(String),
    Other(String),
}

impl Message {
    fn of(text: &str, path: &[String], json: &Value) -> Message {
        // The word is the author's, and may hold a quote of its own; the known ones that follow do not.
        let word_and_known = |rest: &str| {
            let end = ["`, expected ", "`, there are no "].iter().filter_map(|mark| rest.rfind(mark)).max();
            let (word, known) = rest.split_at(end.unwrap_or(rest.len()));
            let known: Vec<String> = known.split('`').skip(2).step_by(2).map(str::to_owned).collect();
            (word.to_owned(), known)
        };
        if let Some((field, known)) = text.strip_prefix("unknown field `").map(word_and_known) {
            return Message::UnknownField { field, known };
        }
        if let Some(field) = text.strip_prefix("missing field `").and_then(|rest| rest.strip_suffix('`')) {
            return Message::MissingField { field: field.to_owned() };
        }
        if let Some((word, known)) = text.strip_prefix("unknown variant `").map(word_and_known) {
            let is_key = at(json, path).and_then(Value::as_str) != Some(&word);
            return if is_key {
                Message::UnknownField { field: word, known }
            } else {
                Message::UnknownWord { word, known }
            };
        }
        let refused = |key: &String| {
            let errors = [key.parse::<Id>().err(), key.parse::<Name>().err()];
            errors.iter().flatten().any(|error| error == text)
        };
        match path.last() {
            Some(key) if refused(key) => Message::BadKey(text.to_owned()),
            _ => Message::Other(text.to_owned()),
        }
    }

    /// The path of the value that is wrong, or lacking.
    fn spot(&self, path: &[String]) -> Vec<String> {
        let lacking = if let Message::MissingField { field } = self { Some(field) } else { None };
        path.iter().chain(lacking).cloned().collect()
    }

    fn diagnose(&self, tree: &Placed, path: &[String]) -> Diagnosis {
        match self {
            Message::UnknownField { field, known } => {
                let near = did_you_mean(field, known.iter().map(String::as_str));
                let diagnosis = Diagnosis::new(key_span(tree, path), format!("unknown key '{}'{near}", cited(field)));
                if known.is_empty() { diagnosis } else { diagnosis.help(format!("use one of: {}", known.join(", "))) }
            }
            Message::MissingField { field } => {
                Diagnosis::new(tree.span_at(path), format!("{} has no '{field}'", owner(tree, path)))
            }
            Message::UnknownWord { word, known } => {
                let near = did_you_mean(word, known.iter().map(String::as_str));
                Diagnosis::new(tree.span_at(path), format!("unknown value '{}'{near}", cited(word)))
                    .help(format!("use one of: {}", known.join(", ")))
            }
            Message::BadKey(text) => Diagnosis::new(key_span(tree, path), text),
            Message::Other(text) => Diagnosis::new(tree.span_at(path), plain(text)),
        }
    }
}

/// Where the key a path ends with stands.
fn key_span(tree: &Placed, path: &[String]) -> Span {
    let entry = path.split_last().and_then(|(key, parents)| tree.at(parents)?.get(key));
    entry.map_or_else(|| tree.span_at(path), |entry| entry.key_span)
}

/// What a mapping at a path is called: by its key, or by its number in a list.
fn owner(tree: &Placed, path: &[String]) -> String {
    let Some((last, parents)) = path.split_last() else { return "the file".to_owned() };
    match (tree.at(parents), last.parse::<usize>(), parents.last()) {
        (Some(Placed { node: Node::Seq(_), .. }), Ok(index), Some(list)) => {
            format!("entry {} of '{list}'", index.saturating_add(1))
        }
        _ => format!("'{last}'"),
    }
}

/// Serde's own phrases, put as a person would.
fn plain(text: &str) -> String {
    let phrase = text.strip_prefix("invalid type: ").or_else(|| text.strip_prefix("invalid value: "));
    let Some((found, expected)) = phrase.and_then(|phrase| phrase.rsplit_once(", expected ")) else {
        return text.replace('`', "'");
    };
    let found = match found {
        "null" | "unit value" => "nothing".to_owned(),
        "sequence" => "a list".to_owned(),
        "map" => "a mapping".to_owned(),
        other => match (other.strip_prefix("string "), other.split_once('`')) {
            (Some(cited), _) => format!("the text {cited}"),
            (None, Some((_, number))) => number.trim_end_matches('`').to_owned(),
            (None, None) => other.to_owned(),
        },
    };
    let expected = match expected {
        "a string" => "a text".to_owned(),
        "a boolean" => "true or false".to_owned(),
        "a sequence" => "a list".to_owned(),
        "a map" => "a mapping".to_owned(),
        "f64" => "a number".to_owned(),
        "u8" | "u16" | "u32" | "u64" | "usize" => "a whole number".to_owned(),
        other => other.to_owned(),
    };
    format!("{found} stands here, expected {expected}")
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
            Message::BadKey(_) => self.note(&spot) && self.remove(&spot),
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
