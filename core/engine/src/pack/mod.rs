//! Rule packs: from their file to rules whose names and units have been checked.

mod describe;
mod format;
mod load;
mod names;
mod table;

pub use describe::describe;
pub use format::{ExampleFile, LimitFile, PackFile, RuleFile};
pub use load::{Library, load_pack, load_packs};
pub use names::{Vocabulary, section_path};
pub use table::{Row, Table};

use crate::expr::{Expression, ExpressionError, Kind};
use crate::load::{Diagnosis, Placed};
use indexmap::IndexMap;
use mateline_model::Severity;
use mateline_model::home::Name;
use mateline_model::quantity::{Dimension, Quantity, Units, parse};
use names::RuleNames;
use std::collections::BTreeMap;

/// A pack ready to judge.
#[derive(Clone, Debug)]
pub struct Pack {
    /// Its id.
    pub id: String,
    /// Its title.
    pub title: String,
    /// What it restates.
    pub source: String,
    /// What a reader has to bear in mind.
    pub caution: Option<String>,
    /// Settings handed to plugins.
    pub uses: IndexMap<String, serde_json::Value>,
    /// Quantities read in place of others.
    pub reads_as: IndexMap<String, String>,
    /// The rules, in the order of the file.
    pub rules: Vec<Rule>,
}

/// A rule ready to judge.
#[derive(Clone, Debug)]
pub struct Rule {
    /// Its id within the pack.
    pub id: String,
    /// What it requires.
    pub title: String,
    /// The section whose elements it judges; empty for the whole home.
    pub section: Vec<String>,
    /// When it concerns an element.
    pub when: Option<Expression>,
    /// The value judged.
    pub value: Option<Expression>,
    /// The quantity the value is, where it is just that.
    pub quantity: Option<String>,
    /// How the value and its limit are shown.
    pub units: Units,
    /// The comparison.
    pub comparator: Comparator,
    /// Source clause.
    pub source: String,
    /// How sure the limit is.
    pub provenance: String,
    /// Whether a shortfall fails the run.
    pub severity: Severity,
    /// What a designer can do.
    pub if_short: String,
    /// A rule which, met for the home, satisfies this one too.
    pub satisfied_by: Option<String>,
    /// Cases with their outcome.
    pub examples: Vec<ExampleFile>,
}

/// How a value is judged.
#[derive(Clone, Debug)]
pub enum Comparator {
    /// At least.
    AtLeast(Limit),
    /// At most.
    AtMost(Limit),
    /// Between two limits, ends included.
    Between(Limit, Limit),
    /// One of these words.
    OneOf(Vec<String>),
    /// Given at all (`true`), or left out (`false`).
    Present(bool),
    /// An expression that must be true.
    Requires(Expression),
}

/// A limit.
#[derive(Clone, Debug)]
pub enum Limit {
    /// A value.
    Value(Quantity),
    /// A table.
    Table(Table<Quantity>),
    /// Another fact, times a factor.
    Fact {
        /// The quantity.
        quantity: String,
        /// The subject, where it is not the one judged.
        of: Option<String>,
        /// The factor.
        times: f64,
    },
}

/// Turns a pack file into a pack.
///
/// # Errors
/// Every unknown name, wrong unit and missing part, at its place in the file.
pub fn compile(file: &PackFile, tree: &Placed, vocabulary: &Vocabulary<'_>) -> Result<Pack, Vec<Diagnosis>> {
    let mut errors = Vec::new();
    let mut rules = Vec::new();
    let mut reads_as = BTreeMap::new();
    for (from, to) in &file.reads_as {
        let unknown: Vec<&Name> = [from, to].into_iter().filter(|name| vocabulary.quantity(name).is_none()).collect();
        for name in &unknown {
            let at = tree.span_at(&steps(&["reads_as", from]));
            errors.push(Diagnosis::new(at, vocabulary.unknown(name, "quantity")));
        }
        if unknown.is_empty() {
            reads_as.insert(from.to_string(), to.to_string());
        }
    }
    for plugin in file.uses.keys() {
        let known = || vocabulary.quantities.keys().filter_map(|name| Some(name.split_once('.')?.0));
        if !known().any(|name| *plugin == name) {
            let at = tree.span_at(&steps(&["uses", plugin]));
            errors.push(Diagnosis::new(at, vocabulary.unknown_among(plugin, "plugin", known())));
        }
    }
    for (id, rule) in &file.rules {
        let mut compiler = Compiler { id, rule, tree, vocabulary, errors: Vec::new() };
        if let Some(rule) = compiler.rule(file, &reads_as) {
            rules.push(rule);
        }
        errors.append(&mut compiler.errors);
    }
    if !errors.is_empty() {
        return Err(errors);
    }
    Ok(Pack {
        id: file.pack.to_string(),
        title: file.title.to_string(),
        source: file.source.to_string(),
        caution: file.caution.as_ref().map(ToString::to_string),
        uses: file.uses.iter().map(|(name, value)| (name.to_string(), value.clone())).collect(),
        reads_as: file.reads_as.iter().map(|(from, to)| (from.to_string(), to.to_string())).collect(),
        rules,
    })
}

fn steps(path: &[&str]) -> Vec<String> {
    path.iter().map(|step| (*step).to_owned()).collect()
}

struct Compiler<'a> {
    id: &'a str,
    rule: &'a RuleFile,
    tree: &'a Placed,
    vocabulary: &'a Vocabulary<'a>,
    errors: Vec<Diagnosis>,
}

impl Compiler<'_> {
    fn error(&mut self, field: &[&str], message: impl Into<String>) {
        let path: Vec<String> = ["rules", self.id].iter().chain(field).map(|step| (*step).to_owned()).collect();
        self.errors.push(Diagnosis::new(self.tree.span_at(&path), message));
    }

    fn rule(&mut self, file: &PackFile, reads_as: &BTreeMap<String, String>) -> Option<Rule> {
        let rule = self.rule;
        let section = section_path(rule.for_each.as_deref());
        if let Err(message) = self.vocabulary.check_section(&section) {
            self.error(&["for_each"], message);
            return None;
        }
        let names = RuleNames { vocabulary: self.vocabulary, section: &section, reads_as };
        let when = rule.when.as_deref().and_then(|text| self.flag("when", text, &names));
        let mut quantity = None;
        let mut kind = Kind::Unknown;
        let value = rule.value.as_deref().and_then(|text| {
            let (expression, found) = self.expression("value", text, &names)?;
            kind = found;
            if let [name] = expression.names().as_slice()
                && name.of.is_none()
                && name.path == text.trim()
            {
                quantity = Some(reads_as.get(&name.path).cloned().unwrap_or_else(|| name.path.clone()));
            }
            Some(expression)
        });
        if let Some(other) = &rule.satisfied_by
            && !file.rules.contains_key(other)
        {
            let message = self.vocabulary.unknown_among(other, "rule", file.rules.keys().map(AsRef::as_ref));
            self.error(&["satisfied_by"], message);
        }
        let units = quantity
            .as_deref()
            .and_then(|name| self.vocabulary.quantity(name))
            .map(|definition| definition.units.clone())
            .unwrap_or_else(|| match &kind {
                Kind::Number(dimension) => names::usual_units(*dimension),
                _ => Units::plain(0),
            });
        if !rule.if_short.starts_with(char::is_uppercase) {
            self.error(&["if_short"], "'if_short' begins with a verb and a capital letter");
        }
        let comparator = self.comparator(&kind, value.is_some(), &names)?;
        Some(Rule {
            id: self.id.to_owned(),
            title: rule.title.to_string(),
            section,
            when,
            value,
            quantity,
            units,
            comparator,
            source: rule.source.to_string(),
            provenance: rule.provenance.to_string(),
            severity: rule.severity,
            if_short: rule.if_short.to_string(),
            satisfied_by: rule.satisfied_by.as_ref().map(ToString::to_string),
            examples: rule.examples.clone(),
        })
    }

    fn expression(&mut self, field: &str, text: &str, names: &RuleNames<'_>) -> Option<(Expression, Kind)> {
        let result = Expression::parse(text).and_then(|expression| {
            let kind = expression.check(names)?;
            Ok((expression, kind))
        });
        match result {
            Ok(pair) => Some(pair),
            Err(errors) => {
                for ExpressionError { message, .. } in errors {
                    self.error(&[field], message);
                }
                None
            }
        }
    }

    fn flag(&mut self, field: &str, text: &str, names: &RuleNames<'_>) -> Option<Expression> {
        let (expression, kind) = self.expression(field, text, names)?;
        if matches!(kind, Kind::Flag | Kind::Unknown) {
            return Some(expression);
        }
        self.error(
            &[field],
            format!("'{field}' is {}, not a statement that is true or false", names::kind_name(&kind)),
        );
        None
    }

    fn comparator(&mut self, kind: &Kind, has_value: bool, names: &RuleNames<'_>) -> Option<Comparator> {
        let rule = self.rule;
        let named: Vec<&str> = [
            ("at_least", rule.at_least.is_some()),
            ("at_most", rule.at_most.is_some()),
            ("between", rule.between.is_some()),
            ("one_of", rule.one_of.is_some()),
            ("present", rule.present.is_some()),
            ("requires", rule.requires.is_some()),
        ]
        .iter()
        .filter(|(_, there)| *there)
        .map(|(name, _)| *name)
        .collect();
        let [one] = named.as_slice() else {
            let message = if named.is_empty() {
                "the rule has no comparison: at_least, at_most, between, one_of, present or requires".to_owned()
            } else {
                format!("the rule has {} comparisons: {}", named.len(), named.join(", "))
            };
            self.error(&[], message);
            return None;
        };
        if *one == "requires" {
            return self.flag("requires", rule.requires.as_deref()?, names).map(Comparator::Requires);
        }
        if !has_value {
            if rule.value.is_none() {
                self.error(&[], format!("'{one}' needs a 'value'"));
            }
            return None;
        }
        match (&rule.at_least, &rule.at_most, &rule.between, &rule.one_of, rule.present) {
            (Some(limit), ..) => self.limit("at_least", limit, kind, names).map(Comparator::AtLeast),
            (_, Some(limit), ..) => self.limit("at_most", limit, kind, names).map(Comparator::AtMost),
            (_, _, Some(limits), ..) => match limits.as_slice() {
                [low, high] => {
                    let (low, high) =
                        (self.limit("between", low, kind, names), self.limit("between", high, kind, names));
                    Some(Comparator::Between(low?, high?))
                }
                _ => {
                    self.error(&["between"], "'between' is a list of two limits");
                    None
                }
            },
            (_, _, _, Some(words), _) => {
                let words: Vec<String> = words.iter().map(ToString::to_string).collect();
                match kind {
                    Kind::Text(Some(known)) => {
                        for word in words.iter().filter(|word| !known.contains(word)) {
                            let message = self.vocabulary.unknown_among(word, "word", known.iter().map(String::as_str));
                            self.error(&["one_of"], message);
                        }
                    }
                    Kind::Text(None) | Kind::Unknown => {}
                    other => self.error(&["one_of"], format!("{} is not one of words", names::kind_name(other))),
                }
                Some(Comparator::OneOf(words))
            }
            (.., Some(present)) => Some(Comparator::Present(present)),
            _ => None,
        }
    }

    fn limit(&mut self, field: &str, limit: &LimitFile, kind: &Kind, names: &RuleNames<'_>) -> Option<Limit> {
        let dimension = match kind {
            Kind::Number(dimension) => *dimension,
            other => {
                self.error(&[field], format!("{} has no greatest or least", names::kind_name(other)));
                return None;
            }
        };
        match limit {
            LimitFile::Value(text) => self.quantity(&[field], text, dimension).map(Limit::Value),
            LimitFile::Table { by, rows } => {
                if let Err(near) = crate::expr::Names::kind(names, by, None) {
                    let near = near.first().map(|near| format!(" (did you mean '{near}'?)")).unwrap_or_default();
                    self.error(&[field, "by"], format!("unknown name '{by}'{near}"));
                }
                let mut read = Vec::new();
                for (key, text) in rows {
                    if text == "none" {
                        read.push((key.clone(), None));
                    } else if let Some(quantity) = self.quantity(&[field, key], text, dimension) {
                        read.push((key.clone(), Some(quantity)));
                    }
                }
                match Table::new(by, read) {
                    Ok(table) => Some(Limit::Table(table)),
                    Err(messages) => {
                        for message in messages {
                            self.error(&[field], message);
                        }
                        None
                    }
                }
            }
            LimitFile::Fact { fact, of, times } => {
                let Some(definition) = self.vocabulary.quantity(fact) else {
                    let message = self.vocabulary.unknown(fact, "quantity");
                    self.error(&[field, "fact"], message);
                    return None;
                };
                if definition.dimension() != dimension {
                    let (found, wanted) = (definition.dimension().with_article(), dimension.with_article());
                    let message = format!("{fact} is {found}, but the value is {wanted}");
                    self.error(&[field, "fact"], message);
                }
                let quantity = names.reads_as.get(fact).unwrap_or(fact).clone();
                Some(Limit::Fact { quantity, of: of.clone(), times: *times })
            }
        }
    }

    fn quantity(&mut self, field: &[&str], text: &str, dimension: Dimension) -> Option<Quantity> {
        match parse(text) {
            Ok(quantity) if quantity.dimension == dimension => Some(quantity),
            Ok(quantity) => {
                let wanted = dimension.with_article();
                let message = if quantity.dimension == Dimension::PLAIN {
                    format!("'{text}' needs a unit: the value is {wanted}")
                } else {
                    format!("'{text}' is {}, but the value is {wanted}", quantity.dimension.with_article())
                };
                self.error(field, message);
                None
            }
            Err(error) => {
                self.error(field, error.to_string());
                None
            }
        }
    }
}
