//! What the names in a rule mean: fields of the subject, facts, and values of the home.

use super::Parameter;
use crate::expr::{Kind, Names};
use crate::load::{Fields, did_you_mean, fields};
use mateline_model::home::SECTIONS;
use mateline_model::quantity::Dimension;
use mateline_model::{QuantityDef, ValueKind};
use std::collections::BTreeMap;

/// Sections whose subjects plugins find rather than a person types.
const FOUND: [&str; 6] = ["surfaces", "references", "ducts", "air", "emissions", "alternatives"];

/// Everything a rule may name.
#[derive(Clone, Copy, Debug)]
pub struct Vocabulary<'a> {
    /// Fields of the home.
    pub fields: &'a Fields,
    /// Quantities of all plugins.
    pub quantities: &'a BTreeMap<String, QuantityDef>,
}

/// The path of a section from the top of the home; empty for the home itself.
pub fn section_path(for_each: Option<&str>) -> Vec<String> {
    match for_each {
        None | Some("home") => Vec::new(),
        Some(section) => section.split('.').map(str::to_owned).collect(),
    }
}

impl Vocabulary<'_> {
    /// A quantity by its full name.
    pub fn quantity(&self, name: &str) -> Option<&QuantityDef> {
        self.quantities.get(name)
    }

    /// `unknown quantity 'x' (did you mean 'y'?)`.
    pub fn unknown(&self, name: &str, what: &str) -> String {
        self.unknown_among(name, what, self.quantities.keys().map(String::as_str))
    }

    /// The same among other names.
    pub fn unknown_among<'n>(&self, name: &str, what: &str, known: impl Iterator<Item = &'n str>) -> String {
        format!("unknown {what} '{name}'{}", did_you_mean(name, known))
    }

    /// Whether a rule may judge each element of a section: a section of the home, or one that plugins find.
    ///
    /// # Errors
    /// A sentence naming sections that exist.
    pub fn check_section(&self, section: &[String]) -> Result<(), String> {
        let known = || SECTIONS.iter().copied().chain(FOUND).chain(["home", "systems.ventilation"]);
        let name = section.join(".");
        if name.is_empty() || known().any(|section| section == name) {
            return Ok(());
        }
        Err(self.unknown_among(&name, "section", known()))
    }

    /// What a field of an element of a section holds. A mapping is no value: where a quantity has the name that an element
    /// could have, as `junctions.share`, the quantity is meant.
    pub fn field(&self, section: &[String], path: &str) -> Option<Kind> {
        let kind = self.fields.kind(steps(section, path)).and_then(kind_of_field)?;
        (kind != Kind::Unknown || self.quantity(path).is_none()).then_some(kind)
    }

    /// Whether a field of an element of a section, or else of the home, holds a whole number.
    pub fn is_count(&self, section: &[String], path: &str) -> bool {
        let kind = self.fields.kind(steps(section, path)).or_else(|| self.fields.kind(steps(&[], path)));
        kind == Some(&fields::Kind::Count)
    }
}

/// The way to a field of any element of a section.
fn steps<'a>(section: &'a [String], path: &'a str) -> impl Iterator<Item = &'a str> {
    section.iter().map(String::as_str).chain((!section.is_empty()).then_some("any")).chain(path.split('.'))
}

fn kind_of_field(kind: &fields::Kind) -> Option<Kind> {
    Some(match kind {
        fields::Kind::Number(dimension) => Kind::Number(*dimension),
        fields::Kind::Count => Kind::Number(Dimension::PLAIN),
        fields::Kind::Text(words) => Kind::Text(words.clone()),
        fields::Kind::Flag => Kind::Flag,
        fields::Kind::Date => Kind::Date,
        fields::Kind::List(item) => Kind::List(Box::new(kind_of_field(item).unwrap_or(Kind::Unknown))),
        fields::Kind::Struct | fields::Kind::Elements => Kind::Unknown,
    })
}

/// How a rule names a parameter.
pub(crate) const PARAMETER: &str = "parameter.";

/// The names one rule may use.
#[derive(Clone, Copy)]
pub(super) struct RuleNames<'a> {
    pub vocabulary: &'a Vocabulary<'a>,
    pub section: &'a [String],
    pub reads_as: &'a BTreeMap<String, String>,
    pub parameters: &'a BTreeMap<String, Parameter>,
}

impl Names for RuleNames<'_> {
    fn kind(&self, path: &str, of: Option<&str>) -> Result<Kind, Vec<String>> {
        if let Some(parameter) = path.strip_prefix(PARAMETER).filter(|_| of.is_none()) {
            return self.parameters.get(parameter).map(Parameter::kind).ok_or_else(|| self.near(path));
        }
        if of.is_none()
            && let Some(kind) = self.vocabulary.field(self.section, path)
        {
            return Ok(kind);
        }
        let path = self.reads_as.get(path).map_or(path, String::as_str);
        if let Some(definition) = self.vocabulary.quantity(path) {
            return Ok(match definition.kind {
                ValueKind::Number => Kind::Number(definition.dimension()),
                ValueKind::Text => Kind::Text(None),
                ValueKind::Flag => Kind::Flag,
            });
        }
        if of.is_none()
            && let Some(kind) = self.vocabulary.field(&[], path)
        {
            return Ok(kind);
        }
        Err(self.near(path))
    }
}

impl RuleNames<'_> {
    /// Names that look like a misspelt one, best first.
    fn near(&self, path: &str) -> Vec<String> {
        let mut known: Vec<String> = self.vocabulary.quantities.keys().cloned().collect();
        known.extend(self.parameters.keys().map(|name| format!("{PARAMETER}{name}")));
        let (parents, _) = path.rsplit_once('.').map_or(("", path), |(parents, last)| (parents, last));
        let parents: Vec<String> = parents.split('.').filter(|step| !step.is_empty()).map(str::to_owned).collect();
        let mut element = self.section.to_vec();
        if !element.is_empty() {
            element.push("any".to_owned());
        }
        element.extend(parents.iter().cloned());
        for base in [element, parents.clone()] {
            let prefix = if parents.is_empty() { String::new() } else { format!("{}.", parents.join(".")) };
            known.extend(self.vocabulary.fields.names(base).into_iter().map(|name| format!("{prefix}{name}")));
        }
        let mut near: Vec<(f64, String)> = known
            .into_iter()
            .map(|name| (strsim::jaro_winkler(path, &name), name))
            .filter(|(similarity, _)| *similarity > 0.8)
            .collect();
        near.sort_by(|a, b| b.0.total_cmp(&a.0).then_with(|| a.1.cmp(&b.1)));
        near.dedup_by(|a, b| a.1 == b.1);
        near.into_iter().map(|(_, name)| name).take(3).collect()
    }
}

/// How a kind of value is called, with its article.
pub(super) fn kind_name(kind: &Kind) -> String {
    match kind {
        Kind::Number(dimension) => dimension.with_article(),
        Kind::Text(_) => "a text".to_owned(),
        Kind::Flag => "a yes or no".to_owned(),
        Kind::Date => "a date".to_owned(),
        Kind::List(_) => "a list".to_owned(),
        Kind::Unknown => "a value of unknown kind".to_owned(),
    }
}
