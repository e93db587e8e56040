//! Running the examples of rules: each gives facts and fields by name and says what comes out.

use super::decide::probe;
use super::judge_one;
use super::rule_scope::RuleScope;
use super::scope::Evidence;
use super::together::hold_to;
use super::values::{cell, loose_item, rows};
use crate::expr::{Evaluation, Item, Lookup, Scope};
use crate::pack::{Example, ID, Limit, Measure, PARAMETER, Pack, Row, Rule, TODAY, Table, Vocabulary};
use mateline_model::home::Date;
use mateline_model::quantity::{Quantity, UnitSystem};
use mateline_model::{Outcome, Place, QuantityDef, Subject};
use serde_json::Value as Json;
use std::collections::BTreeSet;
use std::sync::Arc;

/// How an example came out.
#[derive(Clone, Debug)]
pub struct ExampleResult {
    /// The rule.
    pub rule: String,
    /// Which of its examples, from 1.
    pub number: usize,
    /// What it expects.
    pub expected: Outcome,
    /// What came out.
    pub found: Outcome,
    /// The verdict's sentence.
    pub message: String,
}

impl ExampleResult {
    /// Whether it came out as expected.
    pub fn holds(&self) -> bool {
        self.expected == self.found
    }
}

/// Runs every example of a pack.
pub fn run_examples(pack: &Pack, vocabulary: &Vocabulary<'_>) -> Vec<ExampleResult> {
    let mut results = Vec::new();
    for rule in pack.rules.iter() {
        for (index, example) in rule.examples.iter().enumerate() {
            let subject = subject_of(rule, example);
            let evidence = Given::of(example, &subject, pack, vocabulary);
            let mut verdict = judge_one(pack, rule, &subject, &evidence);
            let others = pack.rules.iter().filter(|other| rule.together_with.contains(&other.id));
            let others = others.filter(|other| other.section.is_empty() || other.section == rule.section);
            let of = |other: &Rule| if other.section.is_empty() { Subject::home() } else { subject.clone() };
            let others = others.map(|other| (other, judge_one(pack, other, &of(other), &evidence)));
            hold_to(&mut verdict, &others.collect::<Vec<_>>());
            results.push(ExampleResult {
                rule: rule.id.clone(),
                number: index + 1,
                expected: example.expect,
                found: verdict.outcome,
                message: verdict.message,
            });
        }
    }
    results
}

/// Rows of tables that no example of their rule reaches: `wall-u-factor: no example reaches 1 of 3 rows by
/// site.climate_zone: '4-8'`.
pub fn untested_rows(pack: &Pack, vocabulary: &Vocabulary<'_>) -> Vec<String> {
    let mut untested = Vec::new();
    for rule in pack.rules.iter() {
        for limit in rule.comparator.limits() {
            let Limit::Table(table, _) = limit else { continue };
            let reached: BTreeSet<usize> =
                rule.examples.iter().flat_map(|example| reached(pack, rule, table, example, vocabulary)).collect();
            let rows: Vec<&str> = table.shown().map(|(written, _)| written).collect();
            let mut missed = Vec::new();
            for (row, written) in rows.iter().enumerate().filter(|(row, _)| !reached.contains(row)) {
                // Between two rows there is one stretch less than there are rows.
                match (table.measure, rows.get(row + 1)) {
                    (Measure::Interpolated(_), Some(next)) => missed.push(format!("between '{written}' and '{next}'")),
                    (Measure::Interpolated(_), None) => {}
                    _ => missed.push(format!("'{written}'")),
                }
            }
            if !missed.is_empty() {
                let (of, by) = (rows.len(), &table.by);
                let (id, count, missed) = (&rule.id, missed.len(), missed.join(", "));
                untested.push(format!("{id}: no example reaches {count} of {of} rows by {by}: {missed}"));
            }
        }
    }
    untested
}

/// The rows an example reaches.
fn reached(
    pack: &Pack,
    rule: &Rule,
    table: &Table<Quantity>,
    example: &Example,
    vocabulary: &Vocabulary<'_>,
) -> Vec<usize> {
    let subject = subject_of(rule, example);
    let evidence = Given::of(example, &subject, pack, vocabulary);
    let scope = RuleScope::of(pack, rule, &subject, &evidence);
    let concerns = rule.when.as_ref().map(|when| when.evaluate(&scope));
    if !matches!(concerns, None | Some(Evaluation::Known(Item::Flag(true)))) {
        return Vec::new();
    }
    let Lookup::Found(chosen_by) = scope.look_up(&table.by, None) else { return Vec::new() };
    match (table.row(&probe(table, &chosen_by)), table.measure) {
        (Row::Between(row, ..), _) => vec![row],
        // At a row, what lies before and after it is not tried.
        (_, Measure::Interpolated(_)) => Vec::new(),
        (Row::Found(row, _) | Row::NoLimit(row), _) => vec![row],
        (Row::Gap | Row::Overlap(..), _) => Vec::new(),
    }
}

/// What an example of a rule is about.
fn subject_of(rule: &Rule, example: &Example) -> Subject {
    let id = example.given.get(ID).and_then(Json::as_str).unwrap_or("example");
    if rule.section.is_empty() { Subject::home() } else { Subject::element(&rule.section.join("."), id) }
}

/// Only what the example gives is known.
struct Given<'a> {
    example: &'a Example,
    /// What the example is about.
    subject: &'a Subject,
    pack: &'a Pack,
    vocabulary: &'a Vocabulary<'a>,
    /// How the names of this revision are written: `NAME`, or `before(NAME)`.
    is_former: bool,
    /// The former revision, where the example gives anything of it.
    former: Option<Box<Given<'a>>>,
}

impl<'a> Given<'a> {
    fn of(example: &'a Example, subject: &'a Subject, pack: &'a Pack, vocabulary: &'a Vocabulary<'a>) -> Given<'a> {
        let given = |is_former, former| Given { example, subject, pack, vocabulary, is_former, former };
        let has_former = example.given.keys().any(|name| name.starts_with("before("));
        given(false, has_former.then(|| Box::new(given(true, None))))
    }
}

impl Given<'_> {
    /// The entries of a section, where the example lists them: under its name, or as `NAME of home` where a field has it.
    fn entries(&self, section: &str) -> Option<&Vec<Json>> {
        let listed =
            |name: &str| self.example.given.get(name)?.as_array().filter(|list| list.iter().all(Json::is_object));
        listed(&format!("{section} of home")).or_else(|| listed(section))
    }

    /// What is given for a subject: of an element in a list of the example, or in the example itself.
    fn value(&self, subject: &Subject, name: &str) -> Option<&Json> {
        let former = format!("before({name})");
        let name = if self.is_former { former.as_str() } else { name };
        let given = &self.example.given;
        let section = subject.as_str().rsplit_once('.').map_or("", |(section, _)| section);
        let is_listed = subject != self.subject && self.entries(section).is_some();
        let found = match (given.get(format!("{name} of {subject}").as_str()), self.element(subject)) {
            (Some(value), _) => Some(value),
            (None, Some(element)) => element.get(name),
            (None, None) if is_listed => None,
            (None, None) => given.get(name),
        };
        found.filter(|value| !value.is_null())
    }

    /// A number as the example has it, moved where it is the value judged.
    fn moved(&self, subject: &Subject, name: &str, item: Item) -> Item {
        match (&self.example.moved, item) {
            (Some((judged, by)), Item::Number(number)) if subject == self.subject && self.reads(judged) == name => {
                Item::Number(Quantity::new(number.si + by, number.dimension))
            }
            (_, item) => item,
        }
    }

    /// The quantity that a name stands for in the pack.
    fn reads<'n>(&'n self, name: &'n str) -> &'n str {
        self.pack.reads_as.get(name).map_or(name, String::as_str)
    }

    /// The entry of a list in the example that a subject stands for: by its `id`, else by its number, as `surfaces.2`.
    fn element(&self, subject: &Subject) -> Option<&Json> {
        let (section, id) = subject.as_str().rsplit_once('.')?;
        let entries = self.entries(section)?;
        let has_id = |entry: &&Json| entry.get(ID).and_then(Json::as_str) == Some(id);
        let by_number =
            || entries.get(id.parse::<usize>().ok()?.checked_sub(1)?).filter(|entry| entry.get(ID).is_none());
        entries.iter().find(has_id).or_else(by_number)
    }
}

impl Evidence for Given<'_> {
    fn subjects(&self, section: &[String]) -> Arc<Vec<Subject>> {
        let name = section.join(".");
        let listed = self.entries(&name);
        if let (Some(table), None) = (self.vocabulary.table(section), listed) {
            return Arc::new(rows(table, &name));
        }
        let (section, list) = (name, listed.map(Vec::as_slice).unwrap_or_default());
        let subject = |(number, entry): (usize, &Json)| match entry.get(ID).and_then(Json::as_str) {
            Some(id) => Subject::element(&section, id),
            None => Subject::element(&section, number + 1),
        };
        Arc::new(list.iter().enumerate().map(subject).collect())
    }

    fn field(&self, subject: &Subject, section: &[String], path: &str) -> Option<Lookup> {
        let kind = self.vocabulary.field(section, path)?;
        if let (Some(table), None) = (self.vocabulary.table(section), self.element(subject)) {
            return Some(cell(table, subject, path));
        }
        let found = self.value(subject, path).and_then(|value| match kind {
            // A word that happens to read as a quantity (a zone, a name) stays a word.
            crate::expr::Kind::Text(_) => {
                value.as_str().map(str::to_owned).or_else(|| value.as_i64().map(|n| n.to_string())).map(Item::Text)
            }
            crate::expr::Kind::Date => value.as_str().map(|text| Item::Date(text.to_owned())),
            _ => loose_item(value),
        });
        Some(found.map_or(Lookup::Absent, |item| Lookup::Found(self.moved(subject, path, item))))
    }

    fn fact(&self, subject: &Subject, quantity: &str) -> Option<Lookup> {
        let definition = self.vocabulary.quantity(quantity)?;
        let other = self.pack.reads_as.iter().find(|(_, to)| *to == quantity).map(|(from, _)| from.as_str());
        let value = self.value(subject, quantity).or_else(|| self.value(subject, other?));
        Some(match value {
            Some(Json::String(text)) if definition.kind == mateline_model::ValueKind::Text => {
                Lookup::Found(Item::Text(text.clone()))
            }
            Some(value) => match loose_item(value) {
                Some(item) => Lookup::Found(self.moved(subject, quantity, item)),
                None => Lookup::Missing(format!("{quantity} is no value")),
            },
            None => Lookup::Missing(format!("{quantity} is not given")),
        })
    }

    fn place(&self, _: &Subject, _: &[&str], _: &[String]) -> (Option<Place>, Option<String>) {
        (None, None)
    }

    fn owed(&self, _: &Subject, _: &str) -> Option<(String, Option<String>)> {
        None
    }

    fn is_written(&self, _: &str) -> bool {
        true
    }

    fn units(&self) -> UnitSystem {
        UnitSystem::Ip
    }

    fn definition(&self, quantity: &str) -> Option<&QuantityDef> {
        self.vocabulary.quantity(quantity)
    }

    fn day(&self) -> Option<Date> {
        let given = &self.example.given;
        given.get(TODAY).or_else(|| given.get("revision.date"))?.as_str()?.parse().ok()
    }

    fn absent(&self, section: &[String]) -> Option<String> {
        let name = section.join(".");
        if self.vocabulary.table(section).is_some() {
            return None;
        }
        let is_said = self.vocabulary.fields.said_by_absence(section).is_some();
        (!is_said && self.entries(&name).is_none()).then(|| format!("{name} is not given"))
    }

    fn vocabulary(&self) -> Vocabulary<'_> {
        *self.vocabulary
    }

    fn former(&self) -> Option<&dyn Evidence> {
        self.former.as_deref().map(|former| former as &dyn Evidence)
    }

    fn stated(&self, subject: &Subject, path: &str) -> Option<Lookup> {
        self.value(subject, path).and_then(loose_item).map(Lookup::Found)
    }

    fn parameter(&self, name: &str) -> Option<Item> {
        self.example.given.get(format!("{PARAMETER}{name}").as_str()).and_then(loose_item)
    }
}
