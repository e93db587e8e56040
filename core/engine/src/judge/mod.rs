//! Judging: facts against rules. The only place where an outcome is decided.

mod examples;
mod message;
mod scope;
mod waive;

pub use examples::{ExampleResult, run_examples};
pub use scope::{Evidence, Judged};

use crate::expr::{Evaluation, Item, Lookup, Scope};
use crate::pack::{Comparator, Limit, Pack, Row, Rule};
use mateline_model::quantity::{Dimension, Quantity};
use mateline_model::{Outcome, Subject, Value, Verdict};
use rayon::prelude::*;
use scope::RuleScope;
use std::cmp::Ordering;

/// Judges a home by packs. Verdicts come in the order of packs, rules and subjects.
pub fn judge(packs: &[Pack], evidence: &dyn Evidence) -> Vec<Verdict> {
    let rules: Vec<(&Pack, &Rule)> =
        packs.iter().flat_map(|pack| pack.rules.iter().map(move |rule| (pack, rule))).collect();
    let mut verdicts: Vec<Vec<Verdict>> = rules
        .par_iter()
        .map(|(pack, rule)| {
            let subjects = evidence.subjects(&rule.section);
            subjects.iter().map(|subject| judge_one(pack, rule, subject, evidence)).collect()
        })
        .collect();
    satisfy(&rules, &mut verdicts);
    verdicts.into_iter().flatten().collect()
}

pub use waive::waive;

/// A component that is short is accepted where its pack names another rule that makes up for it, and that one is met.
fn satisfy(rules: &[(&Pack, &Rule)], verdicts: &mut [Vec<Verdict>]) {
    let met: Vec<(String, String)> = rules
        .iter()
        .zip(verdicts.iter())
        .filter(|(_, verdicts)| !verdicts.is_empty() && verdicts.iter().all(|verdict| verdict.outcome == Outcome::Met))
        .map(|((pack, rule), _)| (pack.id.clone(), rule.id.clone()))
        .collect();
    for ((pack, rule), verdicts) in rules.iter().zip(verdicts) {
        let Some(other) = &rule.satisfied_by else { continue };
        if !met.contains(&(pack.id.clone(), other.clone())) {
            continue;
        }
        for verdict in verdicts.iter_mut().filter(|verdict| verdict.outcome == Outcome::Short) {
            verdict.outcome = Outcome::Met;
            verdict.message = format!("{}; accepted because {other} is met", verdict.message);
            verdict.help = None;
        }
    }
}

/// Judges one subject by one rule.
pub fn judge_one(pack: &Pack, rule: &Rule, subject: &Subject, evidence: &dyn Evidence) -> Verdict {
    let scope = RuleScope { subject, section: &rule.section, reads_as: &pack.reads_as, evidence };
    let mut verdict = Verdict {
        pack: pack.id.clone(),
        rule: rule.id.clone(),
        title: rule.title.clone(),
        subject: subject.clone(),
        outcome: Outcome::Unproven,
        severity: rule.severity,
        value: None,
        quantity: rule.quantity.clone(),
        limit: None,
        comparison: message::comparison(&rule.comparator).to_owned(),
        margin: None,
        units: rule.units.clone(),
        source: rule.source.clone(),
        provenance: rule.provenance.clone(),
        message: String::new(),
        help: None,
        at: None,
        at_note: None,
    };
    match decide(rule, &scope, &mut verdict) {
        Finding::Holds(true) => verdict.outcome = Outcome::Met,
        Finding::Holds(false) => verdict.outcome = Outcome::Short,
        Finding::Concerns(why) => {
            verdict.outcome = Outcome::NotApplicable;
            verdict.message = why;
        }
        Finding::Unknown(missing) => {
            verdict.outcome = Outcome::Unproven;
            verdict.message = message::unproven(&missing);
        }
    }
    if matches!(verdict.outcome, Outcome::Met | Outcome::Short) {
        verdict.message = message::sentence(rule, &verdict, evidence);
    }
    if matches!(verdict.outcome, Outcome::Short | Outcome::Unproven) {
        verdict.help = Some(message::help(&rule.if_short));
    }
    let names = rule.value.as_ref().map(crate::expr::Expression::names).unwrap_or_default();
    let field = names.first().filter(|name| name.of.is_none()).map(|name| name.path.as_str());
    let (at, note) = evidence.place(subject, rule.quantity.as_deref(), field, &rule.section);
    verdict.at = at;
    verdict.at_note = if verdict.outcome == Outcome::Short { note } else { None };
    verdict
}

/// What a rule comes to for a subject.
enum Finding {
    Holds(bool),
    /// It does not concern the subject, for this reason.
    Concerns(String),
    /// Data are missing.
    Unknown(Vec<String>),
}

fn decide(rule: &Rule, scope: &RuleScope<'_>, verdict: &mut Verdict) -> Finding {
    if let Some(when) = &rule.when {
        match when.evaluate(scope) {
            Evaluation::Known(Item::Flag(true)) => {}
            Evaluation::Known(Item::Flag(false)) => return Finding::Concerns(format!("not so: {}", when.text())),
            Evaluation::Known(_) => return Finding::Unknown(vec![format!("'{}' is no statement", when.text())]),
            Evaluation::Unknown(missing) => return Finding::Unknown(missing),
            Evaluation::Failed(why) => return Finding::Unknown(vec![why]),
        }
    }
    if let Comparator::Requires(expression) = &rule.comparator {
        if let Some(value) = &rule.value
            && let Evaluation::Known(item) = value.evaluate(scope)
        {
            verdict.value = as_value(&item);
        }
        return match expression.evaluate(scope) {
            Evaluation::Known(Item::Flag(holds)) => Finding::Holds(holds),
            Evaluation::Known(_) => Finding::Unknown(vec![format!("'{}' is no statement", expression.text())]),
            Evaluation::Unknown(missing) => Finding::Unknown(missing),
            Evaluation::Failed(why) => Finding::Unknown(vec![why]),
        };
    }
    let Some(expression) = &rule.value else { return Finding::Unknown(vec!["the rule names no value".to_owned()]) };
    if let Comparator::Present(wanted) = &rule.comparator {
        return match present(expression, scope, verdict) {
            Some(there) => Finding::Holds(there == *wanted),
            None => match expression.evaluate(scope) {
                Evaluation::Unknown(missing) => Finding::Unknown(missing),
                Evaluation::Failed(why) => Finding::Unknown(vec![why]),
                Evaluation::Known(_) => Finding::Holds(*wanted),
            },
        };
    }
    let item = match expression.evaluate(scope) {
        Evaluation::Known(item) => item,
        Evaluation::Unknown(missing) => return no_limit(rule, scope).unwrap_or(Finding::Unknown(missing)),
        Evaluation::Failed(why) => return Finding::Unknown(vec![why]),
    };
    verdict.value = as_value(&item);
    match (&rule.comparator, &item) {
        (Comparator::OneOf(words), Item::Text(word)) => Finding::Holds(words.contains(word)),
        (Comparator::AtMost(limit), Item::Number(value)) => compare(limit, *value, scope, verdict, Ordering::Greater),
        (Comparator::AtLeast(limit), Item::Number(value)) => compare(limit, *value, scope, verdict, Ordering::Less),
        (Comparator::Between(low, high), Item::Number(value)) => {
            match compare(low, *value, scope, verdict, Ordering::Less) {
                Finding::Holds(true) => {
                    let margin = verdict.margin.clone();
                    let finding = compare(high, *value, scope, verdict, Ordering::Greater);
                    if let (Finding::Holds(true), Some(Value::Number(low)), Some(Value::Number(high))) =
                        (&finding, &margin, &verdict.margin)
                        && low.si < high.si
                    {
                        verdict.margin = margin;
                    }
                    finding
                }
                other => other,
            }
        }
        _ => Finding::Unknown(vec![format!("'{}' is not of the kind the rule compares", expression.text())]),
    }
}

/// Whether a rule sets no limit for this subject, so that a missing value does not matter.
fn no_limit(rule: &Rule, scope: &RuleScope<'_>) -> Option<Finding> {
    let limit = match &rule.comparator {
        Comparator::AtMost(limit) | Comparator::AtLeast(limit) => limit,
        _ => return None,
    };
    match resolve(limit, scope) {
        Err(finding @ Finding::Concerns(_)) => Some(finding),
        _ => None,
    }
}

/// Whether a plain name is given. `None` when the expression is more than a name.
fn present(expression: &crate::expr::Expression, scope: &RuleScope<'_>, verdict: &mut Verdict) -> Option<bool> {
    let names = expression.names();
    let [name] = names.as_slice() else { return None };
    match scope.look_up(&name.path, name.of.as_deref()) {
        Lookup::Found(Item::List(items)) => {
            verdict.value = Some(Value::Text(items.iter().map(show_item).collect::<Vec<_>>().join(", ")));
            Some(!items.is_empty())
        }
        Lookup::Found(item) => {
            verdict.value = as_value(&item);
            Some(true)
        }
        Lookup::Absent => Some(false),
        Lookup::Missing(_) => None,
    }
}

fn show_item(item: &Item) -> String {
    match item {
        Item::Text(text) | Item::Date(text) => text.clone(),
        Item::Flag(flag) => flag.to_string(),
        Item::Number(quantity) => quantity.si.to_string(),
        Item::List(items) => items.iter().map(show_item).collect::<Vec<_>>().join(", "),
    }
}

fn as_value(item: &Item) -> Option<Value> {
    match item {
        Item::Number(quantity) => Some(Value::Number(*quantity)),
        Item::Flag(flag) => Some(Value::Flag(*flag)),
        other => Some(Value::Text(show_item(other))),
    }
}

/// Compares before any rounding. `wrong` is the order of value to limit that misses the requirement.
fn compare(limit: &Limit, value: Quantity, scope: &RuleScope<'_>, verdict: &mut Verdict, wrong: Ordering) -> Finding {
    let limit = match resolve(limit, scope) {
        Ok(limit) => limit,
        Err(finding) => return finding,
    };
    if limit.dimension != value.dimension {
        return Finding::Unknown(vec![format!("a {} cannot be compared with a {}", value.dimension, limit.dimension)]);
    }
    verdict.limit = Some(Value::Number(limit));
    let margin = if wrong == Ordering::Greater { limit.si - value.si } else { value.si - limit.si };
    let dimension = Dimension { point: false, ..value.dimension };
    verdict.margin = Some(Value::Number(Quantity::new(margin, dimension)));
    Finding::Holds(value.si.total_cmp(&limit.si) != wrong)
}

/// The limit that applies to this subject.
fn resolve(limit: &Limit, scope: &RuleScope<'_>) -> Result<Quantity, Finding> {
    let look_up = |path: &str, of: Option<&str>| match scope.look_up(path, of) {
        Lookup::Found(item) => Ok(item),
        Lookup::Missing(why) => Err(Finding::Unknown(vec![why])),
        Lookup::Absent => Err(Finding::Unknown(vec![format!("{path} is not given")])),
    };
    match limit {
        Limit::Value(quantity) => Ok(*quantity),
        Limit::Table(table) => {
            let key = show_item(&look_up(&table.by, None)?);
            match table.row(&key) {
                Row::Found(quantity) => Ok(*quantity),
                Row::NoLimit => Err(Finding::Concerns(format!("no limit for {} {key}", table.by))),
                Row::NoRow => {
                    Err(Finding::Unknown(vec![format!("the limit's table has no row for {} {key}", table.by)]))
                }
            }
        }
        Limit::Fact { quantity, of, times } => match look_up(quantity, of.as_deref())? {
            Item::Number(found) => Ok(Quantity::new(found.si * times, found.dimension)),
            _ => Err(Finding::Unknown(vec![format!("{quantity} is not a number")])),
        },
    }
}
