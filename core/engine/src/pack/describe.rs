//! A rule as a person reads it.

use super::{Comparator, Effective, Limit, Measure, Pack, Rule, show_parameter};
use mateline_model::quantity::{Quantity, UnitSystem};
use std::fmt::Write;

/// The rule with its limits in both systems of units, source, mark, help and examples.
pub fn describe(pack: &Pack, rule: &Rule) -> String {
    let mut text = String::new();
    let _ = writeln!(text, "{}/{}\n{}\n", pack.id, rule.id, rule.title);
    let mut line = |name: &str, shown: &str| {
        let _ = writeln!(text, "{name:9} {shown}");
    };
    line("judges", &each(rule));
    if let Some(when) = &rule.when {
        line("when", when.text());
    }
    if let Some(value) = &rule.value {
        let value = value.text();
        let read_as = pack.reads_as.get(value).map(|to| format!(" (read as {to})")).unwrap_or_default();
        line("value", &format!("{value}{read_as}"));
    }
    let (name, limits) = comparison(rule);
    line(name, &limits.join(" and ").replace('\n', "\n            "));
    let advice = rule.severity == mateline_model::Severity::Advice;
    line("severity", if advice { "advice" } else { "required" });
    if !rule.waivable {
        line("waivable", "no");
    }
    if let Some(when) = in_force(&rule.effective) {
        line("in force", &when);
    }
    for (name, parameter) in pack.parameters.iter().filter(|(name, _)| uses(rule, name)) {
        let default = show_parameter(&parameter.default, UnitSystem::Ip);
        line("parameter", &format!("{name}: {} ({default} where the home sets none)", parameter.meaning));
    }
    line("source", &format!("{}, {} ({})", pack.source, rule.source, rule.provenance));
    line("if short", &rule.if_short);
    if let Some(help) = &rule.if_unproven {
        line("unproven", help);
    }
    if !rule.after.is_empty() {
        line("after", &rule.after.join(", "));
    }
    if !rule.satisfied_by.is_empty() {
        line("or", &format!("meet {}", rule.satisfied_by.join(" or ")));
    }
    if !rule.together_with.is_empty() {
        line("and", &format!("what applies of {}", rule.together_with.join(", ")));
    }
    if let Some(provisional) = &rule.provisional {
        line("provisional", &format!("{}, unless {}", provisional.says, provisional.unless.text()));
    }
    for (path, why) in &rule.without {
        line("without", &format!("{path}: {why}"));
    }
    if let Some(caution) = &pack.caution {
        line("caution", caution);
    }
    line("examples", &rule.examples.len().to_string());
    for example in &rule.examples {
        let given: Vec<String> =
            example.given.iter().map(|(name, value)| format!("{name}: {}", plain(value))).collect();
        let given = if given.is_empty() { "nothing given".to_owned() } else { given.join(", ") };
        let note = example.note.as_ref().map(|note| format!(" ({note})")).unwrap_or_default();
        line("", &format!("{:14} {given}{note}", example.expect.to_string()));
    }
    text
}

/// What a rule judges.
pub(super) fn each(rule: &Rule) -> String {
    if rule.section.is_empty() { "the home".to_owned() } else { format!("each of {}", rule.section.join(".")) }
}

/// The comparison and what it compares with. A table has a line for each of its rows.
pub(super) fn comparison(rule: &Rule) -> (&'static str, Vec<String>) {
    let limit = |limit: &Limit| shown(rule, limit);
    match &rule.comparator {
        Comparator::AtLeast(low) => ("at least", vec![limit(low)]),
        Comparator::AtMost(high) => ("at most", vec![limit(high)]),
        Comparator::Between(low, high) => ("between", vec![limit(low), limit(high)]),
        Comparator::OneOf(words) => ("one of", vec![words.join(", ")]),
        Comparator::Present(true) => ("given", vec!["yes".to_owned()]),
        Comparator::Present(false) => ("given", vec!["no".to_owned()]),
        Comparator::Requires(expression) => ("requires", vec![expression.text().trim_end().to_owned()]),
    }
}

/// Whether a rule reads a parameter.
pub(super) fn uses(rule: &Rule, name: &str) -> bool {
    let full = format!("parameter.{name}");
    let limits = rule.comparator.limits();
    let in_limit = |limit: &&Limit| match limit {
        Limit::Parameter { parameter, .. } => parameter == name,
        Limit::Table(table, _) => table.by == full,
        Limit::Expression(expression) => expression.text().contains(&full),
        Limit::Value(_) | Limit::Fact { .. } => false,
    };
    let requires = if let Comparator::Requires(expression) = &rule.comparator { Some(expression.text()) } else { None };
    let value = rule.value.as_ref().map(|value| value.text());
    let when = rule.when.as_ref().map(|when| when.text());
    let texts = [requires, value, when];
    limits.iter().any(in_limit) || texts.iter().flatten().any(|text| text.contains(&full))
}

fn in_force(effective: &Effective) -> Option<String> {
    match (effective.from, effective.until) {
        (None, None) => None,
        (Some(from), None) => Some(format!("from {from}")),
        (None, Some(until)) => Some(format!("until {until}")),
        (Some(from), Some(until)) => Some(format!("from {from} until {until}")),
    }
}

/// A value of an example.
fn plain(value: &serde_json::Value) -> String {
    value.as_str().map_or_else(|| value.to_string(), str::to_owned)
}

fn shown(rule: &Rule, limit: &Limit) -> String {
    let both = |quantity: &Quantity| {
        let (ip, si) = (rule.units.show(*quantity, UnitSystem::Ip), rule.units.show(*quantity, UnitSystem::Si));
        if ip == si { ip } else { format!("{ip} ({si})") }
    };
    let share = |times: f64| if times == 1.0 { String::new() } else { format!("{times} × ") };
    match limit {
        Limit::Value(quantity) => both(quantity),
        Limit::Table(table, _) => {
            let between = matches!(table.measure, Measure::Interpolated(_));
            let mut text = format!("by {}{}:", table.by, if between { ", interpolated between rows" } else { "" });
            for (keys, value) in table.shown() {
                let value = value.map_or_else(|| "no limit".to_owned(), &both);
                let _ = write!(text, "\n{keys}: {value}");
            }
            text
        }
        Limit::Fact { quantity, of, times } => {
            let of = of.as_ref().map(|of| format!(" of {of}")).unwrap_or_default();
            format!("{}{quantity}{of}", share(*times))
        }
        Limit::Parameter { parameter, times } => format!("{}parameter {parameter}", share(*times)),
        Limit::Expression(expression) => expression.line(),
    }
}
