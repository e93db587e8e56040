//! Fields of the firm's own: `own.yaml` of its folder says what each is, and homes give it under `own` of any element.
//!
//! ```text
//! detail: {holds: text, meaning: Number of the office's standard detail}
//! finish_class: {holds: [plain, fair-faced], meaning: Class of the surface}
//! ```

use super::diagnosis::{Diagnosis, cited, did_you_mean};
use super::fields::{Fields, Kind};
use super::tree::{Node, Placed};
use mateline_model::home::{Date, Id};
use mateline_model::quantity::{Dimension, parse};
use std::collections::BTreeMap;

/// How a home names them.
pub(crate) const OWN: &str = "own";

/// A field of the firm's own.
#[derive(Clone, Debug, PartialEq)]
pub struct OwnField {
    /// What it holds.
    pub kind: Kind,
    /// What it is.
    pub meaning: String,
}

/// The fields of the firm's own, by name.
pub type OwnFields = BTreeMap<String, OwnField>;

/// What a firm declares.
pub(super) fn declared(tree: &Placed, problems: &mut Vec<Diagnosis>) -> OwnFields {
    let mut fields = OwnFields::new();
    let Node::Map(entries) = &tree.node else { return fields };
    for entry in entries {
        let said = &entry.value;
        let name_is_good = entry.key.parse::<Id>().is_ok() && entry.key.starts_with(|c: char| c.is_ascii_lowercase());
        if !name_is_good {
            let message = format!("'{}' cannot be read in a rule; begin it with a small letter", cited(&entry.key));
            problems.push(Diagnosis::new(entry.key_span, message));
            continue;
        }
        let holds = said.get("holds").map(|entry| &entry.value);
        let meaning = said.get("meaning").map(|entry| &entry.value.node);
        match (holds.map(kind_of), meaning) {
            (Some(Ok(kind)), Some(Node::Str(meaning))) => {
                fields.insert(entry.key.clone(), OwnField { kind, meaning: meaning.clone() });
            }
            (Some(Err(message)), _) => problems.push(Diagnosis::new(holds.map_or(said.span, |it| it.span), message)),
            _ => problems.push(
                Diagnosis::new(said.span, "a field of the firm's own says what it holds and what it means")
                    .help(format!("{}: {{holds: text, meaning: Number of the standard detail}}", entry.key)),
            ),
        }
    }
    fields
}

/// What `holds` says.
fn kind_of(holds: &Placed) -> Result<Kind, String> {
    let named = Dimension::NAMED.iter();
    match &holds.node {
        Node::Seq(words) => {
            let words = words.iter().map(|word| match &word.node {
                Node::Str(word) => Ok(word.clone()),
                _ => Err("a list here holds the words that are allowed".to_owned()),
            });
            Ok(Kind::Text(Some(words.collect::<Result<_, _>>()?)))
        }
        Node::Str(word) => match word.as_str() {
            "text" => Ok(Kind::Text(None)),
            "texts" => Ok(Kind::List(Box::new(Kind::Text(None)))),
            "number" => Ok(Kind::Number(Dimension::PLAIN)),
            "date" => Ok(Kind::Date),
            "yes or no" => Ok(Kind::Flag),
            other => match named.clone().find(|(_, name)| *name == other) {
                Some((dimension, _)) => Ok(Kind::Number(*dimension)),
                None => {
                    let plain = ["text", "texts", "number", "date", "yes or no"];
                    let known = plain.into_iter().chain(named.map(|(_, name)| *name));
                    Err(format!("nothing holds '{}'{}", cited(other), did_you_mean(other, known)))
                }
            },
        },
        _ => Err(
            "'holds' is text, texts, number, date, yes or no, a list of words, or a kind of quantity such as length"
                .to_owned(),
        ),
    }
}

/// Everything that a home gives under `own` and the firm does not declare so.
pub(super) fn check(home: &Placed, declared: &OwnFields) -> Vec<Diagnosis> {
    let mut walk = Walk { declared, path: Vec::new(), found: Vec::new() };
    walk.down(home);
    walk.found
}

struct Walk<'a> {
    declared: &'a OwnFields,
    path: Vec<String>,
    found: Vec<Diagnosis>,
}

impl Walk<'_> {
    fn down(&mut self, here: &Placed) {
        match &here.node {
            Node::Map(entries) => {
                for entry in entries {
                    self.path.push(entry.key.clone());
                    if entry.key == OWN && Fields::of_home().kind(&self.path) == Some(&Kind::Elements) {
                        self.given(&entry.value);
                    } else {
                        self.down(&entry.value);
                    }
                    self.path.pop();
                }
            }
            Node::Seq(items) => {
                for (index, item) in items.iter().enumerate() {
                    self.path.push(index.to_string());
                    self.down(item);
                    self.path.pop();
                }
            }
            _ => {}
        }
    }

    fn given(&mut self, own: &Placed) {
        let Node::Map(entries) = &own.node else { return };
        for entry in entries {
            match self.declared.get(&entry.key) {
                None => {
                    let near = did_you_mean(&entry.key, self.declared.keys().map(String::as_str));
                    let message = format!("the firm declares no field '{}'{near}", cited(&entry.key));
                    let help = "the file own.yaml of the firm's folder declares each field with what it holds";
                    self.found.push(Diagnosis::new(entry.key_span, message).help(help));
                }
                Some(field) => {
                    if let Some(message) = refuses(&field.kind, &entry.value) {
                        self.found.push(Diagnosis::new(entry.value.span, message));
                    }
                }
            }
        }
    }
}

/// Why a value is not what a field holds, if it is not.
fn refuses(kind: &Kind, value: &Placed) -> Option<String> {
    let json = value.to_json();
    match (kind, &value.node) {
        (Kind::Text(Some(words)), Node::Str(word)) if !words.contains(word) => {
            let near = did_you_mean(word, words.iter().map(String::as_str));
            Some(format!("'{}' is none of {}{near}", cited(word), words.join(", ")))
        }
        (Kind::Text(_), Node::Str(_)) | (Kind::Flag, Node::Bool(_)) => None,
        (Kind::Date, Node::Str(date)) => date.parse::<Date>().err(),
        (Kind::Number(Dimension::PLAIN), Node::Int(_) | Node::Float(_)) => None,
        (Kind::Number(dimension), _) => match json.as_str().map(parse) {
            Some(Ok(quantity)) if quantity.dimension == *dimension => None,
            Some(Err(error)) => Some(error.to_string()),
            _ => Some(format!("{} is not {}", cited(json.to_string().trim_matches('"')), dimension.with_article())),
        },
        (Kind::List(item), Node::Seq(items)) => items.iter().find_map(|one| refuses(item, one)),
        (Kind::List(item), _) => refuses(item, value),
        (Kind::Text(_), _) => Some("a text is needed here; set it in quotes".to_owned()),
        (Kind::Flag, _) => Some("true or false is needed here".to_owned()),
        (Kind::Date, _) => Some("a date such as 2026-10-05 is needed here".to_owned()),
        (Kind::Count | Kind::Struct | Kind::Elements, _) => None,
    }
}
