//! Running the examples of rules: each gives facts and fields by name and says what comes out.

use super::judge_one;
use super::scope::{Evidence, loose_item};
use crate::expr::{Item, Lookup};
use crate::pack::{ExampleFile, Pack, Vocabulary};
use mateline_model::quantity::UnitSystem;
use mateline_model::{Outcome, Place, QuantityDef, Subject};
use serde_json::Value as Json;

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
    for rule in &pack.rules {
        for (index, example) in rule.examples.iter().enumerate() {
            let evidence = Given { example, pack, vocabulary };
            let subject = if rule.section.is_empty() {
                Subject::home()
            } else {
                Subject::element(&rule.section.join("."), "example")
            };
            let verdict = judge_one(pack, rule, &subject, &evidence);
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

/// Only what the example gives is known.
struct Given<'a> {
    example: &'a ExampleFile,
    pack: &'a Pack,
    vocabulary: &'a Vocabulary<'a>,
}

impl Given<'_> {
    fn value(&self, name: &str) -> Option<&Json> {
        self.example.given.get(name).filter(|value| !value.is_null())
    }
}

impl Evidence for Given<'_> {
    fn subjects(&self, _: &[String]) -> Vec<Subject> {
        Vec::new()
    }

    fn field(&self, _: &Subject, section: &[String], path: &str) -> Option<Lookup> {
        let kind = self.vocabulary.field(section, path)?;
        let found = self.value(path).and_then(|value| match kind {
            // A word that happens to read as a quantity (a zone, a name) stays a word.
            crate::expr::Kind::Text(_) => {
                value.as_str().map(str::to_owned).or_else(|| value.as_i64().map(|n| n.to_string())).map(Item::Text)
            }
            crate::expr::Kind::Date => value.as_str().map(|text| Item::Date(text.to_owned())),
            _ => loose_item(value),
        });
        Some(found.map_or(Lookup::Absent, Lookup::Found))
    }

    fn fact(&self, subject: &Subject, quantity: &str) -> Option<Lookup> {
        let definition = self.vocabulary.quantity(quantity)?;
        let other = self.pack.reads_as.iter().find(|(_, to)| *to == quantity).map(|(from, _)| from.as_str());
        let of_subject = format!("{quantity} of {subject}");
        let value = self.value(quantity).or_else(|| self.value(other?)).or_else(|| self.value(&of_subject));
        Some(match value {
            Some(Json::String(text)) if definition.kind == mateline_model::ValueKind::Text => {
                Lookup::Found(Item::Text(text.clone()))
            }
            Some(value) => {
                loose_item(value).map_or_else(|| Lookup::Missing(format!("{quantity} is no value")), Lookup::Found)
            }
            None => Lookup::Missing(format!("{quantity} is not given")),
        })
    }

    fn place(&self, _: &Subject, _: Option<&str>, _: Option<&str>, _: &[String]) -> (Option<Place>, Option<String>) {
        (None, None)
    }

    fn units(&self) -> UnitSystem {
        UnitSystem::Ip
    }

    fn definition(&self, quantity: &str) -> Option<&QuantityDef> {
        self.vocabulary.quantity(quantity)
    }
}
