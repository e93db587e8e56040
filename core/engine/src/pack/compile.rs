//! From a pack's file to a pack: names looked up, expressions read, units compared.

use super::aggregate::{Written, figure};
use super::extend::{Change, Merged, notes};
use super::format::{EffectiveFile, PackFile, RuleFile};
use super::names::{RuleNames, kind_name};
use super::shown_units::shown_units;
use super::value_file::{AggregateFile, ValueFile};
use super::{Comparator, Effective, Pack, Parameter, Provisional, Rule, Vocabulary, section_path};
use crate::expr::{Expression, ExpressionError, Kind};
use crate::load::{Diagnosis, Placed};
use mateline_model::home::Name;
use mateline_model::quantity::{Dimension, Units};
use std::collections::BTreeMap;
use std::sync::Arc;

/// Turns a pack file into a pack.
///
/// # Errors
/// Every unknown name, wrong unit and missing part, at its place in the file.
pub fn compile(merged: &Merged, vocabulary: &Vocabulary<'_>) -> Result<Pack, Vec<Diagnosis>> {
    let Merged { file, tree, changes, notes: inherited } = merged;
    let mut errors = Vec::new();
    let at = |path: &[&str]| tree.span_at(&path.iter().map(|step| (*step).to_owned()).collect::<Vec<_>>());
    let mut reads_as = BTreeMap::new();
    for (from, to) in &file.reads_as {
        let unknown: Vec<&Name> = [from, to].into_iter().filter(|name| vocabulary.quantity(name).is_none()).collect();
        for name in &unknown {
            errors.push(Diagnosis::new(at(&["reads_as", from]), vocabulary.unknown(name, "quantity")));
        }
        if unknown.is_empty() {
            reads_as.insert(from.to_string(), to.to_string());
        }
    }
    for plugin in file.uses.keys() {
        let known = || vocabulary.quantities.keys().filter_map(|name| Some(name.split_once('.')?.0));
        if !known().any(|name| *plugin == name) {
            let message = vocabulary.unknown_among(plugin, "plugin", known());
            errors.push(Diagnosis::new(at(&["uses", plugin]), message));
        }
    }
    let mut parameters = BTreeMap::new();
    for (name, parameter) in &file.parameters {
        match Parameter::new(name, parameter) {
            Ok(parameter) => {
                parameters.insert(name.to_string(), parameter);
            }
            Err(message) => errors.push(Diagnosis::new(at(&["parameters", name, "default"]), message)),
        }
    }
    let in_force = effective(file.effective.as_ref()).unwrap_or_else(|message| {
        errors.push(Diagnosis::new(at(&["effective"]), message));
        Effective::default()
    });
    let context = Context { file, tree, vocabulary, reads_as: &reads_as, parameters: &parameters, in_force };
    let mut rules = Vec::new();
    for (id, rule) in &file.rules {
        let (rule, mut found) = context.rule(id, rule);
        rules.extend(rule);
        errors.append(&mut found);
    }
    let old = |change: &Change| context.rule(&change.id, change.old.as_ref()?).0;
    let mut notes = notes(file, changes, &rules, old, &mut errors);
    notes.splice(0..0, inherited.iter().cloned());
    if !errors.is_empty() {
        return Err(errors);
    }
    Ok(Pack {
        id: file.pack.to_string(),
        version: file.version,
        edition: file.edition.as_ref().map(ToString::to_string),
        texts: Vec::new(),
        title: file.title.to_string(),
        source: file.source.to_string(),
        caution: file.caution.as_ref().map(ToString::to_string),
        open_paths: file.open_paths.as_ref().map(ToString::to_string),
        uses: file.uses.iter().map(|(name, value)| (name.to_string(), value.clone())).collect(),
        reads_as: file.reads_as.iter().map(|(from, to)| (from.to_string(), to.to_string())).collect(),
        parameters,
        rules: Arc::new(rules),
        is_own: false,
        asks: false,
        notes,
    })
}

fn effective(file: Option<&EffectiveFile>) -> Result<Effective, String> {
    let EffectiveFile { from, until } = file.copied().unwrap_or_default();
    match (from, until) {
        (Some(from), Some(until)) if from >= until => {
            Err(format!("in force until {until}, before it begins on {from}"))
        }
        _ => Ok(Effective { from, until }),
    }
}

/// What all rules of a pack share.
#[derive(Clone, Copy)]
struct Context<'a> {
    file: &'a PackFile,
    tree: &'a Placed,
    vocabulary: &'a Vocabulary<'a>,
    reads_as: &'a BTreeMap<String, String>,
    parameters: &'a BTreeMap<String, Parameter>,
    in_force: Effective,
}

impl Context<'_> {
    fn rule(&self, id: &str, rule: &RuleFile) -> (Option<Rule>, Vec<Diagnosis>) {
        let (tree, vocabulary) = (self.tree, self.vocabulary);
        let mut compiler = Compiler { id, rule, tree, vocabulary, errors: Vec::new() };
        let rule = compiler.rule(self);
        (rule, compiler.errors)
    }
}

/// One rule being read.
pub(super) struct Compiler<'a> {
    pub id: &'a str,
    pub rule: &'a RuleFile,
    pub tree: &'a Placed,
    pub vocabulary: &'a Vocabulary<'a>,
    pub errors: Vec<Diagnosis>,
}

/// The value a rule judges, as its examples move it.
pub(super) struct Movable<'a> {
    /// Its name.
    pub name: &'a str,
    /// What it measures.
    pub dimension: Dimension,
    /// Whether it is a whole number.
    pub is_count: bool,
}

/// A value that has been read.
#[derive(Default)]
struct Read {
    value: Option<Expression>,
    kind: Option<Kind>,
    quantity: Option<String>,
}

impl Compiler<'_> {
    /// The path of a field of the rule.
    pub fn path(&self, field: &[&str]) -> Vec<String> {
        ["rules", self.id].iter().chain(field).map(|step| (*step).to_owned()).collect()
    }

    pub fn error(&mut self, field: &[&str], message: impl Into<String>) {
        self.errors.push(Diagnosis::new(self.tree.span_at(&self.path(field)), message));
    }

    fn rule(&mut self, context: &Context<'_>) -> Option<Rule> {
        let rule = self.rule;
        let section = section_path(rule.for_each.as_deref());
        if let Err(message) = self.vocabulary.check_section(&section) {
            self.error(&["for_each"], message);
            return None;
        }
        let names = RuleNames {
            vocabulary: self.vocabulary,
            section: section.clone(),
            this: None,
            reads_as: context.reads_as,
            parameters: context.parameters,
        };
        let when = rule.when.as_deref().and_then(|text| self.flag(&["when"], text, &names));
        let provisional = rule.provisional.as_ref().and_then(|provisional| {
            let unless = self.flag(&["provisional", "unless"], &provisional.unless, &names)?;
            Some(Provisional { unless, says: provisional.says.to_string() })
        });
        let read = rule.value.as_ref().map(|value| self.value(value, &names)).unwrap_or_default();
        let kind = read.kind.clone().unwrap_or(Kind::Unknown);
        let unknown = rule.satisfied_by.iter().filter(|other| !context.file.rules.contains_key(*other));
        for other in unknown {
            let known = context.file.rules.keys().map(AsRef::as_ref);
            let message = self.vocabulary.unknown_among(other, "rule", known);
            self.error(&["satisfied_by"], message);
        }
        self.together(context.file);
        for (key, help) in [("if_short", Some(&rule.if_short)), ("if_unproven", rule.if_unproven.as_ref())] {
            if help.is_some_and(|help| !help.starts_with(char::is_uppercase)) {
                self.error(&[key], format!("'{key}' begins with a verb and a capital letter"));
            }
        }
        for path in rule.without.keys() {
            if self.vocabulary.fields.kind(path.split('.').map(|step| if step == "*" { "0" } else { step })).is_none() {
                self.error(&["without", path], format!("'{path}' is no path of the home"));
            }
        }
        let in_force = match effective(rule.effective.as_ref()) {
            Ok(own) => context.in_force.and(own),
            Err(message) => {
                self.error(&["effective"], message);
                context.in_force
            }
        };
        let comparator = self.comparator(&kind, read.value.is_some(), &names)?;
        let units = self.units(&read, &section);
        let name = match (&read.quantity, &read.value) {
            (Some(_), Some(expression)) => Some(expression.text().trim()),
            _ => None,
        };
        let movable = name.zip(read.kind.as_ref()).and_then(|(name, kind)| match kind {
            Kind::Number(dimension) => {
                Some(Movable { name, dimension: *dimension, is_count: self.vocabulary.is_count(&section, name) })
            }
            _ => None,
        });
        let examples = self.examples(&comparator, movable.as_ref(), &names);
        Some(Rule {
            id: self.id.to_owned(),
            title: rule.title.to_string(),
            section,
            when,
            value: read.value,
            quantity: read.quantity,
            units,
            comparator,
            source: rule.source.to_string(),
            provenance: rule.provenance.to_string(),
            severity: rule.severity,
            waivable: rule.waivable,
            effective: in_force,
            if_short: rule.if_short.to_string(),
            if_unproven: rule.if_unproven.as_ref().map(ToString::to_string),
            after: self.after(context.file),
            satisfied_by: rule.satisfied_by.iter().map(ToString::to_string).collect(),
            together_with: rule.together_with.iter().map(ToString::to_string).collect(),
            provisional,
            without: rule.without.iter().map(|(path, why)| (path.to_string(), why.to_string())).collect(),
            examples,
        })
    }

    /// Rules that belong to this one are there, and stand by themselves.
    fn together(&mut self, file: &PackFile) {
        for other in &self.rule.together_with {
            match file.rules.get(other) {
                None => {
                    let known = file.rules.keys().map(AsRef::as_ref).filter(|id| *id != self.id);
                    let message = self.vocabulary.unknown_among(other, "other rule", known);
                    self.error(&["together_with"], message);
                }
                Some(found) if !found.together_with.is_empty() || !found.satisfied_by.is_empty() => {
                    let message = format!("'{other}' leans on other rules itself; name a rule that stands by itself");
                    self.error(&["together_with"], message);
                }
                Some(_) => {}
            }
        }
    }

    /// Full names of the rules on which this one stands. Whether another pack has such a rule is told where it judges.
    fn after(&mut self, file: &PackFile) -> Vec<String> {
        let rule = self.rule;
        let mut names = Vec::new();
        for name in &rule.after {
            if name.contains('/') {
                names.push(name.to_string());
            } else if **name != *self.id && file.rules.keys().any(|id| **id == **name) {
                names.push(format!("{}/{name}", file.pack));
            } else {
                let others = file.rules.keys().map(AsRef::as_ref).filter(|id| *id != self.id);
                let message = self.vocabulary.unknown_among(name, "other rule", others);
                self.error(&["after"], message);
            }
        }
        names
    }

    /// How the value and its limit are shown: as its quantity is, else as the limit is written.
    fn units(&self, read: &Read, section: &[String]) -> Units {
        let defined = read.quantity.as_deref().and_then(|name| self.vocabulary.quantity(name));
        let defined = defined.map(|definition| definition.units.clone());
        match &read.kind {
            Some(Kind::Number(dimension)) => {
                let is_count = read
                    .value
                    .as_ref()
                    .is_some_and(|value| value.is_whole_count() || self.vocabulary.is_count(section, value.text()));
                shown_units(*dimension, is_count, defined, self.rule)
            }
            _ => defined.unwrap_or_else(|| Units::plain(0)),
        }
    }

    fn value(&mut self, value: &ValueFile, names: &RuleNames<'_>) -> Read {
        match value {
            ValueFile::Expression(text) => {
                let Some((expression, kind)) = self.expression(&["value"], text, names) else {
                    return Read::default();
                };
                let quantity = match expression.names().as_slice() {
                    [name] if name.of.is_none() && name.path == text.trim() => {
                        Some(names.reads_as.get(&name.path).cloned().unwrap_or_else(|| name.path.clone()))
                    }
                    _ => None,
                };
                Read { value: Some(expression), kind: Some(kind), quantity }
            }
            ValueFile::Aggregate(file) => match self.aggregate(file, names) {
                Some((expression, kind)) => Read { value: Some(expression), kind: Some(kind), quantity: None },
                None => Read::default(),
            },
        }
    }

    fn aggregate(&mut self, file: &AggregateFile, names: &RuleNames<'_>) -> Option<(Expression, Kind)> {
        let (figure, over, of) = match figure(file) {
            Ok(found) => found,
            Err(message) => {
                self.error(&["value"], message);
                return None;
            }
        };
        let written = Written::new(file, figure, over, of);
        let read = Expression::parse(&written.text).and_then(|read| read.check(names).map(|kind| (read, kind)));
        match read {
            Ok(pair) => Some(pair),
            Err(errors) => {
                for ExpressionError { message, start, .. } in errors {
                    self.error(&["value", written.key_at(start)], message);
                }
                None
            }
        }
    }

    pub fn expression(&mut self, field: &[&str], text: &str, names: &RuleNames<'_>) -> Option<(Expression, Kind)> {
        let result = Expression::parse(text).and_then(|expression| {
            let kind = expression.check(names)?;
            Ok((expression, kind))
        });
        match result {
            Ok(pair) => Some(pair),
            Err(errors) => {
                for ExpressionError { message, .. } in errors {
                    self.error(field, message);
                }
                None
            }
        }
    }

    fn flag(&mut self, field: &[&str], text: &str, names: &RuleNames<'_>) -> Option<Expression> {
        let (expression, kind) = self.expression(field, text, names)?;
        if matches!(kind, Kind::Flag | Kind::Unknown) {
            return Some(expression);
        }
        let name = field.last().copied().unwrap_or_default();
        self.error(field, format!("'{name}' is {}, not a statement that is true or false", kind_name(&kind)));
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
            return self.flag(&["requires"], rule.requires.as_deref()?, names).map(Comparator::Requires);
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
                    other => self.error(&["one_of"], format!("{} is not one of words", kind_name(other))),
                }
                Some(Comparator::OneOf(words))
            }
            (.., Some(present)) => {
                if matches!(rule.value, Some(ValueFile::Aggregate(_))) {
                    self.error(&["present"], "a figure over a section is always there; compare it with a limit");
                    return None;
                }
                Some(Comparator::Present(present))
            }
            _ => None,
        }
    }
}
