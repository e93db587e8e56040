//! Whether a rule holds for a subject, does not concern it, or cannot be told.

use super::rule_scope::RuleScope;
use super::{Comparator, Fault};
use crate::expr::{Evaluation, Expression, Item, Lookup, NameRef, Scope};
use crate::load::Span;
use crate::pack::{Limit, Measure, PARAMETER, Probe, Row, Rule, Table, show_parameter};
use mateline_model::quantity::{Dimension, Quantity, UnitSystem};
use mateline_model::{Value, Verdict};
use std::cmp::Ordering;

/// What a rule comes to for a subject.
pub(super) enum Finding {
    Holds(bool),
    /// It is not so, because of these of several conditions.
    Fails(Vec<String>),
    /// It does not concern the subject, for this reason.
    Concerns(String),
    /// Data are missing.
    Unknown(Vec<String>),
    /// A table of the pack is at fault.
    Fault(Fault),
}

pub(super) fn decide(rule: &Rule, scope: &RuleScope<'_>, verdict: &mut Verdict) -> Finding {
    if let Some(why) = scope.evidence.day().and_then(|day| rule.effective.refuses(day)) {
        return Finding::Concerns(why);
    }
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
            Evaluation::Known(Item::Flag(true)) => Finding::Holds(true),
            Evaluation::Known(Item::Flag(false)) => Finding::Fails(failing(expression, scope)),
            Evaluation::Known(_) => Finding::Unknown(vec![format!("'{}' is no statement", expression.text())]),
            Evaluation::Unknown(missing) => Finding::Unknown(missing),
            Evaluation::Failed(why) => Finding::Unknown(vec![why]),
        };
    }
    let Some(measured) = &rule.value else { return Finding::Unknown(vec!["the rule names no value".to_owned()]) };
    if let Comparator::Present(wanted) = &rule.comparator {
        return match present(measured, scope, verdict) {
            Some(false) if *wanted => Finding::Unknown(vec![format!("{} is not given", measured.text().trim())]),
            Some(there) => Finding::Holds(there == *wanted),
            None => match measured.evaluate(scope) {
                Evaluation::Unknown(missing) => Finding::Unknown(missing),
                Evaluation::Failed(why) => Finding::Unknown(vec![why]),
                Evaluation::Known(_) => Finding::Holds(*wanted),
            },
        };
    }
    let item = match measured.evaluate(scope) {
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
        _ => Finding::Unknown(vec![format!("'{}' is not of the kind the rule compares", measured.text())]),
    }
}

/// Which of several conditions are not so, each with the values it rests on.
fn failing(expression: &Expression, scope: &RuleScope<'_>) -> Vec<String> {
    let system = scope.evidence.units();
    let part = |(text, names): (String, Vec<(&NameRef, Item)>)| {
        let values: Vec<String> = names
            .iter()
            .map(|(name, item)| {
                let quantity = scope.pack.reads_as.get(&name.path).unwrap_or(&name.path);
                let defined = scope.evidence.definition(quantity);
                let shown = match (item, defined) {
                    (Item::Number(number), Some(definition)) => definition.units.show(*number, system),
                    (item, _) => show_parameter(item, system),
                };
                format!("{name} is {shown}")
            })
            .collect();
        if values.is_empty() { text } else { format!("{text}, but {}", values.join(", ")) }
    };
    expression.failing(scope).into_iter().map(part).collect()
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
fn present(expression: &Expression, scope: &RuleScope<'_>, verdict: &mut Verdict) -> Option<bool> {
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

pub(super) fn show_item(item: &Item) -> String {
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
    Finding::Holds(on_the_limit(value.si, limit.si) || value.si.total_cmp(&limit.si) != wrong)
}

/// Whether two values are one written in two units: `12 in` and `1 ft` differ in their last binary digit, which is no
/// difference of the design. Nothing larger than that is forgiven.
fn on_the_limit(value: f64, limit: f64) -> bool {
    (value - limit).abs() <= 4.0 * f64::EPSILON * limit.abs()
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
        Limit::Table(table, at) => in_table(table, *at, &look_up(&table.by, None)?),
        Limit::Fact { quantity, of, times } => match look_up(quantity, of.as_deref())? {
            Item::Number(found) => Ok(Quantity::new(found.si * times, found.dimension)),
            _ => Err(Finding::Unknown(vec![format!("{quantity} is not a number")])),
        },
        Limit::Parameter { parameter, times } => match look_up(&format!("{PARAMETER}{parameter}"), None)? {
            Item::Number(found) => Ok(Quantity::new(found.si * times, found.dimension)),
            _ => Err(Finding::Unknown(vec![format!("the parameter {parameter} is not a number")])),
        },
        Limit::Expression(expression) => match expression.evaluate(scope) {
            Evaluation::Known(Item::Number(found)) => Ok(found),
            Evaluation::Known(_) => Err(Finding::Unknown(vec![format!("'{}' is not a number", expression.text())])),
            Evaluation::Unknown(missing) => Err(Finding::Unknown(missing)),
            Evaluation::Failed(why) => Err(Finding::Unknown(vec![why])),
        },
    }
}

/// The limit of a table for the value that chooses the row.
fn in_table(table: &Table<Quantity>, at: Span, chosen_by: &Item) -> Result<Quantity, Finding> {
    let shown = show_parameter(chosen_by, UnitSystem::Ip);
    let fault = |message: String| Err(Finding::Fault(Fault { message, at }));
    match table.row(&probe(table, chosen_by)) {
        Row::Found(_, quantity) => Ok(*quantity),
        Row::Between(_, low, high, share) => Ok(Quantity::new(low.si + (high.si - low.si) * share, low.dimension)),
        Row::NoLimit(_) => Err(Finding::Concerns(format!("no limit for {} {shown}", table.by))),
        Row::Gap if table.measure == Measure::FreeWords => {
            Err(Finding::Unknown(vec![format!("the limit's table has no row for {} {shown}", table.by)]))
        }
        Row::Gap => fault(format!("the table has no row for {} {shown}", table.by)),
        Row::Overlap(one, other) => {
            fault(format!("the table has two rows for {} {shown}: '{one}' and '{other}'", table.by))
        }
    }
}

/// How a value chooses a row.
pub(super) fn probe(table: &Table<Quantity>, item: &Item) -> Probe {
    match (table.measure, item) {
        (Measure::Values(_) | Measure::Interpolated(_), Item::Number(quantity)) => Probe::Value(quantity.si),
        (_, item) => Probe::Word(show_item(item)),
    }
}
