//! Examples of a rule: cases with their outcome, and values on the limit with what lies just beside them.

use super::compile::{Compiler, Movable};
use super::limit_file::LimitFile;
use super::names::RuleNames;
use super::{Comparator, ExampleFile, Limit};
use indexmap::IndexMap;
use mateline_model::Outcome;
use mateline_model::home::Name;
use mateline_model::quantity::Quantity;
use serde_json::Value;

/// A case with its outcome.
#[derive(Clone, Debug, PartialEq)]
pub struct Example {
    /// Facts and fields, by name.
    pub given: IndexMap<Name, Value>,
    /// The name of the value judged, and how far it lies from what is given of it (SI): a case beside the limit.
    pub moved: Option<(String, f64)>,
    /// The outcome.
    pub expect: Outcome,
    /// Why the case is there.
    pub note: Option<String>,
}

/// How far beside the limit a case lies, as a share of it. More than what is forgiven as one value in two units, less
/// than any difference that matters to a home.
const BESIDE: f64 = 1e-6;

impl Compiler<'_> {
    /// The cases of a rule. Each value on the limit is three: met just inside, met on it, short just outside.
    pub fn examples(
        &mut self,
        comparator: &Comparator,
        judged: Option<&Movable<'_>>,
        names: &RuleNames<'_>,
    ) -> Vec<Example> {
        let mut all = Vec::new();
        for (index, file) in self.rule.examples.iter().enumerate() {
            let at = index.to_string();
            self.given(&at, file, names);
            match (&file.on, file.expect) {
                (None, Some(expect)) => {
                    let note = file.note.as_ref().map(ToString::to_string);
                    all.push(Example { given: file.given.clone(), moved: None, expect, note });
                }
                (Some(on), None) => all.extend(self.beside(&at, file, on, comparator, judged).unwrap_or_default()),
                _ => self.error(&["examples", &at], "an example has either 'expect' or 'on'"),
            }
        }
        all
    }

    /// Tells of every name given that no rule could read.
    fn given(&mut self, at: &str, file: &ExampleFile, names: &RuleNames<'_>) {
        for (name, value) in &file.given {
            let entries = value.as_array().map(Vec::as_slice).unwrap_or_default();
            let section = name.strip_suffix(" of home").unwrap_or(name);
            match names.elements(section) {
                Some(inner) if value.is_array() && entries.iter().all(Value::is_object) => {
                    for (number, entry) in entries.iter().enumerate() {
                        for (key, value) in entry.as_object().into_iter().flatten() {
                            if let Some(message) = inner.refuses(key, value) {
                                self.error(&["examples", at, "given", name, &number.to_string(), key], message);
                            }
                        }
                    }
                }
                _ => {
                    if let Some(message) = names.refuses(name, value) {
                        self.error(&["examples", at, "given", name], message);
                    }
                }
            }
        }
    }

    fn beside(
        &mut self,
        at: &str,
        file: &ExampleFile,
        on: &LimitFile,
        comparator: &Comparator,
        judged: Option<&Movable<'_>>,
    ) -> Option<Vec<Example>> {
        let place = ["examples", at, "on"];
        let Some(judged) = judged else {
            self.error(&place, "'on' needs a rule whose value is one name and a number");
            return None;
        };
        let rows: Vec<(Option<(&str, &str)>, &str)> = match on {
            LimitFile::Value(text) => vec![(None, text)],
            LimitFile::Table { by, interpolate: false, rows } => {
                rows.iter().map(|(key, text)| (Some((by.as_str(), key.as_str())), text.as_str())).collect()
            }
            _ => {
                self.error(&place, "'on' is a value, or a table of values with 'by'");
                return None;
            }
        };
        let mut all = Vec::new();
        for (chosen, text) in rows {
            let value = self.quantity(&place, text, judged.dimension)?;
            let Some(inside) = inside(comparator, value) else {
                self.error(&place, "'on' needs 'at_least', 'at_most', or one of the two values of 'between'");
                return None;
            };
            let mut given = file.given.clone();
            for (name, value) in chosen.into_iter().chain([(judged.name, text)]) {
                let Ok(name) = name.parse::<Name>() else { continue };
                given.insert(name, Value::from(value));
            }
            let step = match judged.is_count {
                true => 1.0,
                false if value.si == 0.0 => BESIDE,
                false => BESIDE * value.si.abs(),
            };
            let cases = [
                (inside * step, Outcome::Met, "just inside the limit"),
                (0.0, Outcome::Met, "on the limit"),
                (-inside * step, Outcome::Short, "just outside the limit"),
            ];
            all.extend(cases.map(|(by, expect, note)| {
                let moved = Some((judged.name.to_owned(), by));
                Example { given: given.clone(), moved, expect, note: Some(note.to_owned()) }
            }));
        }
        Some(all)
    }
}

/// The direction in which a value on the limit gets better: 1 or −1.
fn inside(comparator: &Comparator, value: Quantity) -> Option<f64> {
    let is = |limit: &Limit| matches!(limit, Limit::Value(limit) if *limit == value);
    match comparator {
        Comparator::AtLeast(_) => Some(1.0),
        Comparator::AtMost(_) => Some(-1.0),
        Comparator::Between(low, _) if is(low) => Some(1.0),
        Comparator::Between(_, high) if is(high) => Some(-1.0),
        _ => None,
    }
}
