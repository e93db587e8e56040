//! What the names in a rule mean: fields of the subject, facts, and values of the home.

use super::Parameter;
use crate::expr::{Kind, Names, THIS, never};
use crate::load::own::OWN;
use crate::load::tables::TABLES;
use crate::load::{Fields, FirmTable, FirmWords, did_you_mean, fields};
use mateline_model::home::SECTIONS;
use mateline_model::quantity::Dimension;
use mateline_model::{QuantityDef, ValueKind};
use serde_json::Value;
use std::collections::BTreeMap;
use std::sync::Arc;

/// Sections of which plugins find subjects that nobody types.
pub(crate) const FOUND: [&str; 9] =
    ["surfaces", "references", "ducts", "air", "emissions", "alternatives", "unheated", "seams", "junctions"];

/// Everything a rule may name.
#[derive(Clone, Copy, Debug)]
pub struct Vocabulary<'a> {
    /// Fields of the home.
    pub fields: &'a Fields,
    /// Quantities of all plugins.
    pub quantities: &'a Arc<BTreeMap<String, QuantityDef>>,
    /// What a firm adds.
    pub firm: &'a FirmWords,
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
        let name = section.join(".");
        if name.is_empty() || self.sections().any(|section| section == name) || self.table(section).is_some() {
            return Ok(());
        }
        if let [TABLES, name] = section.iter().map(String::as_str).collect::<Vec<_>>().as_slice() {
            return Err(self.unknown_among(name, "table", self.firm.tables.keys().map(String::as_str)));
        }
        Err(self.unknown_among(&name, "section", self.sections().chain(["home"])))
    }

    /// The table of the firm that a section is.
    pub fn table(&self, section: &[String]) -> Option<&FirmTable> {
        let [tables, name] = section else { return None };
        self.firm.tables.get(name).filter(|_| tables == TABLES)
    }

    /// Every section with elements that a rule may name, apart from tables.
    pub fn sections(&self) -> impl Iterator<Item = &'static str> {
        let typed = SECTIONS.iter().copied().chain(["systems.ventilation", "waivers"]);
        typed.chain(FOUND.into_iter().filter(|found| !SECTIONS.contains(found)))
    }

    /// What a name of an element leads to when it names another element: the section of that, and the rest of the name.
    /// `module.size.x` of an opening is `size.x` of one of `modules`.
    pub(crate) fn reference<'n>(&self, section: &[String], path: &'n str) -> Option<(&'n str, String, &'n str)> {
        path.match_indices('.').find_map(|(end, _)| {
            let (name, rest) = (path.get(..end)?, path.get(end + 1..)?);
            let steps: Vec<String> = steps(section, name).map(str::to_owned).collect();
            Some((name, self.fields.named_at(&steps)?.section.clone(), rest))
        })
    }

    /// What a field of an element of a section holds. A mapping is no value: where a quantity has the name that an element
    /// could have, as `junctions.share`, the quantity is meant.
    pub fn field(&self, section: &[String], path: &str) -> Option<Kind> {
        let kind = self.kind_of(section, path).and_then(kind_of_field)?;
        (kind != Kind::Unknown || self.quantity(path).is_none()).then_some(kind)
    }

    /// What a field holds, as the home's schema, the firm's own fields or its table say.
    pub(crate) fn kind_of(&self, section: &[String], path: &str) -> Option<&fields::Kind> {
        if let Some(table) = self.table(section) {
            return table.columns.get(path);
        }
        let kind = self.fields.kind(steps(section, path))?;
        match path.strip_prefix(OWN).and_then(|rest| rest.strip_prefix('.')) {
            Some(name) => self.firm.own.get(name).map(|field| &field.kind),
            None => Some(kind),
        }
    }

    /// Whether a field of an element of a section, or else of the home, holds a whole number.
    pub fn is_count(&self, section: &[String], path: &str) -> bool {
        let kind = self.fields.kind(steps(section, path)).or_else(|| self.fields.kind(steps(&[], path)));
        kind == Some(&fields::Kind::Count)
    }
}

/// The way to a field of any element of a section.
fn steps<'a>(section: &'a [String], path: &'a str) -> impl Iterator<Item = &'a str> {
    fields::element(section, "0").into_iter().chain(path.split('.'))
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

/// The day on which a home is judged, as a rule names it.
pub(crate) const TODAY: &str = "today";

/// An element's own id, as a rule names it.
pub(crate) const ID: &str = "id";

/// The names one rule may use.
#[derive(Clone)]
pub(super) struct RuleNames<'a> {
    pub vocabulary: &'a Vocabulary<'a>,
    pub section: Vec<String>,
    /// The section of what is judged, where the elements of another are gone through for it.
    pub this: Option<Vec<String>>,
    pub reads_as: &'a BTreeMap<String, String>,
    pub parameters: &'a BTreeMap<String, Parameter>,
}

impl Names for RuleNames<'_> {
    fn kind(&self, path: &str, of: Option<&str>) -> Result<Kind, Vec<String>> {
        if let (Some(name), Some(this), None) = (path.strip_prefix(THIS), &self.this, of) {
            let judged = RuleNames { section: this.clone(), this: None, ..self.clone() };
            let with_prefix = |near: Vec<String>| near.into_iter().map(|near| format!("{THIS}{near}")).collect();
            return judged.kind(name, None).map_err(with_prefix);
        }
        if let Some(parameter) = path.strip_prefix(PARAMETER).filter(|_| of.is_none()) {
            return self.parameters.get(parameter).map(Parameter::kind).ok_or_else(|| self.near(path));
        }
        if of.is_none()
            && let Some(kind) = self.vocabulary.field(&self.section, path)
        {
            return Ok(kind);
        }
        match (path, of) {
            (TODAY, None) => return Ok(Kind::Date),
            (ID, None) if !self.section.is_empty() => return Ok(Kind::Text(None)),
            _ => {}
        }
        let quantity = self.reads_as.get(path).map_or(path, String::as_str);
        if let Some(definition) = self.vocabulary.quantity(quantity) {
            return Ok(match definition.kind {
                ValueKind::Number => Kind::Number(definition.dimension()),
                ValueKind::Text if definition.words.is_empty() => Kind::Text(None),
                ValueKind::Text => Kind::Text(Some(definition.words.iter().map(ToString::to_string).collect())),
                ValueKind::Flag => Kind::Flag,
            });
        }
        if let Some(subject) = of {
            let section: Vec<String> = subject.split('.').map(str::to_owned).collect();
            let section = section.split_last().map_or(&[][..], |(_, section)| section);
            return self.vocabulary.field(section, path).ok_or_else(|| self.near(path));
        }
        if let Some(kind) = self.through(&self.section, path).or_else(|| self.vocabulary.field(&[], path)) {
            return Ok(kind);
        }
        self.through(&[], path).ok_or_else(|| self.near(path))
    }

    fn within(&self, section: &str) -> Result<Box<dyn Names + '_>, String> {
        let over = section_path(Some(section));
        if over.is_empty() {
            return Err("'home' is no section with elements".to_owned());
        }
        self.vocabulary.check_section(&over)?;
        Ok(Box::new(self.elements(section).unwrap_or_else(|| self.clone())))
    }

    fn is_section(&self, path: &str) -> bool {
        is_section(self.vocabulary, &self.section, path)
    }
}

/// Whether a name alone is a section, for an element that has no field of this name.
pub(crate) fn is_section(vocabulary: &Vocabulary<'_>, section: &[String], path: &str) -> bool {
    let is_own = !section.is_empty() && vocabulary.field(section, path).is_some();
    !is_own && vocabulary.sections().any(|known| known == path)
}

impl RuleNames<'_> {
    /// The names of an element of a section.
    pub fn elements(&self, section: &str) -> Option<Self> {
        let over = section_path(Some(section));
        let is_one = !over.is_empty() && self.vocabulary.check_section(&over).is_ok();
        is_one.then(|| RuleNames { section: over, this: Some(self.section.clone()), ..self.clone() })
    }

    /// What is wrong with a name for which an example gives a value, or with the value: `kind`,
    /// `takeoff.area of modules.A`, `before(takeoff.area)`.
    pub fn refuses(&self, given: &str, value: &Value) -> Option<String> {
        let name = given.strip_prefix("before(").and_then(|name| name.strip_suffix(')')).unwrap_or(given);
        let (path, of) = name.split_once(" of ").map_or((name, None), |(path, of)| (path, Some(of)));
        let near = match (self.kind(path, of), value.as_str()) {
            (Ok(Kind::Text(Some(words))), Some(word)) if words.iter().all(|known| known != word) => {
                return Some(never(word, name, &words));
            }
            (Ok(_), _) => return None,
            (Err(near), _) => near,
        };
        let hint = near.first().map_or_else(String::new, |near| format!(" (did you mean '{near}'?)"));
        Some(format!("'given' has '{given}', which no rule here can read{hint}"))
    }

    /// The kind of a name of the element that another name of an element of a section names.
    fn through(&self, section: &[String], path: &str) -> Option<Kind> {
        let (_, named, rest) = self.vocabulary.reference(section, path)?;
        let names = RuleNames { section: vec![named], this: None, ..self.clone() };
        names.kind(rest, None).ok()
    }

    /// Names that look like a misspelt one, best first.
    fn near(&self, path: &str) -> Vec<String> {
        let mut known: Vec<String> = self.vocabulary.quantities.keys().cloned().collect();
        known.extend(self.parameters.keys().map(|name| format!("{PARAMETER}{name}")));
        let (parents, _) = path.rsplit_once('.').map_or(("", path), |(parents, last)| (parents, last));
        let parents: Vec<String> = parents.split('.').filter(|step| !step.is_empty()).map(str::to_owned).collect();
        let mut element: Vec<String> = fields::element(&self.section, "0").into_iter().map(str::to_owned).collect();
        element.extend(parents.iter().cloned());
        known.extend(self.vocabulary.firm.own.keys().map(|name| format!("{OWN}.{name}")));
        known.extend(self.vocabulary.table(&self.section).into_iter().flat_map(|table| table.columns.keys().cloned()));
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
